"""What becomes easier in an excursion in which none of the usual counts falls: what the effort is saved on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from ..hand.grip import FINGERS
from ..plan.counted_figures import grip_pair
from ..plan.plan import Excursion, Plan
from ..search.k_best import RouteSearch
from .proposal import PlannedPart

LEAST_EASE = 1.5
"""Effort below which first position is nearly as easy: an ordinary string crossing, half a shift.

In seven movements of quartets and trios, at the levels `all` and `to-fifth`, 17 of 162 excursions had no reason that is
counted: 8 of them saved less than 1, the others 1.5 to 6.6.
"""


class Spared(StrEnum):
    """What there is less of."""

    SEMITONE_SLIDES = "one of the first three fingers slides by a semitone while the hand stays"
    OPEN = "notes on open strings"
    FOURTH = "notes under the fourth finger"


_SAVED_ON = {
    Spared.SEMITONE_SLIDES: ("first finger slides", "first finger low and back", "other finger slides"),
    Spared.OPEN: ("open", "crossing to open"),
    Spared.FOURTH: ("fourth finger", "fourth reaching on a lower string", "crossing from the fourth"),
}
"""The quantities of effort that fall with each."""


@dataclass(frozen=True, slots=True)
class Ease:
    """What there is less of, how often in first position and how often as planned."""

    spared: Spared
    before: int
    after: int


def ease(planned: PlannedPart, excursion: Excursion) -> Ease | None:
    """Return of what there is less, that on which most effort is saved; None if nothing falls."""
    home, plan, saved = planned.home, planned.plan, _saved(planned, excursion)
    found = [
        (_saved_on(saved, each), Ease(each, _times(home, excursion, each), _times(plan, excursion, each)))
        for each in Spared
    ]
    falling = [(saving, told) for saving, told in found if saving > 0 and told.after < told.before]
    return max(falling, key=lambda each: each[0])[1] if falling else None


def is_nearly_as_easy_at_home(planned: PlannedPart, excursion: Excursion) -> bool:
    """Whether first position takes hardly more effort in the bars of an excursion."""
    return sum(_saved(planned, excursion).values()) < LEAST_EASE


def _saved(planned: PlannedPart, excursion: Excursion) -> Mapping[str, float]:
    return saving_by_term(planned.home, planned.plan, excursion, planned.first_position.routes, planned.routes)


def saving_by_term(
    home: Plan, plan: Plan, excursion: Excursion, home_routes: RouteSearch, routes: RouteSearch
) -> dict[str, float]:
    """Return the effort that an excursion saves against first position, by term, the way home included."""
    compared = events_compared(home, plan, excursion)
    return home_routes.rise(compared, home.route.chosen, routes, plan.route.chosen)


def events_compared(home: Plan, plan: Plan, excursion: Excursion) -> list[int]:
    """Return the events of an excursion whose effort can be compared with first position, and that of the way home.

    Notes that first position does not reach have no effort there: they and the ways from them are left out.
    """
    end = min(excursion.last + 1, len(plan.passage.events) - 1)
    options = home.route.options
    return [
        event
        for event in range(excursion.first, end + 1)
        if not options[event].beyond and not (event and options[event - 1].beyond)
    ]


def _saved_on(saved: Mapping[str, float], spared: Spared) -> float:
    return sum(value for term, value in saved.items() if term.partition(" (")[0] in _SAVED_ON[spared])


def _times(plan: Plan, excursion: Excursion, spared: Spared) -> int:
    if spared is Spared.SEMITONE_SLIDES:
        ways = range(excursion.first, min(excursion.last + 2, len(plan.grips)))
        return sum(_slides_by_a_semitone(plan, event) for event in ways)
    finger = 0 if spared is Spared.OPEN else FINGERS[-1]
    grips = (plan.grip(event) for event in excursion.events)
    return sum(stop.finger == finger for grip in grips if grip is not None for stop in grip.stops)


def _slides_by_a_semitone(plan: Plan, event: int) -> bool:
    pair = grip_pair(plan, event)
    return (
        pair is not None
        and pair[0].position == pair[1].position
        and any(
            a.finger == b.finger
            and 0 < a.finger < FINGERS[-1]
            and a.string == b.string
            and abs(a.semitones - b.semitones) == 1
            for a in pair[0].stops
            for b in pair[1].stops
        )
    )
