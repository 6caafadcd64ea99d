"""A study of eight bars in the manner of the piece: its key and rhythm, and one shift in every bar.

What belongs here: making it. What does not: which shift it is for (see `sheets`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from ...hand.level import ShiftKind
from ..barring import bar_length, bars_of, beat_length
from ..scale_tones import ladder
from ..sheet import Bow, Exercise, SheetNote, Tone
from .move import Move

BARS = 8
_FIGURES = ((0, 1, 0), (0, -1, 0), (0, 1, 2, 1), (0, 2, 1), (0, -1, -2, -1), (0, 1, -1), (0, 2, 1, 2), (0, -2, -1))
"""Steps away from the note that leads to the shift, or is reached by it: a figure for each bar, in turn."""


def study(move: Move, rhythm: Sequence[Fraction]) -> Exercise | None:
    """Return eight bars, each with the shift in it and the way home at its end; None for a shift that comes home.

    Args:
        move: the shift.
        rhythm: lengths of the notes of a bar of the piece; the beats are used if it has fewer than two.
    """
    if move.is_home or move.departure.harmonic or move.arrival.harmonic:
        return None
    left, right = _halves(move, rhythm)
    notes: list[SheetNote] = []
    for number in range(BARS):
        figure = _FIGURES[number % len(_FIGURES)]
        last = number == BARS - 1
        notes += _before(move, left, figure)
        # The last bar is held on the note of arrival.
        lengths = [sum(right, Fraction(0))] if last else right
        notes += _around(move, move.arrival, move.goal, lengths, figure, ends_there=True)
    notes[0] = replace(notes[0], bow=Bow.DOWN)
    text = (
        "The rhythm and the key of the piece; the shift comes in every bar. Slowly, then as fast as it stays in tune."
    )
    return Exercise("Study: the shift in eight bars", text, bars_of(notes, move.meter, move.key.fifths), dynamic="mf")


def _before(move: Move, lengths: Sequence[Fraction], figure: Sequence[int]) -> list[SheetNote]:
    """The first part of a bar, which leads to the shift over a rest, an open string, or from note to note."""
    if move.between is None and move.kind is not ShiftKind.REST:
        return _around(move, move.departure, move.start, lengths, figure, ends_there=True)
    if len(lengths) == 1:
        lengths = [lengths[0] / 2, lengths[0] / 2]
    notes = _around(move, move.departure, move.start, lengths[:-1], figure, ends_there=True)
    gap = SheetNote((), lengths[-1]) if move.between is None else SheetNote((move.between,), lengths[-1], move.start)
    return [*notes, gap]


def _around(
    move: Move, centre: Tone, position: int, lengths: Sequence[Fraction], figure: Sequence[int], ends_there: bool
) -> list[SheetNote]:
    """Notes on one string and its neighbours around a note, which is the first, and the last too if there are three."""
    tones = _near(move, centre, position)
    here = tones.index(centre)
    found = []
    for number, beats in enumerate(lengths):
        step = figure[number % len(figure)]
        if number == len(lengths) - 1 and ends_there:
            step = 0
        index = here + step
        if not 0 <= index < len(tones):
            index = here - step
        tone = tones[index] if 0 <= index < len(tones) else centre
        found.append(SheetNote((tone,), beats, position))
    return found


def _near(move: Move, centre: Tone, position: int) -> list[Tone]:
    """What the hand has in its position on the string of a note, and the note itself."""
    strings = (centre.string or 1,)
    tones = [tone for tone in ladder(move.instrument, move.key, position, strings) if tone.finger != centre.finger]
    return sorted([*tones, centre], key=lambda tone: tone.pitch.midi)


def _halves(move: Move, rhythm: Sequence[Fraction]) -> tuple[list[Fraction], list[Fraction]]:
    """The rhythm in two parts, cut where a note begins nearest to the middle of the bar."""
    whole = bar_length(move.meter)
    if len(rhythm) < 2 or sum(rhythm, Fraction(0)) != whole:
        beat = beat_length(move.meter)
        count = int(whole // beat)
        rhythm = [beat] * (count - 1) + [whole - beat * (count - 1)] if count > 1 else [whole / 2, whole / 2]
    places = [sum(rhythm[:count], Fraction(0)) for count in range(1, len(rhythm))]
    cut = min(range(len(places)), key=lambda index: (abs(places[index] - whole / 2), index)) + 1
    return list(rhythm[:cut]), list(rhythm[cut:])


__all__ = ["study"]
