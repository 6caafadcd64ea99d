"""One part in document order: every pitched note with its exact place in time, and every direction.

What belongs here: the cursor through measures, `<backup>` and `<forward>`, chords, grace notes, transposition, metre.
What does not: ties, and what sounds together (see `timeline`).
Time is counted in ticks, a whole fraction of a quarter note that all `<divisions>` of the part share; plain integers,
unless a file writes decimal durations, when they are fractions. Nothing is ever rounded.
"""

from __future__ import annotations

from fractions import Fraction
from math import lcm

from lxml.etree import _Element

from rules import Pitch

from .printed import NO_MARKS, Marks, read_marks
from .read_attributes import Attributes, read_attributes
from .read_directions import Direction, jumps_of_sound, read_barline, read_direction
from .read_values import fault, quantity, whole

Tick = int | Fraction
_QUARTERS = {
    "maxima": Fraction(32), "long": Fraction(16), "breve": Fraction(8), "whole": Fraction(4), "half": Fraction(2),
    "quarter": Fraction(1), "eighth": Fraction(1, 2), "16th": Fraction(1, 4), "32nd": Fraction(1, 8),
    "64th": Fraction(1, 16), "128th": Fraction(1, 32), "256th": Fraction(1, 64), "512th": Fraction(1, 128),
    "1024th": Fraction(1, 256),
}  # fmt: skip


class Written:
    """One pitched note as written. `head` is the note that it prolongs by a tie, or that it is folded into."""

    __slots__ = (
        "before", "chord", "end", "event", "grace", "head", "lower", "marks", "measure", "number", "onset", "ordinal",
        "pitch", "staff", "tie_start", "tie_stop", "voice",
    )  # fmt: skip

    def __init__(
        self, ordinal: int, number: int, before: int, measure: int, onset: Tick, end: Tick, pitch: Pitch,
        voice: str, staff: str | None, grace: bool, chord: bool, marks: Marks,
    ) -> None:  # fmt: skip
        self.ordinal = ordinal
        self.number = number
        self.before = before
        self.measure = measure
        self.onset = onset
        self.end = end
        self.pitch = pitch
        self.voice = voice
        self.staff = staff
        self.grace = grace
        self.chord = chord
        self.marks = marks
        self.tie_start = marks.tie_start
        self.tie_stop = marks.tie_stop
        self.lower = False
        self.head: Written | None = None
        self.event = -1

    def own_marks(self) -> Marks:
        """Return marks that may be changed: most notes print nothing and share one empty value."""
        if self.marks is NO_MARKS:
            self.marks = Marks()
        return self.marks


class WrittenMeasure:
    """One measure: label, start and length in ticks, and the attributes in force at its beginning."""

    __slots__ = ("attributes", "implicit", "label", "length", "nominal", "onset")

    def __init__(self, label: str, onset: Tick, implicit: bool) -> None:
        self.label = label
        self.onset = onset
        self.implicit = implicit
        self.length: Tick = 0
        self.nominal: Tick = 0
        self.attributes = Attributes()


def ticks_per_quarter(part: _Element) -> int:
    """Return the smallest number of ticks to a quarter that holds every `<divisions>` of the part."""
    numerators = [1]
    for divisions in part.iter("divisions"):
        try:
            value = quantity(divisions.text)
        except ValueError:
            continue  # reported where the attributes are read
        if value > 0:
            numerators.append(value.numerator)
    return lcm(*numerators)


