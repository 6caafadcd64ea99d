"""One part in document order: every pitched note with its exact place in time, and every direction."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from lxml.etree import _Element

from rules import LETTERS, Pitch

from ...errors import ScoreError, said
from .attributes import Attributes, read_attributes
from .directions import Direction, Kind, jumps_of_sound, read_barline, read_direction
from .note_marks import AD_LIBITUM, NO_MARKS, Marks, read_marks
from .notes import Tick, WrittenMeasure, WrittenNote, leave_to_the_player, whole_ticks
from .values import fault, note_value, quantity, reason_of, ticks_per_quarter, whole

_ROUNDING = Fraction(1, 2)
"""Surplus in quarters up to which a measure that is too long by no note value is taken for a rounding error."""


class WrittenPart:
    """Everything written in one part, read in a single pass.

    Raises:
        ScoreError: where a pitch, duration or attribute cannot be read.
    """

    def __init__(self, part: _Element, part_id: str, first_ordinal: int) -> None:
        self.part_id = part_id
        self.per_quarter = ticks_per_quarter(part)
        self.notes: list[WrittenNote] = []
        self.directions: list[Direction] = []
        self.measures: list[WrittenMeasure] = []
        self.repairs: dict[str, list[str]] = {}
        self.attributes = Attributes()
        self.staves = 1
        self.tied: list[WrittenNote] = []
        self.held_over: list[WrittenNote] = []
        self.marked: list[WrittenNote] = []
        self.voices: set[str] = set()
        self.in_time_order = True
        self.first_ordinal = self._ordinal = first_ordinal
        self._scale: Tick = self.per_quarter
        self._ticks: dict[str | None, Tick] = {}
        self._voice = ""
        self._nominal = self.attributes.measure_ticks(self.per_quarter)
        self._pitches: dict[tuple[str | None, ...], Pitch] = {}
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
        self._mixed = False
        self._hidden: list[WrittenNote] = []
        first_note = len(self.notes)
        for child in measure:
            handler = _HANDLERS.get(child.tag)
            if handler:
                handler(self, child)
        written.attributes, written.nominal = self.attributes, self._nominal
        written.length = self._length(self._furthest - self._start, written.nominal, first_note)
        self._end = self._start + written.length
        if self._hidden and leave_to_the_player(self._hidden, self.notes[first_note:]):
            self.repair(said("notes that are written for playback and not printed were left out"))
        self._mark_lower_voices(first_note)

    def _length(self, length: Tick, nominal: Tick, first_note: int) -> Tick:
        """Return how long a measure is: as long as what is in it, unless it is empty or too long by rounding alone."""
        if length <= nominal:
            return length or nominal
        surplus = Fraction(length - nominal, self.per_quarter)
        if surplus > _ROUNDING or surplus * 16 % 1 == 0 or surplus * 12 % 1 == 0:
            return length
        self.repair(said("note lengths rounded by the exporter did not add up; the bar was kept to its metre"))
        for note in self.notes[first_note:]:
            note.end = min(note.end, self._start + nominal)
        return nominal

    def _mark_lower_voices(self, first: int) -> None:
        notes = self.notes
        if not self._mixed:
            return
        upper: dict[str | None, tuple[int, str]] = {}
        for note in notes[first:]:
            rank = (int(note.voice) if note.voice.isdecimal() else 0, note.voice)
            upper[note.staff] = min(rank, upper.get(note.staff, rank))
        for note in notes[first:]:
            note.lower = note.voice != upper[note.staff][1]

    def _duration(self, element: _Element, text: str | None) -> Tick:
        found = self._ticks.get(text)
        if found is not None:
            return found
        try:
            ticks: Tick = quantity(text) * self._scale
        except ValueError as error:
            raise self._fault(
                "bad-duration",
                said("The duration cannot be read: {reason}.", reason=reason_of(error)),
                said("Write it in divisions."),
                element,
            ) from None
        if ticks < 0:
            raise self._fault(
                "bad-duration", said("The duration is negative."), said("Use <backup> to go back."), element
            )
        ticks = self._ticks[text] = whole_ticks(ticks)
        return ticks

    def _fault(self, code: str, message: str, advice: str, element: _Element) -> ScoreError:
        return fault(code, message, advice, element, self.part_id, self._bar)

    def _note(self, note: _Element) -> None:
        children = {child.tag: child for child in note}
        ordinal = self._ordinal
        self._ordinal = ordinal + 1
        grace, chord = "grace" in children, "chord" in children
        length: Tick = 0
        if not grace:
            duration = children.get("duration")
            if duration is None:
                self.repair(said("a note without duration was read by its note value"))
                length = whole_ticks(note_value(children) * self.per_quarter)
            else:
                text = duration.text
                length = self._ticks.get(text) or self._duration(duration, text)
        if chord and self._head_before is not None:
            onset = self._head_onset
        else:
            onset = self._head_onset = self._cursor
            self._cursor = onset + length
            if chord:
                self.repair(said("a chord note without a note before it was read as a single note"))
                chord = False
        end = onset + length
        if end > self._furthest:
            self._furthest = end
        pitch = children.get("pitch")
        if pitch is None or "cue" in children:
            self._left_out(note, children, onset)
            self._silent(ordinal, grace)
        else:
            self._sounding(note, children, pitch, (ordinal, onset, end, grace, chord))

    def _sounding(
        self,
        note: _Element,
        children: dict[str, _Element],
        pitch: _Element,
        time: tuple[int, Tick, Tick, bool, bool],
    ) -> None:
        written = WrittenNote()
        ordinal, written.onset, written.end, grace, chord = time
        staff, voice = children.get("staff"), children.get("voice")
        written.staff = None if staff is None else staff.text
        written.voice = voice_text = "1" if voice is None else voice.text or "1"
        if self.attributes.skipped_staves and (written.staff or "1") in self.attributes.skipped_staves:
            self.repair(said("a staff of tablature, percussion or an ossia was left out"))
            self._silent(ordinal, grace)
            return
        if not chord:
            plain = self._grace_before is None and not grace
            self._head_before = ordinal if plain else self._before(ordinal, voice_text, grace)
        written.before = self._head_before or 0
        written.ordinal = ordinal
        written.measure = self._index
        written.grace, written.chord = grace, chord
        written.pitch = self._pitches.get(tuple([child.text for child in pitch])) or self._new_pitch(pitch)
        written.lower, written.event, written.head = False, -1, None
        if "notations" in children or "notehead" in children or "tie" in children:
            self._marks(written, note, children)
        else:
            written.marks = NO_MARKS
            written.tie_start = written.tie_stop = False
        if "level" in children and (children["level"].text or "").strip().lower() == AD_LIBITUM:
            written.own_marks().ad_libitum = True
        if voice_text != self._voice:
            self._change_of_voice(voice_text)
        if note.get("print-object") == "no":
            self._hidden.append(written)
        self.notes.append(written)

    def _change_of_voice(self, voice: str) -> None:
        """Remember that voices mix, in this measure and in the part: only then is there anything to sort out."""
        self.voices.add(voice)
        self._mixed = True
        self._voice = voice

    def _marks(self, written: WrittenNote, note: _Element, children: dict[str, _Element]) -> None:
        marks = read_marks(note) if "notations" in children else NO_MARKS
        written.marks, written.tie_start, written.tie_stop = marks, marks.tie_start, marks.tie_stop
        if "tie" in children:
            for tie in note.iterchildren("tie"):
                if tie.get("type") == "start":
                    written.tie_start = True
                else:
                    written.tie_stop = True
        if "notehead" in children and (children["notehead"].text or "").strip() == "diamond":
            written.own_marks().diamond = True
        if written.tie_start or written.tie_stop:
            self.tied.append(written)
        if written.marks is not NO_MARKS:
            self.marked.append(written)

    def _silent(self, ordinal: int, grace: bool) -> None:
        """A rest, a cue or an unpitched note: it takes its time, and a grace note before it leads to nothing here."""
        self._head_before = ordinal
        if not grace:
            self._grace_before = None

    def _left_out(self, note: _Element, children: dict[str, _Element], onset: Tick) -> None:
        """What is said of a cue note, or of a rest with marks."""
        if "pitch" in children:
            self.repair(said("cue notes belong to another player and were left out"))
        elif "rest" in children and "notations" in children:
            self._stray(read_marks(note), onset)

    def _stray(self, marks: Marks, onset: Tick) -> None:
        """A finger or a string on a rest means nothing; it is kept as a direction, to be reported where it stands."""
        texts = [*map(str, marks.fingers), *(f"string {string}" for string in marks.strings), *marks.unread]
        self.directions.extend(
            Direction(onset, self._ordinal, self._index, Kind.STRAY, f"{text} on a rest") for text in texts
        )

    def _before(self, ordinal: int, voice: str, grace: bool) -> int:
        """Return the ordinal of the first of the grace notes that lead to this note, or its own."""
        leading = self._grace_before is not None and self._grace_voice == voice
        before = self._grace_before if leading and self._grace_before is not None else ordinal
        self._grace_before, self._grace_voice = (before, voice) if grace else (None, "")
        return before

    def _new_pitch(self, element: _Element) -> Pitch:
        step = (element.findtext("step") or "").strip().upper()
        try:
            octave, alter = whole(element.findtext("octave")), quantity(element.findtext("alter") or "0")
            if len(step) != 1 or step not in LETTERS or not -1 <= octave <= 9 or abs(alter) > 4:
                raise ValueError(
                    said(
                        "step {step}, octave {octave}, alter {alter}",
                        step=repr(step),
                        octave=octave,
                        alter=f"{float(alter):g}",
                    )
                )
        except ValueError as error:
            raise self._fault(
                "bad-pitch",
                said("The pitch cannot be read: {reason}.", reason=reason_of(error)),
                said("Correct the note."),
                element,
            ) from None
        pitch = Pitch(LETTERS.index(step) + 7 * octave, alter.numerator if alter.denominator == 1 else float(alter))
        letters, semitones = self.attributes.transpose
        if letters or semitones:
            pitch = pitch.transposed(letters, semitones)
        self._pitches[tuple([child.text for child in element])] = pitch
        return pitch

    def _backup(self, element: _Element) -> None:
        self.in_time_order = False
        self._cursor -= self._duration(element, element.findtext("duration"))
        if self._cursor < self._start:
            self.repair(said("a <backup> went back beyond the bar line; it was stopped there"))
            self._cursor = self._start
        self._grace_before = self._head_before = None

    def _forward(self, element: _Element) -> None:
        self._cursor += self._duration(element, element.findtext("duration"))
        self._furthest = max(self._furthest, self._cursor)
        self._grace_before = self._head_before = None

    def _attributes(self, element: _Element) -> None:
        before = self.attributes
        try:
            self.attributes = read_attributes(element, self.attributes)
        except ValueError as error:
            raise self._fault(
                "bad-attributes",
                said("The attributes cannot be read: {reason}.", reason=reason_of(error)),
                said("Correct them."),
                element,
            ) from None
        scale = self.per_quarter / self.attributes.divisions
        if scale != self._scale:
            self._scale, self._ticks = scale.numerator if scale.denominator == 1 else scale, {}
        if self.attributes.transpose != before.transpose:
            self._pitches = {}
        self._nominal = self.attributes.measure_ticks(self.per_quarter)
        self.staves = max(self.staves, self.attributes.staves)
        for what in self.attributes.remarks:
            self.repair(what)

    def _direction(self, element: _Element) -> None:
        offset, facts = read_direction(element)
        if facts:
            tick = max(self._start, self._cursor + (offset * self._scale if offset else 0))
            self.directions.extend(Direction(tick, self._ordinal, self._index, kind, value) for kind, value in facts)

    def _sound(self, element: _Element) -> None:
        facts = jumps_of_sound(element)
        self.directions.extend(Direction(self._cursor, self._ordinal, self._index, *fact) for fact in facts)

    def _print(self, element: _Element) -> None:
        self.measures[-1].new_system |= "yes" in (element.get("new-system"), element.get("new-page"))

    def _barline(self, element: _Element) -> None:
        tick = self._furthest if element.get("location", "right") == "right" else self._cursor
        facts = read_barline(element)
        self.directions.extend(Direction(tick, self._ordinal, self._index, *fact) for fact in facts)


_HANDLERS: dict[object, Callable[[WrittenPart, _Element], None]] = {
    "note": WrittenPart._note,
    "backup": WrittenPart._backup,
    "forward": WrittenPart._forward,
    "attributes": WrittenPart._attributes,
    "direction": WrittenPart._direction,
    "sound": WrittenPart._sound,
    "barline": WrittenPart._barline,
    "print": WrittenPart._print,
}
"""How the children of a measure are read. A part that held its own methods would be garbage in a cycle."""
