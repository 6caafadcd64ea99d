"""A practice sheet as values: what stands on the paper, note by note, before anybody engraves it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import IntEnum, StrEnum
from fractions import Fraction

from ..music.expression import Hairpin, Sign
from ..music.instrument import Instrument, Pitch
from ..music.metre import Meter, beat_length
from ..text import english, joined


class Head(StrEnum):
    """The head of a note, which tells how a drill takes it.

    SILENT: the finger is set down without the bow (a cross). LIGHT: it touches the string at its place and does not
    press (a diamond).
    """

    PLAIN = "plain"
    SILENT = "silent"
    LIGHT = "light"


@dataclass(frozen=True, slots=True)
class Tone:
    """One pitch with the stop that sounds it; finger and string are None where no hand can sound it.

    `show_finger` and `show_string` say what is printed; the stop itself is meant either way. `harmonic`: the finger
    touches the string lightly, and a natural harmonic sounds at `pitch`. `head`: how it is taken in a drill.
    """

    pitch: Pitch
    finger: int | None = None
    string: int | None = None
    show_finger: bool = True
    show_string: bool = False
    harmonic: bool = False
    head: Head = Head.PLAIN


class Bow(StrEnum):
    """Direction of a bow stroke."""

    DOWN = "down"
    UP = "up"


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
        name_position: the position is named here even if it is that of the note before.
        bow: the stroke that is printed, None for none.
        ad_libitum: left to the player: the piece asks for it, and the text of the section says what it is.
        signs: what the piece prints at it for the bow and the sound.
        dynamics: letters that stand under it, for example "p".
        hairpin: one that begins here.
        ends_hairpin: the one that is open ends behind this note.
    """

    tones: tuple[Tone, ...]
    beats: Fraction
    position: int | None = None
    bowed_on: bool = False
    tied: bool = False
    half_step: bool = False
    name_position: bool = False
    bow: Bow | None = None
    ad_libitum: bool = False
    signs: tuple[Sign, ...] = ()
    dynamics: tuple[str, ...] = ()
    hairpin: Hairpin | None = None
    ends_hairpin: bool = False

    def held_on(self, beats: Fraction) -> SheetNote:
        """Return the note as it goes on behind a bar line: nothing is printed at it anew."""
        bare = replace(self, bow=None, name_position=False, signs=(), dynamics=(), hairpin=None)
        return replace(bare, beats=beats)

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
    """A full bar: its notes add up to its metre. `label` is its number in the piece; empty for a drill.

    The upbeat of a tune is a bar of its own, which makes a full bar together with the last one. A bar that `closes`
    ends a part of its exercise: a double bar line stands behind it.
    """

    notes: tuple[SheetNote, ...]
    meter: Meter
    fifths: int
    label: str = ""
    closes: bool = False


class Need(IntEnum):
    """How much a sheet needs an exercise.

    ALWAYS: without it a passage, a position or a way of shifting would be missing. CORE: what most pupils need first.
    HELPFUL: what makes it safer. VARIANT: the same again in another form.
    """

    ALWAYS = 0
    CORE = 1
    HELPFUL = 2
    VARIANT = 3


