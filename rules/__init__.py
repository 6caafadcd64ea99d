"""The trade of the left hand: the one front door; everything outside imports from here and from nowhere below."""

from .candidates.candidates import Candidates
from .check.catalogue import all_rules
from .check.policy import Exemption, Policy, Setting
from .check.review import Flag, Review, review_passage
from .check.rule import Concern, Finding, Outcome, Rule, Scope, Severity
from .cost.aspects import Aspect, aspect_of, by_aspect
from .cost.context import Character
from .cost.fingering_hand import LEAST_SCALE, MOST_SCALE, SCALES, STANDARD_HAND, FingeringHand
from .cost.learner_terms import terms_at
from .cost.standard_terms import STANDARD, Kind, Term, Weights
from .hand.grip import (
    FINGERS,
    HIGHEST_POSITION,
    HOME_POSITION,
    Grip,
    Stop,
    frame_excess,
    grips_for,
    is_stretched,
    stops_for,
)
from .hand.harmonics import NODES, PARTIALS, Touch, node_strings, touches
from .hand.level import ALL, DEFAULT_LEVEL, FIRST, FIRST_AND_THIRD, LEVELS, TO_FIFTH, TO_THIRD, Level, ShiftKind
from .hand.required_level import Demand, RequiredLevel, required_level
from .learning.fingered_piece import FingeredPiece
from .learning.learned_hand import LearnedHand, LeftOut, learn_hand
from .marks.constraints import UNCONSTRAINED, Constraint, Decisions
from .marks.decisions import Pin, decisions_with_pins, printed_decisions
from .marks.words_in_force import events_after_restez, positions_in_force
from .music.bar_numbers import bar_number, is_short_bar, is_split_bar, whole_bar
from .music.expression import SFORZATI, Expression, Hairpin, Sign
from .music.instrument import INSTRUMENTS, LETTERS, VIOLA, VIOLIN, Instrument, Pitch
from .music.key import Key, in_key
from .music.metre import bar_length, beat_length
from .music.passage import (
    HELD_SECONDS,
    NOTHING_PRINTED,
    REST_FOR_A_SHIFT,
    Event,
    Measure,
    Note,
    Passage,
    Printed,
    Technique,
    Words,
)
from .plan.counted_figures import Figures, bars_beyond, crossing_at, events_beyond, figures, held_weak, hops, stretched
from .plan.difficulty import BarDifficulty, difficulty_by_bar, hardest
from .plan.finger_pattern import FingerPattern, PlacedNote, finger_patterns
from .plan.fingerboard import Fingerboard, FingerboardSpot, FingerPlacement, fingerboard_in, same_pitch
from .plan.left_hand import (
    BarWork,
    FingerMove,
    bars_with_most,
    hop_notes,
    slide_notes,
    stretched_notes,
    work_by_bar,
)
from .plan.plan import Between, Excursion, FingeredNote, Plan, Shift, Span
from .plan.printing import (
    Fingers,
    PositionWord,
    PrintedNote,
    PrintedPlan,
    PrintingMemory,
    printed_plan,
    shift_lines,
)
from .plan.statistics import is_weak
from .plan.violations import ConstraintKind, ConstraintViolation, ViolationCause, constraint_violations
from .practice.barring import tuplet_of
from .practice.drills.passage_drills import bars_away
from .practice.excerpts import bars_of_plan
from .practice.heard import as_heard
from .practice.sheet import Bar, Bow, Exercise, Head, Section, Sheet, SheetForm, SheetNote, Tone
from .practice.sheets.arrangement import chosen_exercises, sheets_together, without_sections
from .practice.sheets.card import card_width, practice_card
from .practice.sheets.full_sheet import practice_sheet
from .practice.sheets.tasks import Task, tasks
from .practice.sheets.week import WeekRow, week_plan
from .practice.tunes.progressive import ShiftStudy, progressive_set
from .proposal.alternatives import Alternative, AlternativeKind, alternatives, begins_in
from .proposal.ease import Spared, ease, is_nearly_as_easy_at_home
from .proposal.explanation import (
    WHOLE_TONE,
    AnchorHelp,
    ExplainedProposal,
    Explanation,
    anchor_help,
    arrival_string,
    explain,
    plan_without_decisions,
    saving,
)
from .proposal.note_choices import NoteChoice, note_choices
from .proposal.part_memory import PartMemory
from .proposal.proposal import PlannedPart, Proposal, propose
from .proposal.repeat_ends import Jump, align_repeat_ends, jump_effort, jumps
from .proposal.repeats import Repeat, align_repeats, repeats
from .proposal.verdict import Reason
from .search.k_best import RouteSearch, RouteSegment
from .search.planner import NO_DECISIONS, Route, cheapest_route
from .search.shortest_path import cheapest_path
from .text import Name, Text, english, joined

