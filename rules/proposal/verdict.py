"""What an excursion is worth against first position: figures before and after, and what its shifts have to save.

What does not belong here: finding the route (`planner`), taking excursions back (`proposal`), wording.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import accumulate
from operator import add

from ..hand.level import ALL, ShiftKind
from ..music.passage import UNBOUND_REST
from ..plan.figures import Figures, figures
from ..plan.plan import Excursion, Plan
from .repeats import Repeat


class Reason(StrEnum):
    """Why to leave first position (S. George, "Teach Shifting to Young Violinists", 2012, names the first three)."""

    REACH = "reach"
    CROSSINGS = "crossings"
    TONE = "tone"
    HAND = "hand"
    AGAIN = "again"
    EASE = "ease"


GAINS = {Reason.REACH: 4.0, Reason.CROSSINGS: 0.4, Reason.TONE: 3.0, Reason.HAND: 2.0}
"""What a figure that falls by one is worth; a shift and its way back have to save about ten crossings."""
LONG_HELD, LONG_SECONDS = 1.5, 1.8
"""By how much a held note counts more, and from what length."""
PRICES = {
    ShiftKind.REST: 2.0,
    ShiftKind.OPEN_STRING: 2.5,
    ShiftKind.SAME_FINGER: 3.25,
    ShiftKind.GUIDE_FINGER: 3.25,
    ShiftKind.BOW_CHANGE: 4.0,
    ShiftKind.SLUR: 4.5,
}
"""What a move of the hand has to save: fewer moves are an aim in themselves (common practice)."""
PRICE_OF_STARTING_AWAY = 3.5
"""The same for a first note that has to be found without coming from first position."""

WITHIN_THE_PHRASE = 0.5
"""What moving within a phrase has to save besides, where the hand could have moved before it."""

IN_QUICK_NOTES = 2.0
"""And where the note before leaves the hand no time."""
TIME_TO_MOVE = 0.25
"""Seconds that a rest or an open string has to last for the hand to move over it at ease."""

WORTH_GOING_HOME = 4
"""Events that are worth going home for where nothing else speaks for it or against it."""

LEAST_REASON = 1.5
"""Gain below which a figure is no reason besides another one: up to three crossings."""

EFFORT_THAT_PAYS = 4.0
"""Effort saved, shifts included, for which an excursion pays though no figure shows why: slides, reaches, colour."""


@dataclass(frozen=True, slots=True)
class ExcursionVerdict:
    """One excursion with the figures of its bars in first position and as planned.

    `reasons` is empty if what is gained does not pay for the shifts; otherwise the weightiest reason comes first.
    """

    excursion: Excursion
    before: Figures
    after: Figures
    reasons: tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class _Balance:
    """What an excursion gains by reason, and what its shifts have to save."""

    excursion: Excursion
    before: Figures
    after: Figures
    gains: dict[Reason, float]
    price: float

    @property
    def pays(self) -> bool:
        return self.lacking or _pays((self,))

    @property
    def lacking(self) -> bool:
        """First position lacks notes of it: it pays whatever else it does."""
        return self.gains[Reason.REACH] > 0

    @property
    def best(self) -> tuple[Reason, ...]:
        """What is gained, most first; besides the weightiest reason only those that would count by themselves.

        What first position lacks comes before everything else. Effort saved is no reason to give where there is one
        that can be counted.
        """
        counted = [r for r in Reason if self.gains.get(r, 0) > 0 and r is not Reason.EASE]
        gained = sorted(counted, key=lambda r: (r is not Reason.REACH, -self.gains[r]))
        return tuple(r for r in gained if r is gained[0] or self.gains[r] >= LEAST_REASON)

    @property
    def nearly(self) -> bool:
        """It does not pay by its figures, and yet spares the hand something."""
        return not self.pays and max(self.gains[Reason.HAND], self.gains[Reason.TONE]) > 0

    def paid(self) -> _Balance:
        """The same with its price met by the effort saved."""
        return replace(self, gains=self.gains | {Reason.EASE: self.price - sum(self.gains.values())})

    def verdict(self, reasons: tuple[Reason, ...]) -> ExcursionVerdict:
        return ExcursionVerdict(self.excursion, self.before, self.after, reasons)


def _pays(balances: Sequence[_Balance]) -> bool:
    """True if the gains together come up to the prices together."""
    return sum(sum(b.gains.values()) for b in balances) >= sum(b.price for b in balances)


def weigh(
    home: Plan, plan: Plan, repeats: Callable[[], Sequence[Repeat]], saved: Callable[[Excursion], float]
) -> tuple[ExcursionVerdict, ...]:
    """Weigh every excursion of a plan against the part in first position.

    An excursion pays by its figures, or else by the effort it saves where it spares the hand stretches or hops.

    The same excursion where the same music returns is weighed together: both pay or neither. At the level of the whole
    fingerboard every excursion stays: who knows it moves for less than figures show, and the planner has weighed the
    effort. `repeats` looks up what repeats in the passage, `saved` the effort that an excursion saves; they are called
    only if that can change anything.
    """
    balances = [_balance(home, plan, excursion) for excursion in plan.excursions]
    if plan.level is ALL:
        return tuple(balance.verdict(balance.best or (Reason.EASE,)) for balance in balances)
    balances = [b.paid() if b.nearly and saved(b.excursion) >= EFFORT_THAT_PAYS else b for b in balances]
    groups: Sequence[Sequence[int]] = [(i,) for i in range(len(balances))]
    if len({balance.pays for balance in balances}) == 2:
        groups = _returning([balance.excursion for balance in balances], repeats())
    found = [balance.verdict(()) for balance in balances]
    for group in groups:
        lacking = [i for i in group if balances[i].lacking]
        others = [i for i in group if i not in lacking]
        for i in (*lacking, *(others if _pays([balances[i] for i in others]) else ())):
            found[i] = balances[i].verdict(balances[i].best or (Reason.AGAIN,))
    return tuple(found)


def unprofitable_ends(home: Plan, plan: Plan, excursion: Excursion) -> Iterator[range]:
    """Yield the ends of an excursion that do not pay for themselves.

    The hand could as well move later (or come home earlier): what the end gains is no more than what the other place
    for the move spares, or the end loses as much as that place costs.
    """
    if plan.level is ALL:
        return
    first, last = excursion.first, excursion.last
    way_in = next((PRICES[shift.kind] for shift in excursion.shifts if shift.arrival == first), PRICE_OF_STARTING_AWAY)
    way_out = next((PRICES[shift.kind] for shift in excursion.shifts if shift.departure == last), 0.0)
    prices = ((index, _price_of_moving(home, plan, index)) for index in range(first + 1, last + 1))
    cuts = [(index, price) for index, price in prices if price]
    gained = _Gained.of(home, plan, excursion)
    for price, ends in (
        (way_in, [(range(first, index), cost) for index, cost in cuts]),
        (way_out, [(range(index, last + 1), cost) for index, cost in cuts]),
    ):
        losses = [(price - cost - gained.by(end), end) for end, cost in ends]
        loss, end = max(losses, key=lambda found: found[0], default=(-1.0, range(0)))
        if loss > 0 or (loss == 0 and len(end) >= WORTH_GOING_HOME):
            yield end


@dataclass(frozen=True, slots=True)
class _Gained:
    """What an excursion gains, summed from its first event on: by how each lies, by the way to each, and what lacks."""

    first: int
    held: list[float]
    ways: list[float]
    lacking: list[int]

    @classmethod
    def of(cls, home: Plan, plan: Plan, excursion: Excursion) -> _Gained:
        inside = slice(excursion.first, excursion.last + 1)
        ways = slice(excursion.first, excursion.last + 2)
        one, other = home.counts, plan.counts
        hand, crossings = GAINS[Reason.HAND], GAINS[Reason.CROSSINGS]
        stretched = zip(one.stretched[inside], other.stretched[inside], strict=True)
        held = [tone + hand * (a - b) for tone, (a, b) in zip(_tone(home, plan, inside), stretched, strict=True)]
        crossed = zip(one.crossings[ways], other.crossings[ways], strict=True)
        uneasy = zip(
            map(add, one.hops[ways], one.slides[ways]), map(add, other.hops[ways], other.slides[ways]), strict=True
        )
        led = [
            crossings * (min(a, 2) - min(b, 2)) + hand * (c - d) for (a, b), (c, d) in zip(crossed, uneasy, strict=True)
        ]
        lacking = [option.only_beyond for option in home.route.options[inside]]
        return cls(excursion.first, *([0, *accumulate(values)] for values in (held, led, lacking)))

    def by(self, end: range) -> float:
        """What an end gains, the ways to it and on from it included; without limit if first position lacks notes."""
        start, stop = end.start - self.first, end.stop - self.first
        if self.lacking[stop] > self.lacking[start]:
            return math.inf
        after = min(stop + 1, len(self.ways) - 1)
        return self.held[stop] - self.held[start] + self.ways[after] - self.ways[start]


def _price_of_moving(home: Plan, plan: Plan, index: int) -> float:
    """What a move just before an event has to save; 0 where the hand may not move."""
    event, waiting = plan.event(index), home.grip(index - 1)
    if event.rest >= UNBOUND_REST:
        return PRICES[ShiftKind.REST]
    if event.slurred:
        return 0.0
    open_for = plan.event(index - 1).seconds if waiting is not None and waiting.is_open else 0.0
    if event.rest >= TIME_TO_MOVE or open_for >= TIME_TO_MOVE:
        return PRICES[ShiftKind.OPEN_STRING]
    hurried = plan.event(index - 1).seconds < TIME_TO_MOVE
    return PRICES[ShiftKind.BOW_CHANGE] + WITHIN_THE_PHRASE + (IN_QUICK_NOTES if hurried else 0.0)


def _balance(home: Plan, plan: Plan, excursion: Excursion) -> _Balance:
    events = slice(excursion.first, excursion.last + 1)
    before = figures(home, excursion.first, excursion.last)
    after = figures(plan, excursion.first, excursion.last)
    spared = sum(PRICES[shift.kind] for shift in home.shifts_between(excursion.first, excursion.last))
    gains = {
        Reason.REACH: GAINS[Reason.REACH] * sum(option.only_beyond for option in home.route.options[events]),
        Reason.CROSSINGS: GAINS[Reason.CROSSINGS] * (before.crossings - after.crossings + before.skips - after.skips),
        Reason.TONE: sum(_tone(home, plan, events)) if before.held_weak != after.held_weak else 0.0,
        Reason.HAND: GAINS[Reason.HAND] * (_uneasy(before) - _uneasy(after)),
    }
    return _Balance(excursion, before, after, gains, _price(excursion) - spared)


def _tone(home: Plan, plan: Plan, events: slice) -> list[float]:
    """What each event gains in tone: more if it is long."""
    weak = zip(home.counts.held_weak[events], plan.counts.held_weak[events], strict=True)
    return [
        GAINS[Reason.TONE] * (a - b) * (LONG_HELD if event.seconds >= LONG_SECONDS else 1.0)
        for event, (a, b) in zip(plan.passage.events[events], weak, strict=True)
    ]


def _uneasy(figures: Figures) -> int:
    """How often the hand stretches, hops or slides."""
    return figures.stretches + figures.hops + figures.slides


def _price(excursion: Excursion) -> float:
    """What the shifts of an excursion have to save; a start away from first position has its price as well."""
    led_to = any(shift.arrival == excursion.first for shift in excursion.shifts)
    return sum(PRICES[shift.kind] for shift in excursion.shifts) + (0.0 if led_to else PRICE_OF_STARTING_AWAY)


def _returning(excursions: Sequence[Excursion], repeats: Sequence[Repeat]) -> list[list[int]]:
    """Excursions in groups: those that begin or end at the same place of music that returns note by note."""
    group = list(range(len(excursions)))
    for side in ("first", "last"):
        at = {getattr(excursion, side): i for i, excursion in enumerate(excursions)}
        for repeat in repeats:
            if not repeat.exact:
                continue
            for event in range(repeat.earlier, repeat.earlier + repeat.length):
                one, other = at.get(event), at.get(event + repeat.later - repeat.earlier)
                if one is not None and other is not None:
                    merged, kept = group[other], group[one]
                    group = [kept if g == merged else g for g in group]
    return [[i for i, g in enumerate(group) if g == name] for name in dict.fromkeys(group)]
