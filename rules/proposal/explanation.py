"""Why an excursion is proposed and how to learn it: savings by aspect, second opinions, patterns, anchors by ear."""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from types import MappingProxyType

from ..candidates.candidates import candidates
from ..cost.aspects import Aspect
from ..hand.grip import HOME_POSITION, Stop, frame_excess, grips_for
from ..music.instrument import LETTERS, Instrument, Pitch
from ..music.key import in_key
from ..plan.difficulty import BarDifficulty, difficulty_by_bar
from ..plan.finger_pattern import FingerPattern, finger_patterns
from ..plan.plan import Excursion, Plan, Span
from ..search.k_best import RouteSearch
from .alternatives import Alternative, alternatives, surroundings
from .ease import events_compared
from .part_memory import route_key
from .proposal import PlannedPart, Proposal, accidentals

OCTAVE = 12
WHOLE_TONE = 2


@dataclass(frozen=True, slots=True)
class AnchorHelp:
    """How to find an anchor by ear.

    Attributes:
        position: the position.
        string: the string on which the first finger stands.
        pitch: the anchor.
        climb: notes from an open string up to the anchor (or its octave below) in first position, that open string
            first; as they are played in the excursion, else as the key has them.
        known: the stop in first position that sounds the last note of the climb.
        octave_below: the climb ends an octave below the anchor, because first position does not reach it.
        rings_with: an open string a unison or octaves away, which rings along when the anchor is in tune.
        octaves: how many octaves the anchor lies above that open string (0: unison; below 0: lower).
    """

    position: int
    string: int
    pitch: Pitch
    climb: tuple[Pitch, ...]
    known: Stop
    octave_below: bool
    rings_with: int | None
    octaves: int


@dataclass(frozen=True, slots=True)
class ExplainedProposal:
    """Everything that can be told about one proposal.

    Attributes:
        proposal: the proposal.
        alternatives: the next best ways that differ musically, cheapest first.
        saving: effort saved against first position, by aspect (below 0: what the excursion costs).
        patterns: for each position, its finger patterns by string.
        anchors: how to find the anchors, for each position and string; where the hand arrives comes first.
    """

    proposal: Proposal
    alternatives: tuple[Alternative, ...]
    saving: Mapping[Aspect, float]
    patterns: tuple[FingerPattern, ...]
    anchors: tuple[AnchorHelp, ...]

    @property
    def listen(self) -> tuple[AnchorHelp, ...]:
        """One anchor for each position, where the hand arrives: the ear has one thing to do at a time."""
        first: dict[int, AnchorHelp] = {}
        for anchor in self.anchors:
            first.setdefault(anchor.position, anchor)
        return tuple(first.values())


@dataclass(frozen=True)
class Explanation:
    """A planned part explained; `routes` answers further questions about it (`items`)."""

    plan: Plan
    routes: RouteSearch
    proposals: tuple[ExplainedProposal, ...]
    curve: tuple[BarDifficulty, ...]

    def items(self, event: int) -> Mapping[str, float]:
        """Return what an event and the way to it cost, by term."""
        return self.routes.items(event, self.plan.route.chosen)


def explain(planned: PlannedPart) -> Explanation:
    """Return savings, alternatives, patterns and anchors of every proposal, and the curve of difficulty."""
    plan = plan_without_decisions(planned)
    routes = planned.first_position.memory.routes(plan)
    home = planned.first_position.routes if planned.proposals else routes

    def explained(places: list[int]) -> list[ExplainedProposal]:
        proposals = [planned.proposals[place] for place in places]
        excursions = [proposal.excursion for proposal in proposals]
        return [
            ExplainedProposal(
                proposal,
                others,
                saving(planned.home, plan, proposal.excursion, home, routes),
                finger_patterns(plan, *proposal.excursion.spans),
                _anchor_helps(plan, proposal),
            )
            for proposal, others in zip(proposals, alternatives(plan, excursions, routes), strict=True)
        ]

    def all_around(proposal: Proposal) -> Hashable:
        """What an explanation depends on: nothing but what is around the excursion."""
        first, last = surroundings(plan, proposal.excursion)
        around = route_key(plan, first, last), route_key(planned.home, first, last)
        return proposal.excursion, proposal.reasons, proposal.before, proposal.after, around

    keys = list(map(all_around, planned.proposals))
    found = tuple(planned.first_position.memory.remembered_each(keys, explained))
    return Explanation(plan, routes, found, difficulty_by_bar(plan, routes))


def plan_without_decisions(planned: PlannedPart) -> Plan:
    """Return the plan with every grip that was open to it when only marks and the player had decided.

    What the planner itself then decided (patterns fingered alike, excursions taken back) leaves fewer; a second opinion
    may go against that.
    """
    plan, first = planned.plan, planned.first_position
    options, chosen = [], []
    free = candidates(plan.passage, plan.level, first.decisions)
    for option, index, before in zip(free, plan.route.chosen, plan.route.options, strict=True):
        same = index < 0 or before.grips is option.grips
        kept = not same and before.grips[index] not in option.grips
        options.append(before if kept else option)
        chosen.append(index if same or kept else option.grips.index(before.grips[index]))
    return plan.with_candidates(tuple(options), tuple(chosen))


