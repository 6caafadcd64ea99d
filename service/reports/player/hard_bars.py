"""The bars to practise first, and what the left hand does there."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from rules import (
    BarWork,
    FingerMove,
    Plan,
    bars_beyond,
    bars_with_most,
    hop_notes,
    slide_notes,
    stretched_notes,
    work_by_bar,
)

from ...messages.message import Message, Wording, sentence
from ...messages.music_words import bar_list, bar_words, finger_words, runs_of_bars, string_words
from ...messages.player import excursions, overview

_HARDEST_OF = 2
"""The hardest bars are named if they are at most one in so many: a short piece is practised whole."""
_MOST_NAMED = 3
"""So many different notes are named at a count; where there are more, only the count is told."""


def hard_bars(wording: Wording, plan: Plan) -> list[str]:
    """Return "Bar 3: 2 shifts.", "Bars 9 and 17: one stretch (1st finger to A♯) in each bar."; else nothing.

    Bars that the level does not reach are no place to begin.
    """
    groups: dict[str, list[int]] = {}
    for bar in _hardest(plan):
        groups.setdefault(wording.all_of(list(_counts(wording, plan, bar))), []).append(bar.measure)
    return [sentence(_told(wording, plan, what, bars)) for what, bars in groups.items()]


def _hardest(plan: Plan) -> Sequence[BarWork]:
    beyond = {measure for first, last in bars_beyond(plan) for measure in range(first, last + 1)}
    found = bars_with_most([bar for bar in work_by_bar(plan) if bar.measure not in beyond])
    return found if len(found) * _HARDEST_OF <= len(plan.passage.measures) else ()


def stretched_words(wording: Wording, plan: Plan) -> list[str]:
    """Return which notes are stretched in which bars, where no list of hard bars says so; nothing if none is."""
    told = {bar.measure for bar in _hardest(plan)}
    found: dict[FingerMove, list[int]] = {}
    for measure in plan.passage.events_by_measure:
        for move in dict.fromkeys(stretched_notes(plan, measure)):
            found.setdefault(move, []).append(measure)
    said = [
        _stretched_in(wording, plan, move, measures)
        for move, measures in found.items()
        if not told.issuperset(measures)
    ]
    return [wording.say(overview.STRETCHED, notes=wording.all_of(said))] if said else []


def _stretched_in(wording: Wording, plan: Plan, move: FingerMove, measures: Sequence[int]) -> str:
    assert move.string is not None, "a finger reaches on a string"
    return wording.say(
        overview.STRETCHED_IN,
        finger=finger_words(wording, move.finger),
        note=wording.note(move.goal),
        string=string_words(wording, plan.passage.instrument, move.string),
        bars=bar_list(wording, runs_of_bars(plan.passage, measures)),
    )


def _told(wording: Wording, plan: Plan, what: str, measures: Sequence[int]) -> str:
    if len(measures) == 1:
        return wording.say(overview.HARD_BAR, bars=bar_words(wording, plan.passage, measures[0]), what=what)
    return wording.say(overview.HARD_BARS, bars=bar_list(wording, runs_of_bars(plan.passage, measures)), what=what)


def _counts(wording: Wording, plan: Plan, bar: BarWork) -> Iterator[str]:
    counted: tuple[tuple[Message, int, Iterable[FingerMove]], ...] = (
        (excursions.SHIFTS, bar.shifts, ()),
        (overview.DOUBLE_STOPS, bar.double_stops, ()),
        (overview.CHORDS, bar.chords, ()),
        (excursions.STRETCHES, bar.stretches, stretched_notes(plan, bar.measure)),
        (excursions.HOPS, bar.hops, hop_notes(plan, bar.measure)),
        (excursions.SLIDES, bar.slides, slide_notes(plan, bar.measure)),
    )
    for message, number, moves in counted:
        if number:
            said = wording.say(message, number)
            named = _moves(wording, dict.fromkeys(moves))
            if 0 < len(named) <= _MOST_NAMED:
                said = wording.say(overview.COUNT_OF, count=said, notes=", ".join(named))
            yield said


def _moves(wording: Wording, moves: Mapping[FingerMove, None]) -> list[str]:
    """Return "1st finger to A♯", "4th finger from D to E", or "4th finger between D and E": there and back."""
    found = dict[str, None]()
    for move in moves:
        finger, note = finger_words(wording, move.finger), wording.note(move.goal)
        if move.start is None:
            found[wording.say(overview.FINGER_TO, finger=finger, note=note)] = None
            continue
        start, message = wording.note(move.start), overview.FINGER_FROM_TO
        if FingerMove(move.finger, move.goal, move.start) in moves:
            message = overview.FINGER_BETWEEN
            if move.goal.midi < move.start.midi:
                start, note = note, start
        found[wording.say(message, finger=finger, start=start, note=note)] = None
    return list(found)
