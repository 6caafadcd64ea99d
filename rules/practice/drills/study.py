"""A study of eight bars in the manner of the piece: its key and rhythm, and one shift in every bar."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from fractions import Fraction

from ...hand.level import ShiftKind
from ...music.metre import bar_length, beat_length
from ...text import english
from ..barring import bars_of, is_writable
from ..scale_tones import ladder
from ..sheet import Bow, Exercise, SheetNote, Tone
from .move import Move, lie_together

BARS = 8
FEWEST_NOTES = 6
"""Notes of a bar whose rhythm is used; parts of the beat are used for others."""
QUICKEST = Fraction(1, 4)
"""In quarter notes; from a quicker note no hand shifts at a tempo for practice."""
_FIGURES = (
    (0, 1, 0),
    (0, -1, 0),
    (0, 1, 2, 1),
    (0, 2, 1),
    (0, -1, -2, -1),
    (0, 1, -1),
    (0, 2, 1, 2),
    (0, -2, -1),
    (0, 3, 2, 1),
)
"""Steps away from the note that leads to the shift, or is reached by it: a figure for each bar, in turn."""


def study(
    move: Move, rhythm: Sequence[Fraction], before: Sequence[int] = (), after: Sequence[int] = ()
) -> Exercise | None:
    """Return eight bars with the shift in each, or at each bar line; None for a shift that comes home.

    Args:
        move: the shift.
        rhythm: lengths of the notes of a bar of the piece; parts of the beat are used if it has few.
        before: the figure of the piece that leads to the departure, in steps from it; every other bar has it.
        after: the figure that follows the arrival, in steps from it.
    """
    if move.is_home or move.departure.harmonic or move.arrival.harmonic:
        return None
    parts = _parts(move, rhythm)
    every_bar = all(len(bar) > 1 for bar in parts)
    pool = _Pool()
    notes: list[SheetNote] = []
    # Bars that belong together, as they do where each position has a bar, or the longer part of one in turn.
    turns = 2 if not every_bar or len(parts[0][0][0]) != len(parts[1][0][0]) else 1
    for number, bar in enumerate(parts):
        turn = number // turns
        for lengths, is_out in bar:
            centre, position = (move.arrival, move.goal) if is_out else (move.departure, move.start)
            own = (after if is_out else before) if turn % 2 == 0 else ()
            if number == BARS - 1 and is_out:
                # The last bar is held on the note of arrival.
                notes.append(SheetNote((centre,), sum(lengths, Fraction(0)), position))
            else:
                notes += pool.fresh(
                    _part(move, centre, position, lengths, (own, figure), ends_there=not is_out)
                    for figure in _from(_FIGURES, turn)
                )
    notes[0] = replace(notes[0], bow=Bow.DOWN)
    text = english(
        "In the key and the manner of the piece, with the shift in every bar. Slowly, then as fast as it stays in tune."
    )
    if not every_bar:
        text = english(
            "In the key and the manner of the piece, with the shift at every bar line. "
            "Slowly, then as fast as it stays in tune."
        )
    bars = bars_of(notes, move.meter, move.key.fifths)
    return Exercise(english("Study: the shift in eight bars"), text, bars, dynamic="mf")


_PAIR, _FEWEST_SOUNDING = 2, 3
_Figures = tuple[Sequence[int], Sequence[int]]
"""The figure of the piece, which may be shorter than the part of a bar, and the one to use then."""


class _Pool:
    """What has been played: of several ways to fill a part of a bar the one that is longest ago is next."""

    def __init__(self) -> None:
        self._last: dict[tuple[SheetNote, ...], int] = {}

    def fresh(self, ways: Iterable[Sequence[SheetNote]]) -> tuple[SheetNote, ...]:
        """Return the first of the ways that has not been played, or else the one that is longest ago."""
        found = min(map(tuple, ways), key=lambda way: self._last.get(way, -1))
        self._last[found] = max(self._last.values(), default=-1) + 1
        return found


def _from(figures: Sequence[Sequence[int]], number: int) -> Iterator[Sequence[int]]:
    """The figures in turn, beginning with another one in each bar."""
    return (figures[(number + later) % len(figures)] for later in range(len(figures)))


def _parts(move: Move, rhythm: Sequence[Fraction]) -> list[list[tuple[list[Fraction], bool]]]:
    """The lengths of each bar around the departure (False) and the arrival (True): both in it, or a bar each in turn.

    A bar each where the hand takes its time to move, and half a bar has no room for a figure beside it.
    """
    full = _usable(move, rhythm)
    cuts = _cuts(move, full)
    left, right = full[: cuts[0]], full[cuts[0] :]
    if _pauses(move) and min(len(_sounding(move, part)) for part in (left, right)) < _FEWEST_SOUNDING:
        return [[(full, number % 2 == 1)] for number in range(BARS)]
    parts = []
    for number in range(BARS):
        cut = cuts[number % len(cuts)]
        parts.append([(full[:cut], False), (full[cut:], True)])
    return parts


def _pauses(move: Move) -> bool:
    """Whether the hand moves over a rest or an open string."""
    return move.between is not None or move.kind is ShiftKind.REST


def _part(
    move: Move, centre: Tone, position: int, lengths: Sequence[Fraction], figures: _Figures, ends_there: bool
) -> list[SheetNote]:
    """A part of a bar around a note; the hand moves at its end, as in the piece over a rest or an open string."""
    if not _pauses(move):
        return _around(move, centre, position, lengths, figures, ends_there)
    lengths = [lengths[0] / 2, lengths[0] / 2] if len(lengths) == 1 else lengths
    played = _sounding(move, lengths)
    notes = _around(move, centre, position, played, figures, ends_there)
    rest = sum(lengths[len(played) :], Fraction(0))
    gap = SheetNote((), rest) if move.between is None else SheetNote((move.between,), rest, position)
    return [*notes, gap]


def _sounding(move: Move, lengths: Sequence[Fraction]) -> Sequence[Fraction]:
    """The lengths that are played; the others are time to move in.

    A beat of a whole bar, if a figure is left; else half a beat or a third, where the part of the bar has it, from such
    a place on.
    """
    beat = beat_length(move.meter)
    in_thirds = beat > 1 or any(length.denominator % 3 == 0 for length in lengths)
    for unit in (beat, beat / 3 if in_thirds else beat / 2):
        wanted = min(unit, sum(lengths, Fraction(0)) / 2)
        counts = [number for number in range(1, len(lengths)) if sum(lengths[number:], Fraction(0)) >= wanted]
        plain = [number for number in counts if sum(lengths[:number], Fraction(0)) % unit == 0]
        count = max(plain or counts, default=1)
        if sum(lengths, Fraction(0)) == bar_length(move.meter) and count >= _FEWEST_SOUNDING:
            break
    return lengths[:count]


def _around(
    move: Move, centre: Tone, position: int, lengths: Sequence[Fraction], figures: _Figures, ends_there: bool
) -> list[SheetNote]:
    """Notes on one string around a note: the last of them if it ends there, else the first; of three or more, both.

    A shift that sounds has the note itself at both ends: of two notes it makes one.
    """
    if move.is_sounding and len(lengths) == _PAIR:
        lengths = [sum(lengths, Fraction(0))]
    tones = _near(move, centre, position)
    here, count = tones.index(centre), len(lengths)
    bound = {count - 1} if ends_there else {0}
    if count > 2 or move.is_sounding:
        bound |= {0, count - 1}
    found: list[Tone] = []
    for number, wanted in enumerate(_steps(count, figures, ends_there)):
        if number in bound:
            found.append(centre)
            continue
        # No note comes twice in a row, and none comes before the one that is bound.
        taken = {*found[-1:], *([centre] if number + 1 in bound else [])}
        steps = [wanted, -wanted, *(sign * step for step in (1, 2, 3) for sign in (1, -1))]
        near = [tones[here + step] for step in steps if 0 <= here + step < len(tones)]
        found.append(next((tone for tone in near if tone not in taken), centre))
    return [SheetNote((tone,), beats, position) for tone, beats in zip(found, lengths, strict=True)]


def _steps(count: int, figures: _Figures, ends_there: bool) -> list[int]:
    """So many steps of the figure of the piece, its end or its beginning; of the other one if it is too short."""
    own, other = figures
    part = list(own[-count:] if ends_there else own[:count])
    if len(part) == count and any(part):
        return part
    return [other[number % len(other)] or other[1] for number in range(count)]


def _near(move: Move, centre: Tone, position: int) -> list[Tone]:
    """What the hand has in its position on the string of a note, and the note itself."""
    strings = (centre.string or 1,)
    tones = [
        tone
        for tone in ladder(move.instrument, move.key, position, strings)
        if tone.finger != centre.finger
        and tone.pitch.midi != centre.pitch.midi
        and lie_together(move.instrument, tone, centre)
    ]
    return sorted([*tones, centre], key=lambda tone: tone.pitch.midi)


def _usable(move: Move, rhythm: Sequence[Fraction]) -> list[Fraction]:
    """The rhythm, or parts of the beat where it has few notes, too quick ones or some that cannot be written."""
    whole = bar_length(move.meter)
    plain = sum(rhythm, Fraction(0)) == whole and all(map(is_writable, rhythm))
    if len(rhythm) < FEWEST_NOTES or not plain or min(rhythm) < QUICKEST:
        beat = beat_length(move.meter)
        unit = beat / 3 if beat > 1 else beat / 2
        if whole // unit < FEWEST_NOTES and not _pauses(move):
            unit /= 2  # else half a bar of two quarters would have two notes, and no figure
        count = int(whole // unit)
        rhythm = [unit] * (count - 1) + [whole - unit * (count - 1)]
    return list(rhythm)


def _cuts(move: Move, rhythm: Sequence[Fraction]) -> list[int]:
    """Where the bar is cut in two: at the note that begins nearest to its middle, on a beat if one does.

    In three beats both of the two places are as near: later, then earlier, so that each position has its long part.
    """
    places = [sum(rhythm[:count], Fraction(0)) for count in range(1, len(rhythm))]
    on_beat = [index for index, place in enumerate(places) if place % beat_length(move.meter) == 0]
    middle = bar_length(move.meter) / 2
    nearest = min(abs(places[index] - middle) for index in on_beat or range(len(places)))
    return [index + 1 for index in on_beat or range(len(places)) if abs(places[index] - middle) == nearest][::-1]


__all__ = ["study"]
