"""A note and a measure as they are written, before ties and simultaneous notes are put together.

Time is counted in ticks, a whole fraction of a quarter note that all `<divisions>` of the part share; plain integers,
unless a file writes decimal durations, when they are fractions. Nothing is ever rounded.
"""

from __future__ import annotations

from bisect import bisect_left
from fractions import Fraction
from itertools import accumulate

from rules import Note, Pitch

from .attributes import Attributes
from .note_marks import Marks

Tick = int | Fraction


class WrittenNote:
    """One pitched note as written.

    `head` is the note that it prolongs by a tie, or that it is folded into; `event` the index of what starts with it;
    `ordinal` counts all notes of the document from 0.
    """

    __slots__ = (
        "before", "chord", "end", "event", "grace", "head", "lower", "marks", "measure", "note", "onset",
        "ordinal", "pitch", "staff", "tie_start", "tie_stop", "voice",
    )  # fmt: skip

    ordinal: int
    before: int
    measure: int
    onset: Tick
    end: Tick
    pitch: Pitch
    voice: str
    staff: str | None
    grace: bool
    chord: bool
    marks: Marks
    tie_start: bool
    tie_stop: bool
    lower: bool
    event: int
    head: WrittenNote | None
    note: Note

    def own_marks(self) -> Marks:
        """Return marks that may be changed: notes that are written alike share theirs."""
        self.marks = self.marks.copy()
        return self.marks


class WrittenMeasure:
    """One measure: label, start and length in ticks, and the attributes in force at its end."""

    __slots__ = ("attributes", "implicit", "label", "length", "new_system", "nominal", "onset")

    def __init__(self, label: str, onset: Tick, implicit: bool) -> None:
        self.label = label
        self.onset = onset
        self.implicit = implicit
        self.length: Tick = 0
        self.nominal: Tick = 0
        self.new_system = False
        self.attributes = Attributes()


def whole_ticks(ticks: Tick) -> Tick:
    """Return ticks as a plain integer where they are whole."""
    return ticks.numerator if ticks.denominator == 1 else ticks


def leave_to_the_player(hidden: list[WrittenNote], measure: list[WrittenNote]) -> bool:
    """Leave out of the plan what is written for a program's playback; returns True if there was such a thing.

    Some exporters write a trill or tremolo out in a second voice that is not printed. A hidden note beside a printed
    one that sounds at the same time is such a copy: it becomes its own `head`, so it keeps its row and has no stop.
    """
    found = False
    playback = {note.ordinal for note in hidden}
    printed = sorted((note for note in measure if note.ordinal not in playback), key=lambda note: note.onset)
    onsets = [note.onset for note in printed]
    last_ends = list(accumulate((note.end for note in printed), max))
    for note in hidden:
        earlier = bisect_left(onsets, note.end)
        if earlier and last_ends[earlier - 1] > note.onset:
            note.head = note
            found = True
    return found
