"""A second part for the teacher: one note a bar under a tune, in first position.

The rules are those of the simplest counterpoint (first species, as in the textbooks after Fux, from memory): the note
is consonant with the one on which the bar begins, fifths and octaves do not follow each other in the same direction,
and the line moves in small steps, rather against the tune than with it. It ends on the tonic.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from ...music.instrument import Instrument, Pitch
from ...music.key import Key
from ...music.metre import beat_length
from ..barring import bars_of
from ..scale_tones import first_position
from ..sheet import Bar, SheetNote, Tone
from .forms import BARS, CHORDS, Form, chord_of

CONSONANT = frozenset({0, 3, 4, 7, 8, 9})
"""Semitones, octaves taken off: unison and octave, thirds, fifth, sixths."""
PERFECT = frozenset({0, 7})
_FORBIDDEN = 1000.0
_WIDEST = 7


@dataclass(frozen=True, slots=True)
class _Under:
    """A note that comes into question for a bar, and the note of the tune on which the bar begins."""

    tone: Tone
    over: Pitch
    cost: float

    @property
    def interval(self) -> int:
        """Semitones to the tune, octaves taken off."""
        return round(self.over.midi - self.tone.pitch.midi) % 12


def second_part(instrument: Instrument, key: Key, form: Form, tune: Sequence[Bar]) -> tuple[Bar, ...]:
    """Return as many bars as the tune has, one note each, and a rest in the upbeat.

    Raises:
        ValueError: if no note in first position is consonant with a bar.
    """
    upbeat, full = tune[: len(tune) - BARS], tune[len(tune) - BARS :]
    paths: list[tuple[float, tuple[_Under, ...]]] = [(0.0, ())]
    for number, bar in enumerate(full):
        last = number == len(full) - 1
        # Where first position has no leading note, the seventh as the key has it goes as well.
        choices = _choices(instrument, key, form, number, bar, last) or _choices(
            instrument, key, form, number, bar, last, raises=False
        )
        if not choices:
            raise ValueError(f"no note in first position goes with bar {number + 1} of {form.name.lower()}")
        best = []
        for choice in choices:
            ways = [(cost + choice.cost + _step(line, choice), line) for cost, line in paths]
            cost, line = min(ways, key=lambda way: way[0])
            best.append((cost, (*line, choice)))
        paths = best
    _, line = min(paths, key=lambda way: way[0])
    tones = [_plainly(instrument, choice.tone) for choice in line]
    rests = [replace(bar, notes=(SheetNote((), _length(bar)),)) for bar in upbeat]
    return (*rests, *(_held(tone, bar, key, form) for tone, bar in zip(tones, full, strict=True)))


def _plainly(instrument: Instrument, tone: Tone) -> Tone:
    """The note as a teacher takes it without being told: open where a string has it, and no finger printed."""
    for string in instrument.string_numbers:
        if instrument.open_pitch(string) == tone.pitch:
            return Tone(tone.pitch, 0, string, show_finger=False)
    return replace(tone, show_finger=False)


def _held(tone: Tone, bar: Bar, key: Key, form: Form) -> Bar:
    """A note that lasts as long as a bar of the tune."""
    (held,) = bars_of([SheetNote((tone,), _length(bar), 1)], form.meter, key.fifths)
    return replace(held, notes=tuple(note for note in held.notes if not note.is_rest))


def _length(bar: Bar) -> Fraction:
    return sum((note.beats for note in bar.notes), Fraction(0))


def _choices(
    instrument: Instrument, key: Key, form: Form, number: int, bar: Bar, last: bool, raises: bool = True
) -> list[_Under]:
    over = next(note.tones[0].pitch for note in bar.notes if note.tones)
    chord = CHORDS[chord_of(form.alternatives(number), _strong_degrees(form, bar, key))]
    found = []
    for letter in range(instrument.lowest.letter, over.letter + 1):
        pitch = _in_chord(key, letter, chord) if raises else key.pitch(letter)
        tone = first_position(instrument, pitch)
        if tone is None or round(over.midi - pitch.midi) < 0:
            continue
        degree = key.degree(letter)
        choice = _Under(tone, over, 0.0)
        if choice.interval not in CONSONANT or (last and degree != 1):
            continue
        cost = 3.0 * (degree not in chord) + 0.8 * (choice.interval == 0) + 0.3 * (choice.interval == 7)
        # About a sixth or a tenth under the tune it sounds neither thick nor far away.
        cost += 0.15 * abs(over.letter - letter - _WIDEST) + 1.0 * (number == 0 and degree != 1)
        found.append(replace(choice, cost=cost))
    return found


def _strong_degrees(form: Form, bar: Bar, key: Key) -> Iterator[int]:
    """The degrees of the tune on which beats begin that are held as long."""
    place, beat = Fraction(0), beat_length(form.meter)
    for note in bar.notes:
        if note.tones and (place == 0 or (place % beat == 0 and note.beats >= beat)):
            yield key.degree(note.tones[0].pitch.letter)
        place += note.beats


def _in_chord(key: Key, letter: int, chord: Sequence[int]) -> Pitch:
    """The pitch of the key on a letter; in minor the chord of the dominant has its leading note."""
    pitch = key.pitch(letter)
    raised = key.minor and chord == CHORDS["V"] and key.degree(letter) == 7
    return replace(pitch, alter=pitch.alter + 1) if raised else pitch


def _step(line: Sequence[_Under], choice: _Under) -> float:
    if not line:
        return 0.0
    before = line[-1]
    own = choice.tone.pitch.letter - before.tone.pitch.letter
    tune = choice.over.letter - before.over.letter
    cost = 0.35 * abs(own) + 0.6 * (own == 0) + (2.0 if abs(own) > _WIDEST else 0.0)
    if own * tune > 0:
        cost += 0.4
        if choice.interval == before.interval and choice.interval in PERFECT:
            cost += _FORBIDDEN
    return cost


__all__ = ["CONSONANT", "PERFECT", "second_part"]
