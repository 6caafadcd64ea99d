"""Marks on a sheet that a player needs: every line is read along, and a mark is added where it would be read otherwise.

The player is the one of `plan/read_marks`: position words stand where the hand changes, a digit counts in the position
in force. As a courtesy a line with all digits names its first string, and each string on which the hand arrives in
another position (common practice of teaching material).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from ..music.instrument import Instrument
from ..music.passage import Note, Technique
from ..plan.read_marks import NoteMarks, PageReader, ReaderState, ReadFingering
from .sheet import Bar, Section, SheetNote, Tone

_HARMONIC = frozenset({Technique.NATURAL_HARMONIC})


def legible(section: Section, instrument: Instrument) -> Section:
    """Return the section with the marks that a player needs in every exercise."""
    exercises = (
        replace(exercise, bars=_legible_bars(exercise.bars, instrument, courtesy=not exercise.is_essential))
        for exercise in section.exercises
    )
    return replace(section, exercises=tuple(exercises))


class _Page:
    """How far a player has read."""

    def __init__(self, instrument: Instrument) -> None:
        self._reader = PageReader(instrument)
        self._state = ReaderState()
        self._named: int | None = None
        self._held = False
        self.string: int | None = None

    def is_struck(self, note: SheetNote) -> bool:
        """True if a finger or an open string is taken anew, by a hand."""
        return not self._held and bool(note.tones) and all(tone.finger is not None for tone in note.tones)

    def arrives(self, note: SheetNote) -> bool:
        """True if the position is named before the note."""
        return note.name_position or (not note.is_open and note.position != self._named)

    def read(self, note: SheetNote, bar: int) -> ReaderState:
        """How the note is taken with its marks."""
        notes = [
            Note("", tone.pitch, None, Fraction(0), techniques=_HARMONIC if tone.harmonic else frozenset())
            for tone in note.tones
        ]
        marks = [
            NoteMarks(
                (tone.finger,) if tone.show_finger and tone.finger is not None else (),
                (tone.string,) if tone.show_string and tone.string is not None else (),
            )
            for tone in note.tones
        ]
        return self._reader.read(notes, bar, marks, note.position if self.arrives(note) else None, self._state)

    def is_right(self, note: SheetNote, bar: int) -> bool:
        """True if the note is taken as meant; nobody knows yet where the hand is before the first finger is down."""
        if self._named is None and note.is_open and not note.name_position:
            return all(tone.show_finger for tone in note.tones)
        read = self.read(note, bar)
        meant = tuple(ReadFingering(tone.string or 0, tone.finger or 0) for tone in note.tones)
        return read.taken == meant and (note.is_open or read.position == note.position)

    def turn(self, note: SheetNote, bar: int) -> None:
        """Read on behind the note."""
        if self.is_struck(note):
            self._state = self.read(note, bar)
            if self.arrives(note):
                self._named = note.position
            if not note.is_open:
                self.string = next(tone.string for tone in note.tones if tone.finger)
        if not note.is_small:
            self._held = note.tied


def _legible_bars(bars: tuple[Bar, ...], instrument: Instrument, courtesy: bool) -> tuple[Bar, ...]:
    page = _Page(instrument)
    found = []
    for index, bar in enumerate(_named_from_the_start(bars)):
        notes = []
        for note in bar.notes:
            marked = _marked(page, note, index, courtesy) if page.is_struck(note) else note
            page.turn(marked, index)
            notes.append(marked)
        found.append(replace(bar, notes=tuple(notes)))
    return tuple(found)


def _named_from_the_start(bars: tuple[Bar, ...]) -> tuple[Bar, ...]:
    """The bars with the position named at the first note, also where it is an open string: the hand is there then."""
    struck = [(place, note) for place, note in _places(bars) if note.tones]
    stopped = next((note for _, note in struck if not note.is_open), None)
    first = struck[0][1] if struck else None
    if first is None or stopped is None or not first.is_open or first.position != stopped.position:
        return bars
    bar, spot = struck[0][0]
    notes = [*bars[bar].notes]
    notes[spot] = replace(first, name_position=True)
    return (*bars[:bar], replace(bars[bar], notes=tuple(notes)), *bars[bar + 1 :])


def _places(bars: tuple[Bar, ...]) -> Iterator[tuple[tuple[int, int], SheetNote]]:
    """Yield every note with its bar and its number in the bar."""
    for number, bar in enumerate(bars):
        for spot, note in enumerate(bar.notes):
            yield (number, spot), note


def _marked(page: _Page, note: SheetNote, bar: int, courtesy: bool) -> SheetNote:
    """The note with the fewest marks more with which it is read as meant; with a courtesy, with its string."""
    strings = {tone.string for tone in note.tones if tone.finger}
    if courtesy and len(note.tones) == 1 and strings and page.arrives(note) and strings != {page.string}:
        named = _with(note, string=True)
        if page.is_right(named, bar):
            return named
    all_marks = _with(note, finger=True, string=True)
    for choice in (note, _with(note, finger=True), all_marks):
        if page.is_right(choice, bar):
            return choice
    return replace(all_marks, name_position=not note.is_open)


def _with(note: SheetNote, finger: bool = False, string: bool = False) -> SheetNote:
    return replace(note, tones=tuple(_shown(tone, finger, string) for tone in note.tones))


def _shown(tone: Tone, finger: bool, string: bool) -> Tone:
    return replace(
        tone,
        show_finger=tone.show_finger or finger,
        show_string=tone.show_string or (string and bool(tone.finger)),
    )


__all__ = ["legible"]
