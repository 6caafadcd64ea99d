"""What an excursion is worth against first position: figures before and after, and what its shifts have to save.

What does not belong here: finding the route (`planner`), taking excursions back (`proposal`), wording.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from .figures import Figures, figures
from .level import ALL, ShiftKind
from .motifs import Repeat
from .plan import Excursion, Plan


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

LEAST_REASON = 1.5
"""Gain below which a figure is no reason besides another one: up to three crossings."""

EFFORT_THAT_PAYS = 4.0
"""Effort saved, shifts included, for which an excursion pays though no figure shows why: slides, reaches, colour."""


@dataclass(frozen=True, slots=True)
class Worth:
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
        return _pays((self,))

    @property
    def best(self) -> tuple[Reason, ...]:
        """What is gained, most first; besides the weightiest reason only those that would count by themselves."""
        gained = sorted((r for r in Reason if self.gains.get(r, 0) > 0), key=lambda r: -self.gains[r])
        return tuple(r for r in gained if r is gained[0] or self.gains[r] >= LEAST_REASON)

    @property
    def nearly(self) -> bool:
        """It does not pay by its figures, and yet spares the hand something."""
        return not self.pays and self.gains[Reason.HAND] > 0

    def paid(self) -> _Balance:
        """The same with its price met by the effort saved."""
        return replace(self, gains=self.gains | {Reason.EASE: self.price - sum(self.gains.values())})

    def worth(self, reasons: tuple[Reason, ...]) -> Worth:
        return Worth(self.excursion, self.before, self.after, reasons)


def _pays(balances: Sequence[_Balance]) -> bool:
    """Notes that first position lacks always pay; else the gains together have to come up to the prices together."""
    if any(balance.gains[Reason.REACH] > 0 for balance in balances):
        return True
    return sum(sum(b.gains.values()) for b in balances) >= sum(b.price for b in balances)


def weigh(
    home: Plan, plan: Plan, repeats: Callable[[], Sequence[Repeat]], saved: Callable[[Excursion], float]
) -> tuple[Worth, ...]:
    """Weigh every excursion of a plan against the part in first position.

    An excursion pays by its figures, or else by the effort it saves where it spares the hand stretches or hops.

    The same excursion where the same music returns is weighed together: both pay or neither. At the level of the whole
    fingerboard every excursion stays: who knows it moves for less than figures show, and the planner has weighed the
    effort. `repeats` looks up what repeats in the passage, `saved` the effort that an excursion saves; they are called
    only if that can change anything.
    """
    balances = [_balance(home, plan, excursion) for excursion in plan.excursions]
    if plan.level is ALL:
        return tuple(balance.worth(balance.best or (Reason.EASE,)) for balance in balances)
    balances = [b.paid() if b.nearly and saved(b.excursion) >= EFFORT_THAT_PAYS else b for b in balances]
    groups: Sequence[Sequence[int]] = [(i,) for i in range(len(balances))]
    if len({balance.pays for balance in balances}) == 2:
        groups = _returning([balance.excursion for balance in balances], repeats())
    found = [balance.worth(()) for balance in balances]
    for group in groups:
        if _pays([balances[i] for i in group]):
            for i in group:
                found[i] = balances[i].worth(balances[i].best or (Reason.AGAIN,))
    return tuple(found)


def _balance(home: Plan, plan: Plan, excursion: Excursion) -> _Balance:
    before = figures(home, excursion.first, excursion.last)
    after = figures(plan, excursion.first, excursion.last)
    gains = {
        Reason.REACH: GAINS[Reason.REACH] * (before.unreachable - after.unreachable),
        Reason.CROSSINGS: GAINS[Reason.CROSSINGS] * (before.crossings - after.crossings + before.skips - after.skips),
        Reason.TONE: GAINS[Reason.TONE] * (before.held_weak - after.held_weak),
        Reason.HAND: GAINS[Reason.HAND] * (before.stretches - after.stretches + before.hops - after.hops),
    }
    return _Balance(excursion, before, after, gains, _price(excursion))


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
                    joined, kept = group[other], group[one]
                    group = [kept if g == joined else g for g in group]
    return [[i for i, g in enumerate(group) if g == name] for name in dict.fromkeys(group)]
