"""A part planned as proposed: the best route, what repeats fingered alike, and the ends of repeats joined."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, partial

from ..cost.context import Character
from ..cost.standard_terms import STANDARD, Weights
from ..hand.grip import HOME_POSITION, Stop, frame_excess, own_position
from ..hand.level import FIRST, Level
from ..marks.constraints import Decisions
from ..music.instrument import LETTERS, Pitch
from ..music.key import in_key
from ..music.passage import Passage
from ..plan.counted_figures import Figures
from ..plan.finger_pattern import finger_patterns
from ..plan.plan import Excursion, Plan, Span, spans_by_position
from ..search.k_best import RouteSearch
from ..search.planner import NO_DECISIONS
from .out_of_reach import OutOfReach, out_of_reach
from .part_memory import PartMemory, route_key
from .repeat_ends import align_repeat_ends
from .repeats import align_repeats
from .verdict import ExcursionVerdict, Reason, colder, verdicts, warmer


@dataclass(frozen=True, slots=True)
class Proposal:
    """One excursion that is proposed.

    Attributes:
        excursion: where, and with which shifts.
        reasons: at least one, the weightiest first.
        before: figures of the same bars in first position.
        after: figures as proposed.
        out_of_reach: what first position lacks in these bars.
        warmer: the long notes that sound on an open string or the fourth finger in first position only, by event.
        colder: the long notes that sound so as proposed only.
        anchors: for every position used, the note under the first finger on each string touched.
    """

    excursion: Excursion
    reasons: tuple[Reason, ...]
    before: Figures
    after: Figures
    out_of_reach: OutOfReach
    warmer: tuple[int, ...]
    colder: tuple[int, ...]
    anchors: Mapping[int, Mapping[int, Pitch]]


@dataclass(frozen=True, eq=False)
class FirstPosition:
    """The part in first position, as far as it reaches; planned as soon as somebody asks."""

    decisions: Decisions
    memory: PartMemory

    @cached_property
    def plan(self) -> Plan:
        """The plan; decisions that lead away from first position do not bind it, or it could not be compared with."""
        plan = self.memory.plan(FIRST, self.decisions)
        away = self.decisions.keys() & set(_away_from_home(plan))
        if not away:
            return plan
        return self.memory.plan(FIRST, {id: fixed for id, fixed in self.decisions.items() if id not in away})

    @cached_property
    def routes(self) -> RouteSearch:
        """The routes of the hand in first position."""
        return self.memory.routes(self.plan)


@dataclass(frozen=True, eq=False)
class PlannedPart:
    """A part planned as proposed, beside first position throughout."""

    plan: Plan
    first_position: FirstPosition

    @cached_property
    def routes(self) -> RouteSearch:
        """The routes of the plan."""
        return self.first_position.memory.routes(self.plan)

    @property
    def home(self) -> Plan:
        """The part in first position."""
        return self.first_position.plan

    @cached_property
    def verdicts(self) -> tuple[ExcursionVerdict, ...]:
        """Every excursion of the plan with its reasons."""
        return verdicts(self.home, self.plan, lambda: self.first_position.memory.repeats)

    @cached_property
    def proposals(self) -> tuple[Proposal, ...]:
        """The excursions of the plan, each with why."""
        return tuple(map(self._proposal, self.verdicts))

    def _proposal(self, of: ExcursionVerdict) -> Proposal:
        excursion, both = of.excursion, (self.home, self.plan)
        lacking, tone = out_of_reach(*both, excursion), (warmer(*both, excursion), colder(*both, excursion))
        return Proposal(excursion, of.reasons, of.before, of.after, lacking, *tone, self._anchors(excursion))

    def _anchors(self, excursion: Excursion) -> dict[int, dict[int, Pitch]]:
        key = "anchors", route_key(self.plan, excursion.first, excursion.spans[-1].last)
        return self.first_position.memory.remembered(key, lambda: anchors(self.plan, excursion))


def propose(
    passage: Passage,
    level: Level,
    weights: Weights = STANDARD,
    decisions: Decisions = NO_DECISIONS,
    character: Character = Character.FROM_THE_PART,
    memory: PartMemory | None = None,
) -> PlannedPart:
    """Plan the passage at the level: the best route, with what repeats fingered alike.

    What leaving first position costs at a level is part of the effort, so one search decides where to go, where to move
    and where to come home. What repeats is then fingered alike where that costs little (see `repeats`), and where a
    repeat makes the hand jump, its ends are brought together if that costs less than the jump (see `repeat_ends`).

    With the memory of earlier plans of the passage (of the same weights and character) the plan comes sooner. It is the
    same plan.
    """
    first_position = FirstPosition(decisions, memory or PartMemory(passage, weights, character))
    planning = _Planning(first_position, level)
    return PlannedPart(planning.align_repeat_ends(planning.alike(planning.plan())), first_position)


class _Planning:
    """A part that is planned again and again, each time under more decisions."""

    def __init__(self, first_position: FirstPosition, level: Level) -> None:
        self._of, self._memory = first_position, first_position.memory
        self._level = level
        self.bound = dict(first_position.decisions)

    def plan(self) -> Plan:
        """Plan under what is decided so far."""
        return self._memory.plan(self._level, self.bound)

    def alike(self, plan: Plan) -> Plan:
        """Finger alike what repeats."""
        return self._under(align_repeats(plan, partial(self._memory.routes, plan), self._memory.repeats), plan)

    def align_repeat_ends(self, plan: Plan) -> Plan:
        """Bring the ends of repeats together."""
        memory = self._memory
        ends = align_repeat_ends(plan, partial(memory.routes, plan), memory.weights, memory.character)
        return self._under(ends, plan)

    def _under(self, more: Decisions, plan: Plan) -> Plan:
        """The plan under more decisions, which give way to those that there are."""
        if not more:
            return plan
        self.bound = {**more, **self.bound}
        return self.plan()


def _away_from_home(plan: Plan) -> Iterator[str]:
    """Ids of notes that are played in another position, whether first position reaches them or not."""
    for index, event in enumerate(plan.passage.events):
        grip = plan.grip(index)
        if grip is not None and grip.position != HOME_POSITION:
            yield from (note.id for note in event.notes)


def anchors(plan: Plan, excursion: Excursion) -> dict[int, dict[int, Pitch]]:
    """Return, for each position of the excursion, the anchor note on every string that is touched there.

    It is the note under the first finger: the one that it plays most often in this position, of several the first, else
    where it stands in the shape of the hand, if it is not stretched, else as the music or the key has it. In half
    position there is none where the key has the letter of the open string as it is.
    """
    by_position = spans_by_position(excursion.spans).items()
    found = {position: _anchors_at(plan, excursion, position, spans) for position, spans in by_position}
    return {position: strings for position, strings in found.items() if strings}


def accidentals(plan: Plan, excursion: Excursion) -> dict[int, float]:
    """How the letters (from C, 0) are altered in an excursion: as most of their notes are, if more than half."""
    notes = Counter(note.pitch for index in excursion.events for note in plan.event(index).notes)
    by_letter: dict[int, Counter[float]] = {}
    for pitch, times in notes.items():
        by_letter.setdefault(pitch.letter % len(LETTERS), Counter())[pitch.alter] += times
    most = {letter: alters.most_common(1)[0] for letter, alters in by_letter.items()}
    return {letter: alter for letter, (alter, times) in most.items() if 2 * times > by_letter[letter].total()}


def _anchors_at(plan: Plan, excursion: Excursion, position: int, spans: Sequence[Span]) -> dict[int, Pitch]:
    instrument = plan.passage.instrument
    strings: set[int] = set()
    played: dict[int, Counter[Pitch]] = {}
    for stop in _stopped(plan, spans):
        strings.add(stop.string)
        if stop.finger == 1 and own_position(stop.letters, 1) == position:
            played.setdefault(stop.string, Counter())[stop.pitch(instrument)] += 1
    found = {string: pitches.most_common(1)[0][0] for string, pitches in played.items()}
    if strings - found.keys():
        shapes = {pattern.string: pattern.places[1] for pattern in finger_patterns(plan, *spans)}
        fifths, altered = plan.passage.measures[plan.event(spans[0].first).measure].fifths, accidentals(plan, excursion)
        for string in strings - found.keys():
            open_pitch = instrument.open_pitch(string)
            by_key = in_key(open_pitch.letter + position, fifths)
            here = replace(by_key, alter=altered.get(by_key.letter % len(LETTERS), by_key.alter))
            shape = shapes.get(string, by_key)
            shape = here if shape == by_key else shape
            stands = frame_excess(shape.midi - open_pitch.midi, 1, position) == 0
            if by_key.midi > open_pitch.midi:
                found[string] = shape if stands else by_key
    return dict(sorted(found.items()))


def _stopped(plan: Plan, spans: Iterable[Span]) -> Iterator[Stop]:
    for span in spans:
        for index in range(span.first, span.last + 1):
            grip = plan.grip(index)
            yield from (stop for stop in (grip.stops if grip else ()) if not stop.is_open)
