"""Simulates a player who reads printed fingerings: which stop the player takes for each note, by these conventions.

1. The hand begins in first position and stays until a word or a digit says otherwise. An open string moves nothing.
2. A position word holds from its note on, a string mark for its note.
3. A note without marks is taken by the finger of its letter in the present position, bent low or high by accidentals;
   in half and first position an open string is taken open where the note is written exactly so. Nobody can
   guess the raised letter of an open string in first position, a natural harmonic, or a chord that needs one string
   twice. A harmonic that is touched elsewhere than written is found only if its string is marked.
4. A digit is that finger in the present position: under its own letter, under a neighbouring letter within its frame,
   or reaching, the fourth a letter up, the first a letter back. If it is none of these, the hand has moved to the
   nearest position that fits, the lower of two.
5. The same note again in the same bar is taken as before.

Source: common practice. Notes that start together are read together, in one position and on neighbouring strings,
whatever their voices; notes held over are left alone.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import product
from typing import NamedTuple

from ..hand.grip import FINGERS, HIGHEST_POSITION, HOME, HOME_POSITION, Stop, outward, own_position
from ..hand.harmonics import touches
from ..music.instrument import Instrument, Pitch
from ..music.passage import Note, Technique

PLAIN, NEIGHBOUR, AS_NAMED = range(3)
"""Ranks of a reading: the finger takes its own letter; a neighbour's, or reaches; or fits only the named position."""
_FARTHEST = 2
"""Most letters between a finger's own note and the one it takes in a position that a word names."""


class NoteMarks(NamedTuple):
    """The marks on one note: the fingers that are printed (0 is the open string) and the strings."""

    fingers: tuple[int, ...] = ()
    strings: tuple[int, ...] = ()


UNMARKED = NoteMarks()


class ReadFingering(NamedTuple):
    """How one note is taken; finger 0 is the open string."""

    string: int
    finger: int


class ReaderState(NamedTuple):
    """Where the hand is, and how the last notes were taken (None: nobody could tell)."""

    position: int = HOME_POSITION
    measure: int = -1
    pitches: tuple[Pitch, ...] = ()
    taken: tuple[ReadFingering, ...] | None = None


class _Reading(NamedTuple):
    rank: int
    taken: ReadFingering


@dataclass(frozen=True, slots=True)
class PageReader:
    """Reads notes and their marks one after the other."""

    instrument: Instrument
    _guesses: dict[tuple[int, float, int], ReadFingering | None] = field(default_factory=dict, compare=False)

    def read(
        self, notes: Sequence[Note], measure: int, note_marks: Sequence[NoteMarks], word: int | None, state: ReaderState
    ) -> ReaderState:
        """Read what starts together, with the marks on each note and the position word that stands there."""
        if word is None and not any(marks.fingers or marks.strings for marks in note_marks):
            return self.guess(notes, measure, state)
        pitches = tuple([note.pitch for note in notes])
        present = state.position if word is None else word
        for position in self._positions(note_marks, word, present):
            taken = self._together(notes, note_marks, position, word is not None, position == present)
            if taken is not None:
                stays = word is None and not any(one.finger for one in taken)
                return ReaderState(state.position if stays else position, measure, pitches, taken)
        return ReaderState(present, measure, pitches, None)

    def guess(self, notes: Sequence[Note], measure: int, state: ReaderState) -> ReaderState:
        """Read what starts together without any mark."""
        pitches = (notes[0].pitch,) if len(notes) == 1 else tuple([note.pitch for note in notes])
        position = state.position
        if measure == state.measure and pitches == state.pitches and state.taken is not None:
            return state
        if len(notes) == 1:
            taken = self._guess(pitches[0], position)
            if taken is None or Technique.NATURAL_HARMONIC in notes[0].techniques:
                return ReaderState(position, measure, pitches, None)
            return ReaderState(position, measure, pitches, (taken,))
        found = self._together(notes, [UNMARKED] * len(notes), position, False, True)
        return ReaderState(position, measure, pitches, found)

    def _guess(self, pitch: Pitch, position: int) -> ReadFingering | None:
        key = pitch.letter, pitch.alter, position
        if key not in self._guesses:
            self._guesses[key] = _guess(pitch, position, self.instrument)
        return self._guesses[key]

    @staticmethod
    def _positions(note_marks: Sequence[NoteMarks], word: int | None, present: int) -> Iterator[int]:
        """Where the hand may be: where it is, or, if a digit asks for it, the nearest position first."""
        yield present
        if word is not None or not any(finger for marks in note_marks for finger in marks.fingers):
            return
        for distance in range(1, HIGHEST_POSITION + 1):
            for position in (present - distance, present + distance):
                if 0 <= position <= HIGHEST_POSITION:
                    yield position

    def _together(
        self, notes: Sequence[Note], note_marks: Sequence[NoteMarks], position: int, named: bool, stays: bool
    ) -> tuple[ReadFingering, ...] | None:
        """The plainest way to take all notes in one position; None if there is none."""
        widest = PLAIN if not stays else AS_NAMED if named else NEIGHBOUR
        choices = []
        for note, marks in zip(notes, note_marks, strict=True):
            harmonic = Technique.NATURAL_HARMONIC in note.techniques
            choices.append(_readings(note.pitch, harmonic, marks, position, widest, self.instrument))
        if len(choices) == 1:
            return (min(choices[0])[1],) if choices[0] else None
        fitting = [ways for ways in product(*choices) if _on_neighbours([way.taken.string for way in ways])]
        best = min(fitting, key=lambda ways: sum(way.rank for way in ways), default=None)
        return None if best is None else tuple(way.taken for way in best)