class WrittenPart:
    """Everything written in one part, read in a single pass.

    Raises:
        ScoreError: where a pitch, duration or attribute cannot be read.
    """

    def __init__(self, part: _Element, part_id: str, first_ordinal: int) -> None:
        self.part_id = part_id
        self.per_quarter = ticks_per_quarter(part)
        self.notes: list[Written] = []
        self.directions: list[Direction] = []
        self.measures: list[WrittenMeasure] = []
        self.repairs: dict[str, list[str]] = {}
        self.attributes = Attributes()
        self.staves = 1
        self._first_ordinal = self._ordinal = first_ordinal
        self._scale: Tick = self.per_quarter
        self._ticks: dict[str, Tick] = {}
        self._pitches: dict[tuple[str | None, ...], Pitch] = {}
        self._handlers = {
            "note": self._note,
            "backup": self._backup,
            "forward": self._forward,
            "attributes": self._attributes,
            "direction": self._direction,
            "sound": self._sound,
            "barline": self._barline,
        }
        self._end: Tick = 0
        for measure in part.iterchildren("measure"):
            self._measure(measure)

    def repair(self, what: str) -> None:
        """Note something that had to be repaired, with the bar it is in."""
        bars = self.repairs.setdefault(what, [])
        if not bars or bars[-1] != self._bar:
            bars.append(self._bar)

    def _measure(self, measure: _Element) -> None:
        self._bar = measure.get("number") or str(len(self.measures) + 1)
        written = WrittenMeasure(self._bar, self._end, measure.get("implicit") == "yes")
        self.measures.append(written)
        self._index = len(self.measures) - 1
        self._start = self._cursor = self._furthest = self._head_onset = self._end
        self._head_before: int | None = None
        self._grace_before: int | None = None
        self._grace_voice = ""
        first_note = len(self.notes)
        handlers = self._handlers
        for child in measure:
            handler = handlers.get(child.tag)  # type: ignore[arg-type]  # comments have a function for a tag
            if handler:
                handler(child)
        written.attributes = self.attributes
        written.nominal = self.attributes.measure_ticks(self.per_quarter)
        written.length = self._furthest - self._start or written.nominal
        self._end = self._start + written.length
        self._mark_lower_voices(first_note)

    def _mark_lower_voices(self, first: int) -> None:
        notes = self.notes
        if first == len(notes) or all(notes[i].voice == notes[first].voice for i in range(first, len(notes))):
            return
        upper: dict[str | None, tuple[int, str]] = {}
        for note in notes[first:]:
            rank = (int(note.voice) if note.voice.isdecimal() else 0, note.voice)
            upper[note.staff] = min(rank, upper.get(note.staff, rank))
        for note in notes[first:]:
            note.lower = note.voice != upper[note.staff][1]

    def _duration(self, element: _Element, text: str | None) -> Tick:
        found = self._ticks.get(text or "")
        if found is not None:
            return found
        try:
            ticks: Tick = quantity(text) * self._scale
        except ValueError as error:
            raise self._fault(
                "bad-duration", f"The duration cannot be read: {error}.", "Write it in divisions.", element
            ) from None
        if ticks < 0:
            raise self._fault("bad-duration", "The duration is negative.", "Use <backup> to go back.", element)
        if ticks.denominator == 1:
            ticks = ticks.numerator
        self._ticks[text or ""] = ticks
        return ticks

    def _fault(self, code: str, message: str, advice: str, element: _Element) -> Exception:
        return fault(code, message, advice, element, self.part_id, self._bar)

    def _note(self, note: _Element) -> None:
        children = {child.tag: child for child in note}
        ordinal = self._ordinal
        self._ordinal = ordinal + 1
        grace, chord = "grace" in children, "chord" in children
        length: Tick = 0
        if not grace:
            duration = children.get("duration")
            length = (
                self._typed_length(children)
                if duration is None
                else (self._ticks.get(duration.text or "") or self._duration(duration, duration.text))
            )
        if chord and self._head_before is not None:
            onset = self._head_onset
        else:
            if chord:
                self.repair("a chord note without a note before it was read as a single note")
                chord = False
            onset = self._head_onset = self._cursor
            self._cursor = onset + length
        end = onset + length
        if end > self._furthest:
            self._furthest = end
        pitch = children.get("pitch")
        if pitch is None or "cue" in children:
            self._silent(ordinal, grace)
            return
        voice, staff = children.get("voice"), children.get("staff")
        voice_text = "1" if voice is None else (voice.text or "1")
        staff_text = None if staff is None else staff.text
        if self.attributes.skipped_staves and (staff_text or "1") in self.attributes.skipped_staves:
            self.repair("a staff of tablature or percussion was left out")
            self._silent(ordinal, grace)
            return
        before = (
            self._head_before if chord and self._head_before is not None else self._before(ordinal, voice_text, grace)
        )
        self._head_before = before
        marks = read_marks(note) if "notations" in children else NO_MARKS
        written = Written(
            ordinal, ordinal - self._first_ordinal + 1, before, self._index, onset, end, self._pitch(pitch),
            voice_text, staff_text, grace, chord, marks,
        )  # fmt: skip
        if "tie" in children:
            for tie in note.iterchildren("tie"):
                if tie.get("type") == "start":
                    written.tie_start = True
                else:
                    written.tie_stop = True
        if "notehead" in children and (children["notehead"].text or "").strip() == "diamond":
            written.own_marks().diamond = True
        self.notes.append(written)

    def _silent(self, ordinal: int, grace: bool) -> None:
        """A rest, a cue or an unpitched note: it takes its time, and a grace note before it leads to nothing here."""
        self._head_before = ordinal
        if not grace:
            self._grace_before = None

    def _before(self, ordinal: int, voice: str, grace: bool) -> int:
        """Return the ordinal of the first of the grace notes that lead to this note, or its own."""
        leading = self._grace_before is not None and self._grace_voice == voice
        before = self._grace_before if leading and self._grace_before is not None else ordinal
        self._grace_before, self._grace_voice = (before, voice) if grace else (None, "")
        return before

    def _typed_length(self, children: dict[object, _Element]) -> Tick:
        """Return the length that type and dots give a note without the duration it should have."""
        self.repair("a note without duration was read by its note value")
        kind = children.get("type")
        quarters = _QUARTERS.get((kind.text or "").strip(), Fraction(0)) if kind is not None else Fraction(0)
        ticks = quarters * self.per_quarter * (Fraction(3, 2) if "dot" in children else 1)
        return ticks.numerator if ticks.denominator == 1 else ticks

    def _pitch(self, element: _Element) -> Pitch:
        key = tuple([child.text for child in element])
        return self._pitches.get(key) or self._new_pitch(element, key)

    def _new_pitch(self, element: _Element, key: tuple[str | None, ...]) -> Pitch:
        step = (element.findtext("step") or "").strip().upper()
        try:
            octave, alter = whole(element.findtext("octave")), quantity(element.findtext("alter") or "0")
            if len(step) != 1 or step not in "CDEFGAB" or not -1 <= octave <= 9 or abs(alter) > 4:
                raise ValueError(f"step {step!r}, octave {octave}, alter {float(alter):g}")
        except ValueError as error:
            raise self._fault(
                "bad-pitch", f"The pitch cannot be read: {error}.", "Correct the note.", element
            ) from None
        pitch = Pitch("CDEFGAB".index(step) + 7 * octave, alter.numerator if alter.denominator == 1 else float(alter))
        letters, semitones = self.attributes.transpose
        if letters or semitones:
            pitch = pitch.transposed(letters, semitones)
        self._pitches[key] = pitch
        return pitch

    def _backup(self, element: _Element) -> None:
        self._cursor -= self._duration(element, element.findtext("duration"))
        if self._cursor < self._start:
            self.repair("a <backup> went back beyond the bar line; it was stopped there")
            self._cursor = self._start
        self._grace_before = self._head_before = None

    def _forward(self, element: _Element) -> None:
        self._cursor += self._duration(element, element.findtext("duration"))
        self._furthest = max(self._furthest, self._cursor)
        self._grace_before = self._head_before = None

    def _attributes(self, element: _Element) -> None:
        try:
            self.attributes = read_attributes(element, self.attributes)
        except ValueError as error:
            raise self._fault(
                "bad-attributes", f"The attributes cannot be read: {error}.", "Correct them.", element
            ) from None
        scale = self.per_quarter / self.attributes.divisions
        self._scale = scale.numerator if scale.denominator == 1 else scale
        self._ticks, self._pitches = {}, {}
        self.staves = max(self.staves, self.attributes.staves)
        for what in self.attributes.remarks:
            self.repair(what)

    def _direction(self, element: _Element) -> None:
        offset, facts = read_direction(element)
        if facts:
            tick = max(self._start, self._cursor + (offset * self._scale if offset else 0))
            self.directions.extend(Direction(tick, self._ordinal, self._index, kind, value) for kind, value in facts)

    def _sound(self, element: _Element) -> None:
        for kind, value in jumps_of_sound(element):
            self.directions.append(Direction(self._cursor, self._ordinal, self._index, kind, value))

    def _barline(self, element: _Element) -> None:
        tick = self._furthest if element.get("location", "right") == "right" else self._cursor
        for kind, value in read_barline(element):
            self.directions.append(Direction(tick, self._ordinal, self._index, kind, value))
