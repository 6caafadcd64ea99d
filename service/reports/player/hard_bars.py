"""The bars to practise first, and what is hard for the left hand there."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rules import Aspect, BarDifficulty, Explanation, bars_beyond, by_aspect, hardest, hops, stretched

from ...messages.message import Message, Wording
from ...messages.music_words import bar_list, bar_words, runs_of_bars
from ...messages.player import excursions, overview

_HARDEST_OF = 2
"""The hardest bars are named if they are at most one in so many: a short piece is practised whole."""
_STANDS_OUT = 1.5
"""How many times as hard as the average bar a bar is that stands out."""
_FEW_CROSSINGS = 2
"""So many string crossings make no bar hard."""
_AS_MUCH = 0.5
"""A second cause is told if it makes at least this much of the effort of the first."""


def hard_bars(wording: Wording, explanation: Explanation) -> str:
    """Return "bar 3 (one shift) and bar 9 (6 string crossings)"; empty if no bars stand out.

    Bars that the level does not reach are no place to begin. What is hard is what takes most effort there.
    """
    plan = explanation.plan
    beyond = {measure for first, last in bars_beyond(plan) for measure in range(first, last + 1)}
    curve = [bar for bar in explanation.curve if bar.measure not in beyond]
    average = sum(bar.per_second for bar in curve) / max(len(curve), 1)
    found = [bar for bar in hardest(curve) if bar.per_second >= _STANDS_OUT * average]
    if len(found) * _HARDEST_OF > len(plan.passage.measures):
        return ""
    groups: dict[tuple[str, ...], list[int]] = {}
    for bar in sorted(found, key=lambda bar: bar.measure):
        if causes := tuple(_causes(wording, explanation, bar)):
            groups.setdefault(causes, []).append(bar.measure)
    return wording.all_of([_told(wording, explanation, causes, bars) for causes, bars in groups.items()])


def _told(wording: Wording, explanation: Explanation, causes: Sequence[str], measures: Sequence[int]) -> str:
    what = wording.all_of(causes)
    passage = explanation.plan.passage
    if len(measures) == 1:
        return wording.say(overview.HARD_BAR, bars=bar_words(wording, passage, measures[0]), what=what)
    return wording.say(overview.HARD_BARS, bars=bar_list(wording, runs_of_bars(passage, measures)), what=what)


def _causes(wording: Wording, explanation: Explanation, bar: BarDifficulty) -> Iterator[str]:
    """What is hard in a bar, in counts: the aspect that takes most effort, and the next if it takes nearly as much."""
    events = [i for i, event in enumerate(explanation.plan.passage.events) if event.measure == bar.measure]
    sums: dict[Aspect, float] = {}
    for event in events:
        for aspect, effort in by_aspect(explanation.items(event)).items():
            sums[aspect] = sums.get(aspect, 0.0) + effort
    told = [(effort, _counts(wording, explanation, aspect, events)) for aspect, effort in sums.items() if effort > 0]
    ranked = sorted(((effort, counts) for effort, counts in told if counts), key=lambda each: -each[0])
    for effort, counts in ranked[:2]:
        if effort >= _AS_MUCH * ranked[0][0]:
            yield from counts


def _counts(wording: Wording, explanation: Explanation, aspect: Aspect, events: Sequence[int]) -> list[str]:
    """What a player can count of an aspect in a bar: what leads to a finger there, and the crossings inside it."""
    plan = explanation.plan
    counts = plan.counts
    crossings = sum(counts.crossings[i] > 0 for i in events[1:])
    found: dict[Aspect, tuple[tuple[Message, int], ...]] = {
        Aspect.SHIFTING: ((excursions.SHIFTS, sum(shift.arrival in events for shift in plan.shifts)),),
        Aspect.CROSSINGS: ((excursions.CROSSINGS, crossings if crossings > _FEW_CROSSINGS else 0),),
        Aspect.HAND: (
            (overview.DOUBLE_STOPS, sum(_is_double_stop(explanation, i) for i in events)),
            (excursions.STRETCHES, sum(stretched(plan, i) for i in events)),
            (excursions.HOPS, sum(hops(plan, i) for i in events)),
            (excursions.SLIDES, sum(counts.slides[i] for i in events)),
        ),
    }
    return [wording.say(message, number) for message, number in found.get(aspect, ()) if number]


def _is_double_stop(explanation: Explanation, event: int) -> bool:
    grip = explanation.plan.grip(event)
    return grip is not None and sum(not stop.is_open for stop in grip.stops) > 1
