"""What the left hand does in each bar, and the bars in which it does most. String crossings belong to the bow arm."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from ..hand.grip import Grip, Stop, is_stretched
from ..hand.level import ShiftKind
from ..music.instrument import Pitch
from .counted_figures import hops, stretched
from .plan import Plan
from .statistics import hop_stops, slide_stops

LEAST_TO_DO = 2
"""A bar in which the hand does a single thing is not hard, nor is one with a single note."""
STANDS_OUT = 1.5
"""How many times as much as in the average bar the hand does in one that stands out."""
MOST_KINDS = 3
"""So many bars are named; bars that are alike, note for note and finger for finger, count as one."""


@dataclass(frozen=True, slots=True)
class BarWork:
    """What the left hand does in one bar.

    Attributes:
        measure: index of the measure.
        events: how many events there are.
        shifts: arrivals in another position, other than after a rest.
        stretches: notes for which a finger leaves the hand frame.
        hops: the same finger jumps to another string.
        slides: the same finger moves on its string while the hand stays.
        double_stops: two notes together, with two fingers down.
        chords: three or four notes together.
        repeated: of the double stops and chords, those that repeat the one before: the fingers are down already.
        content: what is played, with which fingers; two bars with the same content are alike.
    """

    measure: int
    events: int
    shifts: int
    stretches: int
    hops: int
    slides: int
    double_stops: int
    chords: int
    repeated: int
    content: Hashable

    @property
    def total(self) -> int:
        """How many things the hand does."""
        together = self.double_stops + self.chords - self.repeated
        return self.shifts + self.stretches + self.hops + self.slides + together


def work_by_bar(plan: Plan) -> tuple[BarWork, ...]:
    """Return what the left hand does, one entry for every bar in which something is played, in order."""
    arrivals = {shift.arrival for shift in plan.shifts if shift.kind is not ShiftKind.REST}
    return tuple(
        BarWork(
            measure,
            len(inside),
            sum(index in arrivals for index in inside),
            sum(stretched(plan, index) for index in inside),
            sum(hops(plan, index) for index in inside),
            sum(plan.counts.slides[index] for index in inside),
            sum(_is_double_stop(plan.grip(index)) for index in inside),
            sum(_is_chord(plan.grip(index)) for index in inside),
            sum(_is_repeated(plan, index) for index in inside),
            _content(plan, measure, inside),
        )
        for measure, inside in plan.passage.events_by_measure.items()
    )


def _is_double_stop(grip: Grip | None) -> bool:
    return grip is not None and len(grip.stops) == 2 and len({stop.finger for stop in grip.stops} - {0}) == 2


def _is_chord(grip: Grip | None) -> bool:
    return grip is not None and len(grip.stops) > 2


def _is_repeated(plan: Plan, index: int) -> bool:
    grip = plan.grip(index)
    return (_is_double_stop(grip) or _is_chord(grip)) and index > 0 and grip == plan.grip(index - 1)


def _content(plan: Plan, measure: int, events: Sequence[int]) -> Hashable:
    start = plan.passage.measures[measure].onset
    return tuple((plan.event(i).onset - start, plan.event(i).beats, plan.event(i).grace, plan.grip(i)) for i in events)


@dataclass(frozen=True, slots=True)
class FingerMove:
    """A note that a finger reaches for on a string (`start` is None), or to which it hops or slides from another."""

    finger: int
    start: Pitch | None
    goal: Pitch
    string: int | None = None


def stretched_notes(plan: Plan, measure: int) -> Iterator[FingerMove]:
    """Yield the notes of a measure (by index) for which a finger leaves the hand frame."""
    for index, grip in _grips_in(plan, measure):
        if stretched(plan, index):
            for stop in grip.stops:
                if is_stretched(stop, grip.position):
                    yield FingerMove(stop.finger, None, stop.pitch(plan.passage.instrument), stop.string)


def hop_notes(plan: Plan, measure: int) -> Iterator[FingerMove]:
    """Yield the hops of a finger in a measure."""
    return _moves(plan, measure, plan.counts.hops, hop_stops)


def slide_notes(plan: Plan, measure: int) -> Iterator[FingerMove]:
    """Yield the slides of a finger in a measure."""
    return _moves(plan, measure, plan.counts.slides, slide_stops)


def _moves(
    plan: Plan,
    measure: int,
    counted: Sequence[bool],
    stops: Callable[[Grip, Grip], Iterator[tuple[Stop, Stop]]],
) -> Iterator[FingerMove]:
    for index, grip in _grips_in(plan, measure):
        before = plan.grip(index - 1) if index else None
        if counted[index] and before is not None:
            for start, goal in stops(before, grip):
                instrument = plan.passage.instrument
                yield FingerMove(goal.finger, start.pitch(instrument), goal.pitch(instrument))


def _grips_in(plan: Plan, measure: int) -> Iterator[tuple[int, Grip]]:
    for index in plan.passage.events_by_measure[measure]:
        if (grip := plan.grip(index)) is not None:
            yield index, grip


def bars_with_most(bars: Sequence[BarWork]) -> tuple[BarWork, ...]:
    """Return the bars in which the left hand does most, in order of playing.

    Bars that are alike stay together, and so do bars with equally much to do. Empty if no few bars stand out.
    """
    if not bars:
        return ()
    totals: dict[Hashable, int] = {}
    for bar in bars:
        totals[bar.content] = max(totals.get(bar.content, 0), bar.total if bar.events > 1 else 0)
    least = max(LEAST_TO_DO, STANDS_OUT * sum(bar.total for bar in bars) / len(bars))
    chosen: set[Hashable] = set()
    for content_set in _from_the_most(totals, least):
        if len(chosen) + len(content_set) > MOST_KINDS:
            break
        chosen |= content_set
    return tuple(bar for bar in bars if bar.content in chosen)


def _from_the_most(totals: Mapping[Hashable, int], least: float) -> list[set[Hashable]]:
    """Bars with equally much to do, from the most down to `least`."""
    by_total: dict[int, set[Hashable]] = {}
    for content, total in totals.items():
        if total >= least:
            by_total.setdefault(total, set()).add(content)
    return [by_total[total] for total in sorted(by_total, reverse=True)]


__all__ = ["BarWork", "FingerMove", "bars_with_most", "hop_notes", "slide_notes", "stretched_notes", "work_by_bar"]
