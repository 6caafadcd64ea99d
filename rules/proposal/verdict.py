"""Why an excursion is worth its shifts, read off two optima: the plan, and the part in first position.

The search has decided already: what leaving, being away and moving cost is part of the effort, so nothing is taken back
here. Reasons are counted: what falls from the one plan to the other, in the same bars.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from ..plan.counted_figures import Figures, figures
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


WEIGHTS = {Reason.REACH: 4.0, Reason.CROSSINGS: 0.4, Reason.TONE: 3.0, Reason.HAND: 2.0}
"""How much one of each figure counts when reasons are put in order; ten crossings count like one note out of reach."""
LONG_HELD, LONG_SECONDS = 1.5, 1.8
"""By how much a held note counts more, and from what length."""
LEAST_REASON = 1.5
"""Gain below which a figure is no reason besides another one: up to three crossings."""


@dataclass(frozen=True, slots=True)
class ExcursionVerdict:
    """One excursion with the figures of its bars in first position and as planned.

    The weightiest reason comes first. Where nothing that can be counted falls, the reason is that the same music is
    played so elsewhere, or else that the hand lies easier.
    """

    excursion: Excursion
    before: Figures
    after: Figures
    reasons: tuple[Reason, ...]


def verdicts(home: Plan, plan: Plan, repeats: Callable[[], Sequence[Repeat]]) -> tuple[ExcursionVerdict, ...]:
    """Return every excursion of a plan with its reasons, compared with the part in first position.

    `repeats` looks up what repeats in the passage; it is called only if an excursion has no reason of its own.
    """
    found = [_verdict(home, plan, excursion) for excursion in plan.excursions]
    with_reason = {event for verdict in found if verdict.reasons for event in verdict.excursion.events}
    return tuple(
        verdict if verdict.reasons else replace(verdict, reasons=(_without_figures(verdict, with_reason, repeats()),))
        for verdict in found
    )


def _without_figures(verdict: ExcursionVerdict, with_reason: set[int], repeats: Sequence[Repeat]) -> Reason:
    """The reason of an excursion in which nothing that is counted falls."""
    inside = verdict.excursion.events
    for repeat in repeats:
        for here, there in ((repeat.earlier, repeat.later), (repeat.later, repeat.earlier)):
            both = range(max(here, inside.start), min(here + repeat.length, inside.stop))
            if repeat.exact and any(event - here + there in with_reason for event in both):
                return Reason.AGAIN
    return Reason.EASE


def _verdict(home: Plan, plan: Plan, excursion: Excursion) -> ExcursionVerdict:
    """The figures of an excursion and the reasons that they give; of one that an earlier plan had, as they were."""
    first, arrival = excursion.first, plan.way_out(excursion)
    grips = [each.grips_between(first - 1, arrival) for each in (home, plan)]
    moves = len(home.shifts_between(first, excursion.last))
    question = "verdict", plan.level, first, excursion.last
    return plan.latest.found(
        question, (excursion, arrival, grips, moves), lambda: _new_verdict(home, plan, excursion, arrival)
    )


def _new_verdict(home: Plan, plan: Plan, excursion: Excursion, arrival: int) -> ExcursionVerdict:
    before, after = (figures(each, excursion.first, excursion.last, arrival) for each in (home, plan))
    events = slice(excursion.first, excursion.last + 1)
    gains = {
        Reason.REACH: WEIGHTS[Reason.REACH] * _reached(home, plan, events),
        Reason.CROSSINGS: WEIGHTS[Reason.CROSSINGS] * (before.crossings - after.crossings + before.skips - after.skips),
        Reason.TONE: _tone(home, plan, events) if before.held_weak != after.held_weak else 0.0,
        Reason.HAND: WEIGHTS[Reason.HAND] * (_uneasy(before) - _uneasy(after)),
    }
    counted = sorted(
        (reason for reason, gain in gains.items() if gain > 0), key=lambda r: (r is not Reason.REACH, -gains[r])
    )
    reasons = tuple(r for r in counted if r is counted[0] or gains[r] >= LEAST_REASON)
    return ExcursionVerdict(excursion, before, after, reasons)


def _reached(home: Plan, plan: Plan, events: slice) -> int:
    """How often first position lacks what the level has."""
    both = zip(home.route.options[events], plan.route.options[events], strict=True)
    return sum(at_home.only_beyond and not away.only_beyond for at_home, away in both)


def warmer(home: Plan, plan: Plan, excursion: Excursion) -> tuple[int, ...]:
    """Return the long notes that first position has on an open string or the fourth finger, and the plan has not."""
    return tuple(
        [event for event in excursion.events if home.counts.held_weak[event] and not plan.counts.held_weak[event]]
    )


def colder(home: Plan, plan: Plan, excursion: Excursion) -> tuple[int, ...]:
    """Return the long notes that the plan has on an open string or the fourth finger, and first position has better."""
    return tuple(
        event
        for event in excursion.events
        if plan.counts.held_weak[event]
        and not home.counts.held_weak[event]
        and home.grip(event) is not None
        and not home.route.options[event].beyond
    )


def _tone(home: Plan, plan: Plan, events: slice) -> float:
    """What is gained in tone; a long note counts more."""
    weak = zip(home.counts.held_weak[events], plan.counts.held_weak[events], strict=True)
    return sum(
        WEIGHTS[Reason.TONE] * (a - b) * (LONG_HELD if event.seconds >= LONG_SECONDS else 1.0)
        for event, (a, b) in zip(plan.passage.events[events], weak, strict=True)
    )


def _uneasy(figures: Figures) -> int:
    """How often the hand stretches, hops or slides."""
    return figures.stretches + figures.hops + figures.slides
