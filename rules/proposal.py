"""Each excursion weighed against first position: the reasons, with figures before and after.

What does not belong here: finding the route (`planner`), wording and printing.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property, partial

from .best_routes import Ways
from .candidates import Decisions, Fixed
from .circumstance import Character
from .effort import STANDARD, Weights
from .figures import Figures, figures
from .instrument import Pitch
from .jumps import joined
from .level import ALL, FIRST, Level, ShiftKind
from .motifs import same_again
from .passage import Passage
from .plan import HOME_POSITION, Excursion, Plan, in_key
from .planner import NO_DECISIONS, cheapest_route
from .technique import placed_by_technique

MOST_ROUNDS = 6


class Reason(StrEnum):
    """Why to leave first position (S. George, "Teach Shifting to Young Violinists", 2012, names the first three)."""

    REACH = "reach"
    CROSSINGS = "crossings"
    TONE = "tone"
    HAND = "hand"


GAINS = {Reason.REACH: 4.0, Reason.CROSSINGS: 0.5, Reason.TONE: 3.0, Reason.HAND: 2.0}
"""What a figure that falls by one is worth; a shift and its way back have to save more than half a dozen crossings."""
PRICES = {
    ShiftKind.REST: 2.0,
    ShiftKind.OPEN_STRING: 2.5,
    ShiftKind.SAME_FINGER: 3.25,
    ShiftKind.GUIDE_FINGER: 3.25,
    ShiftKind.BOW_CHANGE: 4.0,
    ShiftKind.SLUR: 4.5,
}
"""What a move of the hand has to save: fewer moves are an aim in themselves (common practice)."""
PRICE_OF_STARTING_AWAY = 2.0
"""The same for a first note that has to be found without coming from first position."""


@dataclass(frozen=True, slots=True)
class Proposal:
    """One excursion that pays.

    Attributes:
        excursion: where, and with which shifts.
        reasons: at least one, the weightiest first.
        before: figures of the same bars in first position.
        after: figures as proposed.
        anchors: for every position used, the note under the first finger on each string touched.
    """

    excursion: Excursion
    reasons: tuple[Reason, ...]
    before: Figures
    after: Figures
    anchors: Mapping[int, Mapping[int, Pitch]]


@dataclass(frozen=True, eq=False)
class FirstPosition:
    """The part in first position, as far as it reaches; planned as soon as somebody asks."""

    passage: Passage
    weights: Weights
    decisions: Decisions
    character: Character

    @cached_property
    def plan(self) -> Plan:
        """The plan; decisions that lead away from first position do not bind it, or it could not be compared with."""
        plan = self._planned(self.decisions)
        away = self.decisions.keys() & set(_away_from_home(plan))
        return self._planned({id: fixed for id, fixed in self.decisions.items() if id not in away}) if away else plan

    def _planned(self, decisions: Decisions) -> Plan:
        return Plan(self.passage, FIRST, cheapest_route(self.passage, FIRST, self.weights, decisions, self.character))


@dataclass(frozen=True, eq=False)
class Planned:
    """A part planned as proposed, beside first position throughout."""

    plan: Plan
    first_position: FirstPosition

    @property
    def home(self) -> Plan:
        """The part in first position."""
        return self.first_position.plan

    @property
    def weights(self) -> Weights:
        """The weights by which it was planned."""
        return self.first_position.weights

    @property
    def character(self) -> Character:
        """The character for which it was planned."""
        return self.first_position.character

    @cached_property
    def weighed(self) -> tuple[tuple[Excursion, tuple[Reason, ...]], ...]:
        """Every excursion of the plan with its reasons, none for one that does not pay."""
        return tuple((excursion, _reasons(self.home, self.plan, excursion)) for excursion in self.plan.excursions)

    @cached_property
    def proposals(self) -> tuple[Proposal, ...]:
        """The excursions that pay."""
        return tuple(_proposal(self.home, self.plan, e, reasons) for e, reasons in self.weighed if reasons)


def propose(
    passage: Passage,
    level: Level,
    weights: Weights = STANDARD,
    decisions: Decisions = NO_DECISIONS,
    character: Character = Character.FROM_THE_PART,
) -> Planned:
    """Plan the passage at the level, and keep only excursions that have a reason.

    What repeats is fingered alike where that costs little (see `motifs`), and where a repeat makes the hand jump, its
    ends are brought together if that costs less than the jump (see `jumps`). An excursion that does not pay is
    taken back: its notes are kept in first position and the part is planned again, until every excursion that is left
    has a reason (or was decided by a printed mark or the player).
    """
    first_position = FirstPosition(passage, weights, decisions, character)
    bound = dict(decisions)
    plan = Plan(passage, level, cheapest_route(passage, level, weights, bound, character))
    for decide in (same_again, partial(joined, weights=weights, character=character)):
        more = decide(plan, partial(Ways, passage, plan.route.options, level, weights, character))
        if more:
            bound = {**bound, **more, **decisions}
            plan = Plan(passage, level, cheapest_route(passage, level, weights, bound, character))
    planned = Planned(plan, first_position)
    for _ in range(MOST_ROUNDS):
        idle = [e for e, reasons in planned.weighed if not reasons and not _decided(plan, e, decisions)]
        if not idle or HOME_POSITION not in level.positions:
            break
        for excursion in idle:
            bound |= _stay_home(plan, excursion, decisions)
        plan = Plan(passage, level, cheapest_route(passage, level, weights, bound, character))
        planned = Planned(plan, first_position)
    return planned


def _proposal(home: Plan, plan: Plan, excursion: Excursion, reasons: tuple[Reason, ...]) -> Proposal:
    first, last = excursion.first, excursion.last
    return Proposal(
        excursion, reasons, figures(home, first, last), figures(plan, first, last), anchors(plan, excursion)
    )


def _reasons(home: Plan, plan: Plan, excursion: Excursion) -> tuple[Reason, ...]:
    """The reasons, weightiest first; none if what is gained does not pay for the shifts."""
    before = figures(home, excursion.first, excursion.last)
    after = figures(plan, excursion.first, excursion.last)
    gains = {
        Reason.REACH: GAINS[Reason.REACH] * (before.unreachable - after.unreachable),
        Reason.CROSSINGS: GAINS[Reason.CROSSINGS] * (before.crossings - after.crossings + before.skips - after.skips),
        Reason.TONE: GAINS[Reason.TONE] * (before.held_weak - after.held_weak),
        Reason.HAND: GAINS[Reason.HAND] * (before.stretches - after.stretches + before.hops - after.hops),
    }
    worth = [reason for reason in Reason if gains[reason] > 0]
    if plan.level is ALL:
        # Who knows the whole fingerboard moves for less than figures show; the effort has been weighed by the planner.
        worth = worth or [Reason.HAND]
    elif gains[Reason.REACH] <= 0 and sum(gains.values()) < _price(excursion):
        return ()
    return tuple(sorted(worth, key=lambda reason: -gains[reason]))


def _price(excursion: Excursion) -> float:
    """What the shifts of an excursion have to save; a start away from first position has its price as well."""
    led_to = any(shift.arrival == excursion.first for shift in excursion.shifts)
    return sum(PRICES[shift.kind] for shift in excursion.shifts) + (0.0 if led_to else PRICE_OF_STARTING_AWAY)


def _decided(plan: Plan, excursion: Excursion, decisions: Decisions) -> bool:
    """True if a mark, a technique or the player has asked for something within the excursion."""
    return any(
        note.id in decisions or placed_by_technique(note)
        for index in range(excursion.first, excursion.last + 1)
        for note in plan.event(index).notes
    )


def _away_from_home(plan: Plan) -> Iterator[str]:
    """Ids of notes that are played in another position although first position reaches them."""
    for index, event in enumerate(plan.passage.events):
        grip = plan.grip(index)
        if grip is not None and grip.position != HOME_POSITION and not plan.route.options[index].beyond:
            yield from (note.id for note in event.notes)


def _stay_home(plan: Plan, excursion: Excursion, decisions: Decisions) -> dict[str, Fixed]:
    return {
        note.id: Fixed(positions=frozenset({HOME_POSITION}))
        for index in range(excursion.first, excursion.last + 1)
        for note in plan.event(index).notes
        if note.id not in decisions
    }


def anchors(plan: Plan, excursion: Excursion) -> dict[int, dict[int, Pitch]]:
    """Return, for each position of the excursion, the anchor note on every string that is touched there."""
    found: dict[int, dict[int, Pitch]] = {}
    for span in excursion.spans:
        strings = found.setdefault(span.position, {})
        fifths = plan.passage.measures[plan.event(span.first).measure].fifths
        for index in range(span.first, span.last + 1):
            grip = plan.grip(index)
            for stop in grip.stops if grip else ():
                if not stop.is_open:
                    strings[stop.string] = anchor(plan, stop.string, span.position, fifths)
    return {position: dict(sorted(strings.items())) for position, strings in found.items() if strings}


def anchor(plan: Plan, string: int, position: int, fifths: int) -> Pitch:
    """Return the note under the first finger in a position on a string, as the key has it."""
    return in_key(plan.passage.instrument.open_pitch(string).letter + position, fifths)
