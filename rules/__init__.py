"""The trade of the left hand: the one front door; everything outside imports from here and from nowhere below."""

from .alternatives import Alternative, OtherWay, alternatives
from .barring import bar_length, beat_length, tuplet_of
from .best_routes import Way, Ways
from .candidates import FREE, Candidates, Decisions, Fixed
from .catalogue import all_rules
from .circumstance import Character
from .decision import Miss, Pin, Unmet, Why, pinned, printed_decisions, unmet
from .difficulty import BarDifficulty, difficulty_by_bar, hardest
from .effort import STANDARD, Kind, Term, Weights
from .exercises_passage import bars_of_plan
from .explanation import (
    Advised,
    AnchorHelp,
    Aspect,
    Explanation,
    anchor_help,
    aspect_of,
    by_aspect,
    explain,
    saving,
    undecided,
)
from .figures import Figures, crossing_at, figures, held_weak, hops, stretched
from .fingerboard import Fingerboard, Place, Placing, fingerboard_in, same_pitch
from .hand import FINGERS, HIGHEST_POSITION, Grip, Stop, frame_excess, grips_for, stops_for
from .harmonics import NODES, PARTIALS, Touch, node_strings, touches
from .instrument import INSTRUMENTS, LETTERS, VIOLA, VIOLIN, Instrument, Pitch
from .jumps import Jump, joined, jump_effort, jumps
from .ladder import Key
from .level import ALL, DEFAULT_LEVEL, FIRST, FIRST_AND_THIRD, LEVELS, TO_FIFTH, TO_THIRD, Level, ShiftKind
from .marking import Advice, Fingers, PositionWord, advice, position_words, shift_lines
from .minplus import STAGES_IN_A_TREE, CheapestPath
from .motifs import Repeat, repeats, same_again
from .need import Need, level_needed
from .passage import NOTHING_PRINTED, Event, Measure, Note, Passage, Printed, Technique, Words
from .pattern import FingerPattern, finger_patterns
from .plan import HOME_POSITION, Excursion, Placed, Plan, Shift, Span, in_key
from .planner import NO_DECISIONS, Route, cheapest_route, effort_of
from .policy import Exemption, Policy, Setting
from .practice import Task, practice_sheet, tasks
from .progressive import ShiftStudy, progressive_set
from .proposal import Planned, Proposal, propose
from .review import Flag, Review, review_passage
from .rule import Finding, Outcome, Rule, Scope, Severity
from .sheet import Bar, Exercise, Section, Sheet, SheetNote, Tone
from .words_in_force import positions_in_force, staying
from .worth import Reason

__all__ = [
    "ALL",
    "DEFAULT_LEVEL",
    "FINGERS",
    "FIRST",
    "FIRST_AND_THIRD",
    "FREE",
    "HIGHEST_POSITION",
    "HOME_POSITION",
    "INSTRUMENTS",
    "LETTERS",
    "LEVELS",
    "NODES",
    "NOTHING_PRINTED",
    "NO_DECISIONS",
    "PARTIALS",
    "STAGES_IN_A_TREE",
    "STANDARD",
    "TO_FIFTH",
    "TO_THIRD",
    "VIOLA",
    "VIOLIN",
    "Advice",
    "Advised",
    "Alternative",
    "AnchorHelp",
    "Aspect",
    "Bar",
    "BarDifficulty",
    "Candidates",
    "Character",
    "CheapestPath",
    "Decisions",
    "Event",
    "Excursion",
    "Exemption",
    "Exercise",
    "Explanation",
    "Figures",
    "Finding",
    "FingerPattern",
    "Fingerboard",
    "Fingers",
    "Fixed",
    "Flag",
    "Grip",
    "Instrument",
    "Jump",
    "Key",
    "Kind",
    "Level",
    "Measure",
    "Miss",
    "Need",
    "Note",
    "OtherWay",
    "Outcome",
    "Passage",
    "Pin",
    "Pitch",
    "Place",
    "Placed",
    "Placing",
    "Plan",
    "Planned",
    "Policy",
    "PositionWord",
    "Printed",
    "Proposal",
    "Reason",
    "Repeat",
    "Review",
    "Route",
    "Rule",
    "Scope",
    "Section",
    "Setting",
    "Severity",
    "Sheet",
    "SheetNote",
    "Shift",
    "ShiftKind",
    "ShiftStudy",
    "Span",
    "Stop",
    "Task",
    "Technique",
    "Term",
    "Tone",
    "Touch",
    "Unmet",
    "Way",
    "Ways",
    "Weights",
    "Why",
    "Words",
    "advice",
    "all_rules",
    "alternatives",
    "anchor_help",
    "aspect_of",
    "bar_length",
    "bars_of_plan",
    "beat_length",
    "by_aspect",
    "cheapest_route",
    "crossing_at",
    "difficulty_by_bar",
    "effort_of",
    "explain",
    "figures",
    "finger_patterns",
    "fingerboard_in",
    "frame_excess",
    "grips_for",
    "hardest",
    "held_weak",
    "hops",
    "in_key",
    "joined",
    "jump_effort",
    "jumps",
    "level_needed",
    "node_strings",
    "pinned",
    "position_words",
    "positions_in_force",
    "practice_sheet",
    "printed_decisions",
    "progressive_set",
    "propose",
    "repeats",
    "review_passage",
    "same_again",
    "same_pitch",
    "saving",
    "shift_lines",
    "staying",
    "stops_for",
    "stretched",
    "tasks",
    "touches",
    "tuplet_of",
    "undecided",
    "unmet",
]
