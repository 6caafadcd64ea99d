"""Names of positions over fingers that all stand on the letters of a neighbouring position.

The frame of a hand is counted in semitones, the name of a position in letters. So a plan may have the hand in fifth
position and every finger raised. A player who meets this word over these fingers takes one of them for a misprint, and
so does a review. A digit on a note that does lie in the position helps, if there is one close behind the word. Where
there is none the exercise says how the fingers stand, and its notes are left to the player (ad libitum).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from ..check.catalogue.contradictory_marks import SOON, words_over_other_fingers
from ..hand.grip import own_position
from ..music.instrument import Instrument
from ..music.metre import beat_length
from ..music.passage import Event, Note, Passage, Printed, Technique
from ..text import Text, english, joined
from .drills.position_drills import place_name
from .sheet import Bar, Exercise, Section, SheetNote

_HARMONIC = frozenset({Technique.NATURAL_HARMONIC})
Place = tuple[int, int]
"""The bar of a note in its exercise, and its number in the bar."""


def words_explained(section: Section, instrument: Instrument) -> Section:
    """Return the section with digits that bear out its position words, or with a sentence where no digit does."""
    return replace(section, exercises=tuple(_explained(exercise, instrument) for exercise in section.exercises))


@dataclass(frozen=True)
class _Line:
    """An exercise as a review reads it: what is struck, and where it stands."""

    passage: Passage
    places: tuple[Place, ...]

    def doubtful(self) -> Iterator[int]:
        """Yield the events with a word over fingers of another position."""
        named: int | None = None
        for index, event in enumerate(self.passage.events):
            if words_over_other_fingers(self.passage, index, named):
                yield index
            named = named if event.position is None else event.position

    def under(self, index: int) -> range:
        """The events that a word is held against: those close behind it, up to the next one."""
        last = index
        for later in range(index + 1, min(index + SOON, len(self.passage.events))):
            if self.passage.events[later].position is not None:
                break
            last = later
        return range(index, last + 1)


def _explained(exercise: Exercise, instrument: Instrument) -> Exercise:
    line = _line(exercise, instrument)
    for index in line.doubtful():
        bearing_out = [at for at in line.under(index) if _lies_in(_at(exercise, line.places[at]), instrument)]
        exercise = _changed(exercise, [line.places[at] for at in bearing_out[:1]], _with_digits)
    line = _line(exercise, instrument)
    told: list[Text] = []
    for index in line.doubtful():
        exercise = _changed(exercise, [line.places[at] for at in line.under(index)], _ad_libitum)
        told.append(_how_they_stand(exercise, line.places[index], instrument))
    return replace(exercise, text=joined((exercise.text, *dict.fromkeys(told)))) if told else exercise


def _line(exercise: Exercise, instrument: Instrument) -> _Line:
    events: list[Event] = []
    places: list[Place] = []
    rest = 0.0
    named: int | None = None
    held = False
    for number, bar in enumerate(exercise.bars):
        for spot, note in enumerate(bar.notes):
            seconds = float(note.beats) * 60 / exercise.tempo
            if note.is_rest or any(tone.finger is None for tone in note.tones):
                rest += seconds
                held = held and note.is_small
                continue
            if not held:
                arrives = note.name_position or (not note.is_open and note.position != named)
                named = note.position if arrives else named
                events.append(_event(note, bar, seconds, rest, note.position if arrives else None))
                places.append((number, spot))
            rest = 0.0
            held = held if note.is_small else note.tied
    return _Line(Passage("", "", instrument, tuple(events), ()), tuple(places))


def _event(note: SheetNote, bar: Bar, seconds: float, rest: float, word: int | None) -> Event:
    notes = tuple(
        Note(
            "",
            tone.pitch,
            None,
            note.beats,
            printed=Printed(
                (tone.finger,) if tone.show_finger and tone.finger is not None else (),
                (tone.string,) if tone.show_string and tone.string is not None else (),
            ),
            techniques=_HARMONIC if tone.harmonic else frozenset(),
            ad_libitum=note.ad_libitum,
        )
        for tone in note.tones
    )
    return Event(Fraction(0), note.beats, seconds, rest, 0, beat_length(bar.meter), 0, notes, position=word)


def _at(exercise: Exercise, place: Place) -> SheetNote:
    return exercise.bars[place[0]].notes[place[1]]


def _lies_in(note: SheetNote, instrument: Instrument) -> bool:
    """Whether a single note without a digit lies under the finger of its letter in the position that is named."""
    return len(note.tones) == 1 and not note.tones[0].show_finger and _letters_off(note, instrument) == 0


def _letters_off(note: SheetNote, instrument: Instrument) -> int | None:
    """How many letters above its own place in the position a finger stands; None for an open string or a harmonic."""
    tone = note.tones[0]
    if not tone.finger or tone.string is None or note.position is None or tone.harmonic:
        return None
    letters = tone.pitch.letter - instrument.open_pitch(tone.string).letter
    return own_position(letters, tone.finger) - note.position


def _how_they_stand(exercise: Exercise, place: Place, instrument: Instrument) -> Text:
    note, label = _at(exercise, place), exercise.bars[place[0]].label
    off = _letters_off(note, instrument) or 0
    position = note.position or 0
    here, beside = place_name(position), place_name(max(position + off, 0))
    if off > 0 and label:
        return english(
            "In bar {number} the fingers stand high in {position}, almost in {other}.",
            number=label, position=here, other=beside,
        )  # fmt: skip
    if label:
        return english(
            "In bar {number} the fingers stand low in {position}, almost in {other}.",
            number=label, position=here, other=beside,
        )  # fmt: skip
    if off > 0:
        return english("The fingers stand high in {position}, almost in {other}.", position=here, other=beside)
    return english("The fingers stand low in {position}, almost in {other}.", position=here, other=beside)


def _with_digits(note: SheetNote) -> SheetNote:
    return replace(note, tones=tuple(replace(tone, show_finger=True) for tone in note.tones))


def _ad_libitum(note: SheetNote) -> SheetNote:
    return replace(note, ad_libitum=True)


def _changed(exercise: Exercise, places: Sequence[Place], change: Callable[[SheetNote], SheetNote]) -> Exercise:
    """The exercise with some of its notes changed."""
    bars = [
        replace(
            bar,
            notes=tuple(change(note) if (number, spot) in places else note for spot, note in enumerate(bar.notes)),
        )
        for number, bar in enumerate(exercise.bars)
    ]
    return replace(exercise, bars=tuple(bars)) if places else exercise


__all__ = ["words_explained"]
