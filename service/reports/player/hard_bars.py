"""The bars to practise first, and what the left hand does there."""

from __future__ import annotations

from collections.abc import Sequence

from rules import BarWork, Plan, bars_beyond, bars_with_most, work_by_bar

from ...messages.message import Wording
from ...messages.music_words import bar_list, bar_words, runs_of_bars
from ...messages.player import excursions, overview

_HARDEST_OF = 2
"""The hardest bars are named if they are at most one in so many: a short piece is practised whole."""


def hard_bars(wording: Wording, plan: Plan) -> str:
    """Return "bar 3 (2 shifts) and bar 9 (one shift and one stretch)"; empty if no bars stand out.

    Bars that the level does not reach are no place to begin.
    """
    beyond = {measure for first, last in bars_beyond(plan) for measure in range(first, last + 1)}
    found = bars_with_most([bar for bar in work_by_bar(plan) if bar.measure not in beyond])
    if len(found) * _HARDEST_OF > len(plan.passage.measures):
        return ""
    groups: dict[str, list[int]] = {}
    for bar in found:
        groups.setdefault(wording.all_of(_counts(wording, bar)), []).append(bar.measure)
    return wording.all_of([_told(wording, plan, what, bars) for what, bars in groups.items()])


def _told(wording: Wording, plan: Plan, what: str, measures: Sequence[int]) -> str:
    if len(measures) == 1:
        return wording.say(overview.HARD_BAR, bars=bar_words(wording, plan.passage, measures[0]), what=what)
    return wording.say(overview.HARD_BARS, bars=bar_list(wording, runs_of_bars(plan.passage, measures)), what=what)


def _counts(wording: Wording, bar: BarWork) -> list[str]:
    counted = (
        (excursions.SHIFTS, bar.shifts),
        (overview.DOUBLE_STOPS, bar.double_stops),
        (overview.CHORDS, bar.chords),
        (excursions.STRETCHES, bar.stretches),
        (excursions.HOPS, bar.hops),
        (excursions.SLIDES, bar.slides),
    )
    return [wording.say(message, number) for message, number in counted if number]
