"""The trade of the left hand: the one front door; everything outside imports from here and from nowhere below."""

from .best_routes import Way, Ways
from .candidates import FREE, Candidates, Decisions, Fixed
from .catalogue import all_rules
from .circumstance import Character
from .decision import Pin, Unmet, pinned, printed_decisions, unmet
from .effort import STANDARD, Kind, Term, Weights
from .figures import Figures, crossing_at, figures, held_weak, hops, stretched
from .hand import FINGERS, HIGHEST_POSITION, Grip, Stop, frame_excess, grips_for, stops_for
from .instrument import INSTRUMENTS, LETTERS, VIOLA, VIOLIN, Instrument, Pitch
from .level import ALL, DEFAULT_LEVEL, FIRST, FIRST_AND_THIRD, LEVELS, TO_FIFTH, TO_THIRD, Level, ShiftKind
from .marking import Advice, Fingers, PositionWord, advice, position_words, shift_lines
from .need import Need, level_needed
from .passage import NOTHING_PRINTED, Event, Measure, Note, Passage, Printed, Technique, Words
from .plan import Excursion, Placed, Plan, Shift, Span, in_key
from .planner import NO_DECISIONS, Route, cheapest_route, effort_of
from .proposal import Planned, Proposal, Reason, propose
from .review import Flag, Review, review
from .rule import Finding, Outcome, Rule, Scope, Severity

__all__ = [
    "ALL",
    "DEFAULT_LEVEL",
    "FINGERS",
    "FIRST",
    "FIRST_AND_THIRD",
    "FREE",
    "HIGHEST_POSITION",
    "INSTRUMENTS",
    "LETTERS",
    "LEVELS",
    "NOTHING_PRINTED",
    "NO_DECISIONS",
    "STANDARD",
    "TO_FIFTH",
    "TO_THIRD",
    "VIOLA",
    "VIOLIN",
    "Advice",
    "Candidates",
    "Character",
    "Decisions",
    "Event",
    "Excursion",
    "Figures",
    "Finding",
    "Fingers",
    "Fixed",
    "Flag",
    "Grip",
    "Instrument",
    "Kind",
    "Level",
    "Measure",
    "Need",
    "Note",
    "Outcome",
    "Passage",
    "Pin",
    "Pitch",
    "Placed",
    "Plan",
    "Planned",
    "PositionWord",
    "Printed",
    "Proposal",
    "Reason",
    "Review",
    "Route",
    "Rule",
    "Scope",
    "Severity",
    "Shift",
    "ShiftKind",
    "Span",
    "Stop",
    "Technique",
    "Term",
    "Unmet",
    "Way",
    "Ways",
    "Weights",
    "Words",
    "advice",
    "all_rules",
    "cheapest_route",
    "crossing_at",
    "effort_of",
    "figures",
    "frame_excess",
    "grips_for",
    "held_weak",
    "hops",
    "in_key",
    "level_needed",
    "pinned",
    "position_words",
    "printed_decisions",
    "propose",
    "review",
    "shift_lines",
    "stops_for",
    "stretched",
    "unmet",
]
