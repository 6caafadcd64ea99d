"""A practice sheet as values: what stands on the paper, note by note, before anybody engraves it.

What belongs here: notes with the hand that plays them, bars, exercises, sections. What does not: what to practise (see
`practice`), and any file format.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from ..music.instrument import Instrument, Pitch
from ..music.metre import Meter


@dataclass(frozen=True, slots=True)
class Tone:
    """One pitch with the stop that sounds it; finger and string are None where no hand can sound it.

    `show_finger` and `show_string` say what is printed; the stop itself is meant either way.
    """

    pitch: Pitch
    finger: int | None = None
    string: int | None = None
    show_finger: bool = True
    show_string: bool = False


@dataclass(frozen=True, slots=True)
class SheetNote:
    """What is played from one moment on: a note, a chord or (without tones) a rest.

    Attributes:
        tones: from the lowest.
        beats: length in quarter notes; 0 for a small note before the next.
        position: where the hand is; None for rests, and where no hand can play.
        bowed_on: the next note is in the same bow.
        tied: the next note is the same one, held on.
        half_step: a bracket from here to the next note shows a half step.
        below: a word under the note, for example "low".
    """

    tones: tuple[Tone, ...]
    beats: Fraction
    position: int | None = None
    bowed_on: bool = False
    tied: bool = False
    half_step: bool = False
    below: str = ""

    @property
    def is_rest(self) -> bool:
        """True if nothing sounds."""
        return not self.tones

    @property
    def is_small(self) -> bool:
        """True for a small note: a guide note, or an ornament that leads to the next note."""
        return not self.beats

    @property
    def is_open(self) -> bool:
        """True if open strings sound and no finger is down."""
        return bool(self.tones) and all(tone.finger == 0 for tone in self.tones)


@dataclass(frozen=True, slots=True)
class Bar:
    """A full bar: its notes add up to its metre."""

    notes: tuple[SheetNote, ...]
    meter: Meter
    fifths: int


@dataclass(frozen=True, slots=True)
class Exercise:
    """One line of practice.

    Attributes:
        title: what is done, in a few words.
        text: what to listen for.
        bars: the music.
        tempo: quarter notes a minute.
        show_tempo: the tempo is printed.
        is_essential: only the fingers and strings are printed that a player cannot know.
    """

    title: str
    text: str
    bars: tuple[Bar, ...]
    tempo: float = 60.0
    show_tempo: bool = False
    is_essential: bool = False

    @property
    def is_counted_dotted(self) -> bool:
        """True if the beat is a dotted quarter note, as in six eighths."""
        upper, lower = self.bars[0].meter
        return lower == 8 and upper % 3 == 0 and upper > 3

    @property
    def beats_per_minute(self) -> int:
        """The tempo in quarter notes, or in dotted ones where these are the beat."""
        return round(self.tempo * 2 / 3) if self.is_counted_dotted else round(self.tempo)

    @property
    def notes(self) -> tuple[SheetNote, ...]:
        """All notes and rests in order."""
        return tuple(note for bar in self.bars for note in bar.notes)


@dataclass(frozen=True, slots=True)
class Section:
    """Exercises under one heading.

    Attributes:
        heading: what they are for.
        text: about all of them.
        exercises: in the order of practice.
        new_page: the section begins a page.
        charts: positions whose fingerboard is shown beside them.
        fifths: key of these charts, sharps (positive) or flats.
        minor: whether that key is minor.
    """

    heading: str
    text: str
    exercises: tuple[Exercise, ...]
    new_page: bool = False
    charts: tuple[int, ...] = ()
    fifths: int = 0
    minor: bool = False


@dataclass(frozen=True, slots=True)
class Sheet:
    """A practice sheet for one part, or the progressive set for one key."""

    title: str
    subtitle: str
    instrument: Instrument
    sections: tuple[Section, ...]
    cautions: tuple[str, ...]
    remarks: tuple[str, ...] = ()

    @property
    def exercises(self) -> tuple[Exercise, ...]:
        """All exercises in order."""
        return tuple(exercise for section in self.sections for exercise in section.exercises)


SAME_FINGER_NEXT_STRING = 5
"""From this position on, a pitch has the same finger four positions lower on the next string."""


def with_string_marks(bars: tuple[Bar, ...]) -> tuple[Bar, ...]:
    """Return the bars with the string shown where the position changes, on chords, and away from first at each change.

    Where high positions are used, the same fingers would do on the next string too: then the string is also shown on
    the first note of each bar and before each shift.
    """
    stopped = [note for bar in bars for note in bar.notes if any(tone.finger for tone in note.tones)]
    high = any((note.position or 0) >= SAME_FINGER_NEXT_STRING for note in stopped)
    following = [*(note.position for note in stopped[1:]), None]
    shown: dict[int, bool] = {}
    known: tuple[int | None, int | None] | None = None
    number = 0
    marked = []
    for bar in bars:
        if high:
            known = None
        for spot, note in enumerate(bar.notes):
            fingered = [tone for tone in note.tones if tone.finger]
            if not fingered:
                continue
            here = (0 if note.position == 1 else fingered[0].string, note.position)
            leaving = high and following[number] != note.position
            shown[spot] = here != known or len(note.tones) > 1 or leaving
            known = here if len(note.tones) == 1 else None
            number += 1
        notes = [_with_string(note) if shown.pop(spot, False) else note for spot, note in enumerate(bar.notes)]
        marked.append(replace(bar, notes=tuple(notes)))
    return tuple(marked)


def _with_string(note: SheetNote) -> SheetNote:
    return replace(note, tones=tuple(replace(tone, show_string=bool(tone.finger)) for tone in note.tones))


CAUTIONS = (
    "Stop at once at pain or numbness.",
    "Keep thumb, hand and shoulders loose. A stretch that hurts is wrong for this hand.",
    "Practise for five minutes, then rest your arms. Short and often is best.",
    "Your teacher decides what is right for you; if anything hurts, a doctor does.",
)
"""What a sheet of exercises has to say besides the exercises (common practice of teachers)."""

__all__ = ["CAUTIONS", "Bar", "Exercise", "Meter", "Section", "Sheet", "SheetNote", "Tone", "with_string_marks"]