def _on_neighbours(strings: Sequence[int]) -> bool:
    return len(set(strings)) == len(strings) == max(strings) - min(strings) + 1


@lru_cache(maxsize=4096)
def _guess(pitch: Pitch, position: int, instrument: Instrument) -> ReadFingering | None:
    """What a note without marks is taken for: an open string, or the finger of its letter."""
    found = None
    for string in instrument.string_numbers:
        open_pitch = instrument.open_pitch(string)
        letters, semitones = pitch.letter - open_pitch.letter, pitch.midi - open_pitch.midi
        if position <= HOME_POSITION and letters == semitones == 0:
            return ReadFingering(string, 0)
        if position == HOME_POSITION and letters == 0 and semitones > 0:
            return None
        if own_position(letters, 1) >= position >= own_position(letters, FINGERS[-1]) and semitones > 0:
            found = ReadFingering(string, letters - position + 1)
    return found


@lru_cache(maxsize=4096)
def _readings(
    pitch: Pitch, harmonic: bool, note_marks: NoteMarks, position: int, widest: int, instrument: Instrument
) -> tuple[_Reading, ...]:
    """Every way to take a note as its marks say in a position, no further from the plain one than `widest`."""
    if not note_marks.fingers:
        return () if harmonic else _unnumbered(pitch, note_marks, position, instrument)
    found = []
    for string in note_marks.strings[:1] or instrument.string_numbers:
        if string not in instrument.string_numbers:
            continue
        for letters, semitones in _places(pitch, string, harmonic and bool(note_marks.strings), instrument):
            for finger in note_marks.fingers:
                rank = _rank(Stop(string, finger, semitones, letters), position)
                if rank is not None and rank <= widest:
                    found.append(_Reading(rank, ReadFingering(string, finger)))
    return tuple(found)


def _unnumbered(pitch: Pitch, note_marks: NoteMarks, position: int, instrument: Instrument) -> tuple[_Reading, ...]:
    """Without a digit: the guess, or what the marked string has in this position."""
    if not note_marks.strings:
        guess = _guess(pitch, position, instrument)
        return () if guess is None else (_Reading(PLAIN, guess),)
    string = note_marks.strings[0]
    if string not in instrument.string_numbers:
        return ()
    open_pitch = instrument.open_pitch(string)
    letters, semitones = pitch.letter - open_pitch.letter, pitch.midi - open_pitch.midi
    if position <= HOME_POSITION and letters == semitones == 0:
        return (_Reading(PLAIN, ReadFingering(string, 0)),)
    finger = letters - position + 1
    return (_Reading(PLAIN, ReadFingering(string, finger)),) if finger in FINGERS and semitones > 0 else ()


def _places(pitch: Pitch, string: int, searched: bool, instrument: Instrument) -> list[tuple[int, float]]:
    """Letters and semitones above the open string where the note is written, or all its nodes where it is searched."""
    if searched:
        return [(touch.letters, touch.semitones) for touch in touches(pitch, instrument) if touch.string == string]
    open_pitch = instrument.open_pitch(string)
    return [(pitch.letter - open_pitch.letter, pitch.midi - open_pitch.midi)]


def _rank(stop: Stop, position: int) -> int | None:
    if stop.finger == 0:
        return PLAIN if stop.semitones == 0 else None
    own = own_position(stop.letters, stop.finger)
    if stop.semitones <= 0:
        return None
    if own == position:
        return PLAIN
    beside = abs(own - position) == 1
    if beside and (outward(stop, position) or _low_or_high(stop, position)):
        return NEIGHBOUR
    return AS_NAMED if abs(own - position) <= _FARTHEST else None


def _low_or_high(stop: Stop, position: int) -> bool:
    """Whether the finger stands where its own letter is flat, natural or sharp: within a semitone of its home."""
    return abs(stop.semitones - HOME * (position + stop.finger - 1)) <= 1


__all__ = ["UNMARKED", "NoteMarks", "PageReader", "ReadFingering", "ReaderState"]
