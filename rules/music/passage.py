"""One part as events in playing order, with exact times and what is printed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction
from functools import cached_property

from .expression import NO_EXPRESSION, Expression
from .instrument import Instrument, Pitch


class Technique(StrEnum):
    """How a note is sounded, where that binds the left hand."""

    NATURAL_HARMONIC = "natural harmonic"
    ARTIFICIAL_HARMONIC = "artificial harmonic"
    TRILL = "trill"
    MORDENT = "mordent"
    TURN = "turn"
    TREMOLO = "tremolo"
    LEFT_PIZZICATO = "left-hand pizzicato"
    GLISSANDO = "glissando"


@dataclass(frozen=True, slots=True)
class Printed:
    """What the part already prints on one note; empty where it prints nothing.

    Attributes:
        fingers: the alternatives (0 is an open string).
        strings: the string numbers (1 = highest).
        unread: marks that say nothing to the left hand of a violinist, as they are written: "5", "x", "thumb-position".
        rivals: two digits are printed and nothing says that one of them is an alternative.
        signs: how open strings are printed: "0", "o" or "open-string".
        tied: digits on notes tied to this one that are none of its own.
    """

    fingers: tuple[int, ...] = ()
    strings: tuple[int, ...] = ()
    unread: tuple[str, ...] = ()
    rivals: bool = False
    signs: tuple[str, ...] = ()
    tied: tuple[int, ...] = ()

    def __bool__(self) -> bool:
        return bool(self.fingers or self.strings)


NOTHING_PRINTED = Printed()


@dataclass(frozen=True, slots=True)
class Note:
    """One note that a finger (or open string) has to sound.

    `id` finds the note in its document again. `row` numbers the rows of a plan: pitched notes that are neither grace
    nor tie continuation, in document order from 0; None for grace notes. `beats` is the sounding length in quarter
    notes, ties joined. `voice` is the notated voice. `ad_libitum`: the part leaves it to the player, and says so.
    """

    id: str
    pitch: Pitch
    row: int | None
    beats: Fraction
    voice: str = "1"
    printed: Printed = NOTHING_PRINTED
    techniques: frozenset[Technique] = frozenset()
    ad_libitum: bool = False


@dataclass(frozen=True, slots=True)
class Event:
    """Everything that starts to sound at one moment under one hand.

    Attributes:
        onset: quarter notes from the start of the part.
        beats: quarter notes until the longest of its notes ends.
        seconds: the same in seconds, at the tempo in force; until the next event if that comes first.
        rest: seconds of silence between the end of what sounded before and this event.
        measure: index of the measure, from 0 (see `Passage.measures`).
        beat: where in the measure, in beats counted from 1.
        strength: metric weight of the onset: 3 first beat, 2 other beats, 1 half beats, 0 anything smaller.
        notes: what starts here, from the lowest.
        held: ids of notes that started earlier and still sound (other voices, double stops that move).
        slurred: in the same bow stroke as the event before.
        grace: a grace note; it belongs to the hand of the note it leads to.
        string: a string prescribed by words ("sul G") in force here, else None.
        position: a position prescribed by words here ("III. Lage", "3rd pos."), else None.
        restez: the part prints that the hand stays.
        unread: words that stand here, look like a string or a position, and cannot be understood.
        dynamic: loudness in force, from -3 (ppp) to 3 (fff); 0 where nothing is printed.
        jump: the music jumps here on repeat: the event index that is played before this one besides its neighbour.
    """

    onset: Fraction
    beats: Fraction
    seconds: float
    rest: float
    measure: int
    beat: Fraction
    strength: int
    notes: tuple[Note, ...]
    held: tuple[str, ...] = ()
    slurred: bool = False
    grace: bool = False
    string: int | None = None
    position: int | None = None
    restez: bool = False
    unread: tuple[str, ...] = ()
    dynamic: int = 0
    jump: int | None = None

    @property
    def is_trilled(self) -> bool:
        """True if a note has a trill."""
        return any(Technique.TRILL in note.techniques for note in self.notes)

    @property
    def pitches(self) -> tuple[Pitch, ...]:
        """What starts here, from the lowest."""
        if len(self.notes) == 1:
            return (self.notes[0].pitch,)
        return tuple(sorted((note.pitch for note in self.notes), key=lambda pitch: pitch.midi))


@dataclass(frozen=True, slots=True)
class Measure:
    """One measure: its label as printed (text, "12" or "X1"), where it starts and how long it is in quarters.

    `new_system` says that the part is laid out so that a line of music begins here.
    """

    label: str
    onset: Fraction
    beats: Fraction
    time_signature: tuple[int, int] = (4, 4)
    fifths: int = 0
    new_system: bool = False


@dataclass(frozen=True, slots=True)
class Words:
    """Words printed above or below the music that tell how it is to be played."""

    onset: Fraction
    measure: int
    text: str


@dataclass(frozen=True, eq=False)
class Passage:
    """One part, ready to be planned; two passages are the same only if they are one object.

    `words` are all printed directions in order; `remarks` what the reader had to repair or could not use, in words;
    `metronome_marks` the tempos that are printed as numbers, in quarter notes a minute. `tempo_is_given` is
    false where lengths in seconds go by a usual tempo, since neither the score nor the player gives one.
    `expression` is what is printed for the bow and the sound.
    """

    part: str
    name: str
    instrument: Instrument
    events: tuple[Event, ...]
    measures: tuple[Measure, ...]
    words: tuple[Words, ...] = ()
    remarks: tuple[str, ...] = ()
    abbreviation: str = ""
    quarter_tempo: float = field(default=96.0)
    metronome_marks: frozenset[float] = frozenset()
    tempo_is_given: bool = True
    expression: Expression = NO_EXPRESSION

    @property
    def notes(self) -> tuple[Note, ...]:
        """All notes in playing order."""
        return tuple(note for event in self.events for note in event.notes)

    @cached_property
    def events_by_measure(self) -> Mapping[int, Sequence[int]]:
        """The events of every measure in which something begins, in order."""
        found: dict[int, list[int]] = {}
        for index, event in enumerate(self.events):
            found.setdefault(event.measure, []).append(index)
        return dict(sorted(found.items()))

    def led_by_grace(self, index: int) -> bool:
        """Return True if a grace note comes right before the event at `index` and leads to it."""
        before = self.events[index - 1] if index else None
        return before is not None and before.grace and before.onset == self.events[index].onset

    def label(self, event: Event) -> str:
        """Return the printed label of the measure in which `event` stands."""
        return self.measures[event.measure].label


HELD_SECONDS = 1.2
"""Seconds from which a note is long, on an open string as under the fourth finger, for a rule as for what is counted:
a half note at a walking pace, 100 quarter notes a minute (common practice)."""
UNBOUND_REST = 0.5
"""Seconds of silence after which a change of string or finger costs nothing."""
REST_FOR_A_SHIFT = 0.1
"""Seconds of silence in which the hand moves unheard: a sixteenth rest at a walking pace."""
