"""Notes into full bars: every length becomes one that can be written, and what crosses a bar line is tied."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from fractions import Fraction

from ..music.metre import Meter, bar_length, beat_length
from .sheet import Bar, Bow, SheetNote

GRID = Fraction(1, 48)
"""In quarter notes; differences of places on it are 128th notes in triplets or longer."""
_PLAIN = tuple(Fraction(8, 2**power) for power in range(9))
WRITABLE = frozenset(_PLAIN) | frozenset(value * Fraction(3, 2) for value in _PLAIN[:-1])
"""Lengths, in quarter notes, of one note head with at most one dot."""
TUPLETS = {3: 2, 5: 4, 7: 4, 9: 8, 11: 8, 13: 8}
"""So many notes in the time of so many."""


def from_down_bow(notes: Sequence[SheetNote]) -> list[SheetNote]:
    """Return the notes with a down bow on the first."""
    return [replace(notes[0], bow=Bow.DOWN), *notes[1:]]


def tuplet_of(beats: Fraction) -> tuple[int, int]:
    """Return (1, 1) for a plain length, or so many in the time of so many, for example (3, 2)."""
    odd = beats.denominator
    while odd % 2 == 0:
        odd //= 2
    while odd > 13 and odd % 3 == 0:
        odd //= 3
    return (odd, TUPLETS[odd]) if odd in TUPLETS else (1, 1)


def is_writable(beats: Fraction) -> bool:
    """Return True if one note head, dotted or not, in a tuplet or not, has this length."""
    many, time = tuplet_of(beats)
    return beats * many / time in WRITABLE


def pieces(beats: Fraction, start: Fraction, meter: Meter) -> tuple[Fraction, ...]:
    """Return the lengths that are tied together to fill `beats` from `start` (quarter notes into the bar)."""
    lengths: list[Fraction] = []
    waiting = [(beats, start)]
    while waiting:  # a loop, since a part may hold a note of thousands of beats
        beats, start = waiting.pop()
        if beats <= 0:
            continue
        cut = _cut_at_beat(beats, start, meter)
        if cut is not None:
            waiting += [(beats - cut, start + cut), (cut, start)]
            continue
        first = _largest_piece(beats, start, meter)
        lengths.append(first)
        waiting.append((beats - first, start + first))
    return tuple(lengths)


def _is_whole(beats: Fraction, start: Fraction, meter: Meter) -> bool:
    """Whether one note head shows the length; in compound metre a longer one begins and ends on a beat."""
    beat = beat_length(meter)
    if not is_writable(beats) or beats <= beat:
        return is_writable(beats)
    return _is_plain(beats, start) and (beat <= 1 or (start % beat == 0 and beats % beat == 0))


def _is_plain(beats: Fraction, start: Fraction) -> bool:
    return tuplet_of(beats) == (1, 1) and tuplet_of(start) == (1, 1)


def _cut_at_beat(beats: Fraction, start: Fraction, meter: Meter) -> Fraction | None:
    """Where a length has to be cut to show a beat, from its start; None if it has not."""
    if _is_whole(beats, start, meter):
        return None
    beat = beat_length(meter)
    to_beat = beat - start % beat
    if to_beat < beats and (to_beat != beat or beat > 1 or not _is_plain(beats, start)):
        whole = beats // beat * beat
        return to_beat if to_beat != beat else whole if whole < beats else None
    return None


def _largest_piece(beats: Fraction, start: Fraction, meter: Meter) -> Fraction:
    """The largest note value at the beginning of a length."""
    if _is_whole(beats, start, meter):
        return beats
    beat = beat_length(meter)
    many, time = tuplet_of(beats)
    scaled = beats * many / time
    values = [value for value in WRITABLE if value <= scaled]
    # From beat to beat first, so that the beats stay visible (in nine eighths: a dotted half, then a dotted quarter).
    largest = max([value for value in values if value % beat == 0] or values, default=None)
    return beats if largest is None else largest * time / many


def rest_pieces(beats: Fraction, start: Fraction, meter: Meter) -> tuple[Fraction, ...]:
    """Return the lengths of the rests that fill `beats` from `start` (quarter notes into the bar).

    Rests show the beats: none begins off a beat and goes on into the next one, two beats are one rest only where the
    bar has its halves, and within a dotted beat what comes after its beginning is counted out (common practice of
    engraving).
    """
    beat = beat_length(meter)
    in_twos = bar_length(meter) % (2 * beat) == 0
    lengths: list[Fraction] = []
    while beats > 0:
        room = beat - start % beat
        if room == beat and in_twos and beats >= 2 * beat and start % (2 * beat) == 0:
            room = 2 * beat
        elif room < beat and beat > 1 and start % (beat / 3) == 0:
            room = beat / 3
        here = min(beats, room)
        lengths += pieces(here, start, meter)
        start, beats = start + here, beats - here
    return tuple(lengths)


def can_be_written(notes: Sequence[SheetNote], meter: Meter) -> bool:
    """Return True if every one of the notes, one after the other from a bar line, has lengths that can be written."""
    place = Fraction(0)
    for note in notes:
        if not all(is_writable(length) for length in pieces(note.beats, place % bar_length(meter), meter)):
            return False
        place += note.beats
    return True


def on_grid(notes: Sequence[SheetNote]) -> list[SheetNote]:
    """Return the notes moved to the nearest place of a grid on which everything can be written; none gets lost in it.

    For tuplets within tuplets, and for what a program has rounded: written exactly, nobody could read them.
    """
    found: list[SheetNote] = []
    place = moved = Fraction(0)
    for note in notes:
        place += note.beats
        target = round(place / GRID) * GRID
        if note.is_small or target > moved:
            found.append(replace(note, beats=target - moved if note.beats else note.beats))
            moved = target if note.beats else moved
    return found


def bars_of(notes: Iterable[SheetNote], meter: Meter, fifths: int, fill: bool = False) -> tuple[Bar, ...]:
    """Return the notes in bars of one metre and key.

    Args:
        notes: with any lengths; those that cross a bar line are cut and tied.
        meter: the time signature.
        fifths: sharps (positive) or flats of the key.
        fill: prolong the last sounding note to the bar line; otherwise rests fill what is left.
    """
    length = bar_length(meter)
    done: list[Bar] = []
    current: list[SheetNote] = []
    place = Fraction(0)
    waiting = list(notes)
    total = sum((note.beats for note in waiting), Fraction(0))
    missing = -total % length
    if missing and fill:
        waiting[-1] = replace(waiting[-1], beats=waiting[-1].beats + missing)
    elif missing:
        waiting.append(SheetNote((), missing))
    for note in waiting:
        if note.is_small:
            current.append(note)
            continue
        left = note.beats
        while left:
            here = min(left, length - place)
            left -= here
            current.extend(_written(note, here, place, meter, more=bool(left)))
            note = note.held_on(note.beats)
            place += here
            if place == length:
                done.append(Bar(tuple(current), meter, fifths))
                current, place = [], Fraction(0)
    return tuple(done)


def _written(note: SheetNote, beats: Fraction, place: Fraction, meter: Meter, more: bool) -> list[SheetNote]:
    """One note as the notes that are written for it in one bar; all but the last piece are tied on."""
    if note.is_rest and beats == bar_length(meter):
        return [replace(note, beats=beats)]
    lengths = rest_pieces(beats, place, meter) if note.is_rest else pieces(beats, place, meter)
    found = []
    for index, length in enumerate(lengths):
        last = index == len(lengths) - 1 and not more
        tied = note.tied if last else not note.is_rest
        here = replace(note, beats=length) if index == 0 else note.held_on(length)
        found.append(replace(here, tied=tied, ends_hairpin=note.ends_hairpin and last))
    return found


__all__ = ["bars_of", "can_be_written", "from_down_bow", "is_writable", "on_grid", "pieces", "rest_pieces", "tuplet_of"]