__all__ = [
    "ALL",
    "DEFAULT_LEVEL",
    "FINGERS",
    "FIRST",
    "FIRST_AND_THIRD",
    "HELD_SECONDS",
    "HIGHEST_POSITION",
    "HOME_POSITION",
    "INSTRUMENTS",
    "LEAST_SCALE",
    "LETTERS",
    "LEVELS",
    "MOST_SCALE",
    "NODES",
    "NOTHING_PRINTED",
    "NO_DECISIONS",
    "PARTIALS",
    "REST_FOR_A_SHIFT",
    "SCALES",
    "SFORZATI",
    "STANDARD",
    "STANDARD_HAND",
    "TO_FIFTH",
    "TO_THIRD",
    "UNCONSTRAINED",
    "VIOLA",
    "VIOLIN",
    "WHOLE_TONE",
    "Alternative",
    "AlternativeKind",
    "AnchorHelp",
    "Aspect",
    "Bar",
    "BarDifficulty",
    "BarWork",
    "Between",
    "Bow",
    "Candidates",
    "Character",
    "Concern",
    "Constraint",
    "ConstraintKind",
    "ConstraintViolation",
    "Decisions",
    "Demand",
    "Event",
    "Excursion",
    "Exemption",
    "Exercise",
    "ExplainedProposal",
    "Explanation",
    "Expression",
    "Figures",
    "Finding",
    "FingerMove",
    "FingerPattern",
    "FingerPlacement",
    "Fingerboard",
    "FingerboardSpot",
    "FingeredNote",
    "FingeredPiece",
    "FingeringHand",
    "Fingers",
    "Flag",
    "Grip",
    "Hairpin",
    "Head",
    "Instrument",
    "Jump",
    "Key",
    "Kind",
    "LearnedHand",
    "LeftOut",
    "Level",
    "Measure",
    "Name",
    "Note",
    "NoteChoice",
    "Outcome",
    "PartMemory",
    "Passage",
    "Pin",
    "Pitch",
    "PlacedNote",
    "Plan",
    "PlannedPart",
    "Policy",
    "PositionWord",
    "Printed",
    "PrintedNote",
    "PrintedPlan",
    "PrintingMemory",
    "Proposal",
    "Reason",
    "Repeat",
    "RequiredLevel",
    "Review",
    "Route",
    "RouteSearch",
    "RouteSegment",
    "Rule",
    "Scope",
    "Section",
    "Setting",
    "Severity",
    "Sheet",
    "SheetForm",
    "SheetNote",
    "Shift",
    "ShiftKind",
    "ShiftStudy",
    "Sign",
    "Span",
    "Spared",
    "Stop",
    "Task",
    "Technique",
    "Term",
    "Text",
    "Tone",
    "Touch",
    "ViolationCause",
    "WeekRow",
    "Weights",
    "Words",
    "align_repeat_ends",
    "align_repeats",
    "all_rules",
    "alternatives",
    "anchor_help",
    "arrival_string",
    "as_heard",
    "aspect_of",
    "bar_length",
    "bar_number",
    "bars_away",
    "bars_beyond",
    "bars_of_plan",
    "bars_with_most",
    "beat_length",
    "begins_in",
    "by_aspect",
    "card_width",
    "cheapest_path",
    "cheapest_route",
    "chosen_exercises",
    "constraint_violations",
    "crossing_at",
    "decisions_with_pins",
    "difficulty_by_bar",
    "ease",
    "english",
    "events_after_restez",
    "events_beyond",
    "explain",
    "figures",
    "finger_patterns",
    "fingerboard_in",
    "frame_excess",
    "grips_for",
    "hardest",
    "held_weak",
    "hop_notes",
    "hops",
    "in_key",
    "is_nearly_as_easy_at_home",
    "is_short_bar",
    "is_split_bar",
    "is_stretched",
    "is_weak",
    "joined",
    "jump_effort",
    "jumps",
    "learn_hand",
    "node_strings",
    "note_choices",
    "plan_without_decisions",
    "positions_in_force",
    "practice_card",
    "practice_sheet",
    "printed_decisions",
    "printed_plan",
    "progressive_set",
    "propose",
    "repeats",
    "required_level",
    "review_passage",
    "same_pitch",
    "saving",
    "sheets_together",
    "shift_lines",
    "slide_notes",
    "stops_for",
    "stretched",
    "stretched_notes",
    "tasks",
    "terms_at",
    "touches",
    "tuplet_of",
    "week_plan",
    "whole_bar",
    "without_sections",
    "work_by_bar",
]
