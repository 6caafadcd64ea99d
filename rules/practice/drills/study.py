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
FEWEST_NOTES = 6
"""Notes of a bar whose rhythm is used; parts of the beat are used for others."""
_FIGURES = ((0, 1, 0), (0, -1, 0), (0, 1, 2, 1), (0, 2, 1), (0, -1, -2, -1), (0, 1, -1), (0, 2, 1, 2), (0, -2, -1))
"""Steps away from the note that leads to the shift, or is reached by it: a figure for each bar, in turn."""


def study(move: Move, rhythm: Sequence[Fraction]) -> Exercise | None:
    """Return eight bars, each with the shift in it and the way home at its end; None for a shift that comes home.

    Args:
        move: the shift.
        rhythm: lengths of the notes of a bar of the piece; parts of the beat are used if it has few.
    """
    if move.is_home or move.departure.harmonic or move.arrival.harmonic:
        return None
    left, right = _halves(move, rhythm)
    notes: list[SheetNote] = []
    for number in range(BARS):
        figure = _FIGURES[number % len(_FIGURES)]
        notes += _part(move, move.departure, move.start, left, figure, ends_there=True)
        if number < BARS - 1:
            notes += _part(move, move.arrival, move.goal, right, figure, ends_there=False)
    # The last bar is held on the note of arrival.
    notes.append(SheetNote((move.arrival,), sum(right, Fraction(0)), move.goal))
    notes[0] = replace(notes[0], bow=Bow.DOWN)
    text = (
        "In the key and the manner of the piece, with the shift in every bar. Slowly, then as fast as it stays in tune."
    )
    bars = bars_of(notes, move.meter, move.key.fifths)
    return Exercise("Study: the shift in eight bars", text, bars, dynamic="mf")


def _part(
    move: Move, centre: Tone, position: int, lengths: Sequence[Fraction], figure: Sequence[int], ends_there: bool
) -> list[SheetNote]:
    """A part of a bar around a note; the hand moves at its end, as in the piece over a rest or an open string."""
    if move.between is None and move.kind is not ShiftKind.REST:
        return _around(move, centre, position, lengths, figure, ends_there)
    if len(lengths) == 1:
        lengths = [lengths[0] / 2, lengths[0] / 2]
    notes = _around(move, centre, position, lengths[:-1], figure, ends_there)
    gap = SheetNote((), lengths[-1]) if move.between is None else SheetNote((move.between,), lengths[-1], position)
    return [*notes, gap]


def _around(
    move: Move, centre: Tone, position: int, lengths: Sequence[Fraction], figure: Sequence[int], ends_there: bool
) -> list[SheetNote]:
    """Notes on one string around a note: the last of them if it ends there, else the first; of three or more, both."""
    tones = _near(move, centre, position)
    here = tones.index(centre)
    bound = {len(lengths) - 1} if ends_there else {0}
    if len(lengths) > 2 or move.is_sounding:
        bound |= {0, len(lengths) - 1}
    found = []
    for number, beats in enumerate(lengths):
        step = 0 if number in bound else figure[number % len(figure)] or figure[1]
        index = here + step if 0 <= here + step < len(tones) else here - step
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
    if len(rhythm) < FEWEST_NOTES or sum(rhythm, Fraction(0)) != whole:
        beat = beat_length(move.meter)
        unit = beat / 3 if beat > 1 else beat / 2
        count = int(whole // unit)
        rhythm = [unit] * (count - 1) + [whole - unit * (count - 1)]
    places = [sum(rhythm[:count], Fraction(0)) for count in range(1, len(rhythm))]
    cut = min(range(len(places)), key=lambda index: (abs(places[index] - whole / 2), index)) + 1
    return list(rhythm[:cut]), list(rhythm[cut:])


__all__ = ["study"]