@dataclass(frozen=True, slots=True)
class Exercise:
    """One line of practice.

    Attributes:
        title: what is done, in a few words.
        text: what to listen for.
        bars: the music.
        tempo: quarter notes a minute at which it begins.
        show_tempo: the tempo is printed.
        is_essential: only the fingers and strings are printed that a player cannot know.
        is_repeated: repeat signs stand at both ends.
        dynamic: loudness that is printed at the beginning, for example "p"; empty for none.
        steps: tempos from slow to the tempo of the piece, in beats a minute (see `beats_per_minute`).
        counted: the note value that its tempo counts, in quarter notes; None for the beat of its metre.
        number: its number on the sheet, from 1; 0 before it is on one.
        origin: its number on the whole sheet, before a teacher has chosen from it.
        need: how much a sheet needs it.
    """

    title: str
    text: str
    bars: tuple[Bar, ...]
    tempo: float = 60.0
    show_tempo: bool = False
    is_essential: bool = False
    is_repeated: bool = False
    dynamic: str = ""
    steps: tuple[int, ...] = ()
    counted: Fraction | None = None
    number: int = 0
    origin: int = 0
    need: Need = Need.ALWAYS

    @property
    def heading(self) -> str:
        """The title behind its number."""
        return joined((f"{self.number}.", self.title)) if self.number else self.title

    @property
    def beat(self) -> Fraction:
        """What its tempo counts, in quarter notes: a dotted one in six eighths."""
        return self.counted or (beat_length(self.bars[0].meter) if self.bars else Fraction(1))

    @property
    def beats_per_minute(self) -> int:
        """The tempo in beats."""
        return round(self.tempo / float(self.beat))

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
        piece: which piece it is for, on a sheet for several.
        new_page: the section begins a page.
        charts: positions whose fingerboard is shown beside them.
        fifths: key of these charts, sharps (positive) or flats.
        minor: whether that key is minor.
        is_for_teacher: the pupil does not practise them: they are not in the plan for the week.
        is_daily: they are for every day, as a warm-up is.
        weight: how often the piece asks for what is practised, and within one time how hard it is.
    """

    heading: str
    text: str
    exercises: tuple[Exercise, ...]
    piece: str = ""
    new_page: bool = False
    charts: tuple[int, ...] = ()
    fifths: int = 0
    minor: bool = False
    is_for_teacher: bool = False
    is_daily: bool = False
    weight: float = 0.0


class SheetForm(StrEnum):
    """How much stands on a sheet."""

    FULL = "full"
    CARD = "card"


@dataclass(frozen=True, slots=True)
class Sheet:
    """A practice sheet for one part or several, or the progressive set for one key.

    Attributes:
        title: the heading.
        subtitle: of which part.
        instrument: who plays.
        sections: in the order of practice.
        cautions: what a sheet of exercises has to say besides the exercises.
        remarks: what is left out, and why.
        form: the card is for one page.
        pupil: for whom it is; empty for anybody.
        note: what the teacher adds.
    """

    title: str
    subtitle: str
    instrument: Instrument
    sections: tuple[Section, ...]
    cautions: tuple[str, ...]
    remarks: tuple[str, ...] = ()
    form: SheetForm = SheetForm.FULL
    pupil: str = ""
    note: str = ""

    @property
    def exercises(self) -> tuple[Exercise, ...]:
        """All exercises in order."""
        return tuple(exercise for section in self.sections for exercise in section.exercises)


def numbered(sections: Iterable[Section]) -> tuple[Section, ...]:
    """Return the sections with their exercises numbered through from 1.

    Exercises without bars (of bars that last no time) are left out, and so are sections without exercises.
    """
    count = 0
    found = []
    for section in sections:
        exercises = []
        for exercise in filter(lambda exercise: exercise.bars, section.exercises):
            count += 1
            exercises.append(replace(exercise, number=count, origin=exercise.origin or count))
        if exercises:
            found.append(replace(section, exercises=tuple(exercises)))
    return tuple(found)


CAUTIONS = (
    english("Stop at once if you feel pain or numbness."),
    english("Keep thumb, hand and shoulders loose. A stretch that hurts is wrong for this hand."),
    english("Practise for five minutes, then rest your arms. Short and often is best."),
    english("Your teacher decides what is right for you; if anything hurts, a doctor does."),
)
"""What a sheet of exercises has to say besides the exercises (common practice of teachers)."""

__all__ = [
    "CAUTIONS",
    "Bar",
    "Bow",
    "Exercise",
    "Head",
    "Meter",
    "Need",
    "Section",
    "Sheet",
    "SheetForm",
    "SheetNote",
    "Tone",
    "numbered",
]