def saving(
    home: Plan, plan: Plan, excursion: Excursion, home_routes: RouteSearch, routes: RouteSearch
) -> dict[Aspect, float]:
    """Return the effort that an excursion saves against first position, by aspect (see `saving_by_term`)."""
    compared = events_compared(home, plan, excursion)
    return home_routes.rise_by_aspect(compared, home.route.chosen, routes, plan.route.chosen)


def _anchor_helps(plan: Plan, proposal: Proposal) -> tuple[AnchorHelp, ...]:
    fifths = plan.passage.measures[plan.event(proposal.excursion.first).measure].fifths
    arrivals = {span.position: arrival_string(plan, span) for span in reversed(proposal.excursion.spans)}
    played = accidentals(plan, proposal.excursion)
    helps = (
        anchor_help(plan.passage.instrument, position, string, pitch, fifths, played)
        for position, strings in proposal.anchors.items()
        for string, pitch in sorted(strings.items(), key=lambda item: (item[0] != arrivals[position], item[0]))
    )
    return tuple(found for found in helps if found is not None)


def arrival_string(plan: Plan, span: Span) -> int | None:
    """Return the string on which the hand arrives; in a chord that of its first finger, else the highest.

    A first finger that is stretched in a chord does not tell where the hand is.
    """
    for index in range(span.first, span.last + 1):
        grip = plan.grip(index)
        stops = [stop for stop in grip.stops if not stop.is_open] if grip else []
        if stops:
            return min(stops, key=lambda stop: (not _is_anchor(stop, span.position), stop.string)).string
    return None


def _is_anchor(stop: Stop, position: int) -> bool:
    return stop.finger == 1 and frame_excess(stop.semitones, 1, position) == 0


def anchor_help(
    instrument: Instrument,
    position: int,
    string: int,
    pitch: Pitch,
    fifths: int,
    played: Mapping[int, float] = MappingProxyType({}),
) -> AnchorHelp | None:
    """Return how to find an anchor by ear; None if not even octaves below it are known in first position.

    The notes on the way are those of the key, or as they are `played`: how letters (from C, 0) are altered.
    """
    target, below = pitch, 0
    known = _in_first(instrument, target, string)
    while known is None and target.midi - OCTAVE >= instrument.lowest.midi:
        target, below = target.transposed(-7, -OCTAVE), below + 1
        known = _in_first(instrument, target, string)
    if known is None:
        return None
    open_pitch = instrument.open_pitch(known.string)
    ringing = _ringing(instrument, string, pitch)
    climb = _climb(open_pitch, target, fifths, played)
    return AnchorHelp(position, string, pitch, climb, known, below > 0, *ringing)


def _climb(start: Pitch, goal: Pitch, fifths: int, played: Mapping[int, float]) -> tuple[Pitch, ...]:
    """The notes from one to another by letters: nobody tunes by a step wider than a whole tone."""
    if start == goal:
        return (start,)
    letters = range(start.letter + 1, goal.letter)
    in_the_key = [in_key(letter, fifths) for letter in letters]
    as_played = [replace(pitch, alter=played.get(pitch.letter % len(LETTERS), pitch.alter)) for pitch in in_the_key]
    for between in (as_played, in_the_key):
        climb = (start, *_narrowed(between, goal))
        if all(0 < b.midi - a.midi <= WHOLE_TONE for a, b in pairwise(climb)):
            return climb
    return _lowered(climb)


def _narrowed(between: Sequence[Pitch], goal: Pitch) -> list[Pitch]:
    """The notes and the goal, each note raised that lies more than a whole tone below the next."""
    found = [goal]
    for pitch in reversed(between):
        wide = max(found[-1].midi - pitch.midi - WHOLE_TONE, 0)
        found.append(replace(pitch, alter=pitch.alter + wide))
    return found[::-1]


def _lowered(climb: Sequence[Pitch]) -> tuple[Pitch, ...]:
    """A climb, each note lowered that lies more than a whole tone above the one before; both ends stay."""
    found = [climb[0]]
    for pitch in climb[1:-1]:
        wide = max(pitch.midi - found[-1].midi - WHOLE_TONE, 0)
        found.append(replace(pitch, alter=pitch.alter - wide))
    return (*found, climb[-1])


def _in_first(instrument: Instrument, pitch: Pitch, string: int) -> Stop | None:
    """How first position takes a pitch under its own letter: on the string of the anchor if it can, else nearby."""
    grips = grips_for((pitch,), instrument, frozenset({HOME_POSITION}))
    stops = [grip.stops[0] for grip in grips if grip.plain]
    return min(stops, key=lambda stop: (abs(stop.string - string), stop.is_open), default=None)


def _ringing(instrument: Instrument, string: int, pitch: Pitch) -> tuple[int | None, int]:
    """The open string, other than its own, that is nearest of those a whole number of octaves away."""
    found = []
    for other in instrument.string_numbers:
        distance = pitch.midi - instrument.open_pitch(other).midi
        if other != string and distance % OCTAVE == 0:
            found.append((abs(distance), abs(other - string), other, int(distance // OCTAVE)))
    if not found:
        return None, 0
    _, _, nearest, octaves = min(found)
    return nearest, octaves


__all__ = [
    "AnchorHelp",
    "ExplainedProposal",
    "Explanation",
    "anchor_help",
    "arrival_string",
    "explain",
    "plan_without_decisions",
    "saving",
]
