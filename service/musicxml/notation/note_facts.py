"""What a `<note>` says by itself, whatever stands around it: pitch and length as written, voice, staff, marks.

Music repeats, and so do the texts of its notes: in the string quartets of music21's corpus there are three different
texts for ten notes. What a text says is read once and shared.
"""

from __future__ import annotations

from fractions import Fraction

from lxml.etree import _Element

from .note_marks import AD_LIBITUM, NO_MARKS, Marks, read_marks
from .values import note_value


class NoteFacts:
    """What one `<note>` says by itself. All notes that are written alike share it; it is never changed.

    Attributes:
        pitch: the texts of step, alter and octave; None for what has no pitch.
        duration: the text of `<duration>`.
        value: without a `<duration>`, the length in quarter notes by the note value; None with one, or of a grace note.
        cue: the note belongs to another player.
        stray: what a rest prints for the left hand.
        hidden: it is written for playback and not printed.
    """

    __slots__ = (
        "chord", "cue", "duration", "grace", "hidden", "marks", "pitch", "staff", "stray", "tie_start", "tie_stop",
        "value", "voice",
    )  # fmt: skip

    pitch: tuple[str | None, str | None, str | None] | None
    stray: Marks | None

    def __init__(self, note: _Element) -> None:
        children = {child.tag: child for child in note}
        self.grace, self.chord, self.cue = "grace" in children, "chord" in children, "cue" in children
        self.hidden = note.get("print-object") == "no"
        duration, staff, voice = children.get("duration"), children.get("staff"), children.get("voice")
        self.duration = None if duration is None else duration.text
        self.value: Fraction | None = None if self.grace or duration is not None else note_value(children)
        self.staff = None if staff is None else staff.text
        self.voice = "1" if voice is None else voice.text or "1"
        pitch = children.get("pitch")
        if pitch is None:
            self.pitch = None
            self.stray = read_marks(note) if "rest" in children and "notations" in children else None
        else:
            said = {child.tag: child.text for child in pitch}
            self.pitch = said.get("step"), said.get("alter"), said.get("octave")
            self.stray = None
        self._read_marks(note, children)

    def _read_marks(self, note: _Element, children: dict[str, _Element]) -> None:
        marks = read_marks(note) if "notations" in children else NO_MARKS
        self.tie_start, self.tie_stop = marks.tie_start, marks.tie_stop
        if "tie" in children:
            for tie in note.iterchildren("tie"):
                if tie.get("type") == "start":
                    self.tie_start = True
                else:
                    self.tie_stop = True
        diamond = "notehead" in children and (children["notehead"].text or "").strip() == "diamond"
        ad_libitum = "level" in children and (children["level"].text or "").strip().lower() == AD_LIBITUM
        if diamond or ad_libitum:
            marks = marks.copy()
            marks.diamond, marks.ad_libitum = diamond, ad_libitum
        self.marks = marks
