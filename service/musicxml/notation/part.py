"""One part in document order: every pitched note with its exact place in time, and every direction."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from functools import lru_cache

from lxml.etree import _Element

from rules import LETTERS, Pitch

from ...errors import ScoreError, said
from .attributes import Attributes, read_attributes
from .directions import Direction, Kind, jumps_of_sound, read_barline, read_direction
from .note_facts import NoteFacts
from .note_marks import NO_MARKS, Marks
from .notes import Tick, WrittenMeasure, WrittenNote, leave_to_the_player, whole_ticks
from .values import fault, quantity, reason_of, ticks_per_quarter, whole

FOR_PLAYBACK = said("notes that are written for playback and not printed were left out")
_ROUNDING = Fraction(1, 2)
"""Surplus in quarters up to which a measure that is too long by no note value is taken for a rounding error."""


class WrittenPart:
    """Everything written in one part, read in a single pass.

    `text_of_note` gives the text of a note by its ordinal: what is written alike is read once. Without it each note is
    read by itself, with the same result.

    Raises:
        ScoreError: where a pitch, duration or attribute cannot be read.
    """

    def __init__(
        self, part: _Element, part_id: str, first_ordinal: int, text_of_note: Callable[[int], bytes] | None = None
    ) -> None:
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
        self._pitches: dict[tuple[str | None, str | None, str | None], Pitch] = {}
        self._text_of_note = text_of_note
        self._known: dict[bytes, NoteFacts] = {}
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
            self.repair(FOR_PLAYBACK)
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

    def _facts(self, note: _Element) -> NoteFacts:
        if self._text_of_note is None:
            return NoteFacts(note)
        text = self._text_of_note(self._ordinal)
        facts = self._known.get(text)
        if facts is None:
            facts = self._known[text] = NoteFacts(note)
        return facts

    def _length_of(self, facts: NoteFacts, note: _Element) -> Tick:
        """Return the length of a note that is no grace note; called where it is not known yet."""
        if facts.value is None:
            (*_, duration) = note.iterchildren("duration")
            return self._duration(duration, facts.duration)
        self.repair(said("a note without duration was read by its note value"))
        return whole_ticks(facts.value * self.per_quarter)

    def _note(self, note: _Element) -> None:
        facts = self._facts(note)
        ordinal = self._ordinal
        self._ordinal = ordinal + 1
        grace, chord = facts.grace, facts.chord
        length: Tick = 0
        if not grace:
            length = self._ticks.get(facts.duration) or self._length_of(facts, note)
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
        if facts.pitch is None or facts.cue:
            self._left_out(facts, onset)
            self._silent(ordinal, grace)
        else:
            self._sounding(note, facts, (ordinal, onset, end, chord))

    def _sounding(self, note: _Element, facts: NoteFacts, time: tuple[int, Tick, Tick, bool]) -> None:
        written = WrittenNote()
        ordinal, written.onset, written.end, chord = time
        grace = facts.grace
        written.staff = facts.staff
        written.voice = voice = facts.voice
        if self.attributes.skipped_staves and (written.staff or "1") in self.attributes.skipped_staves:
            self.repair(said("a staff of tablature, percussion or an ossia was left out"))
            self._silent(ordinal, grace)
            return
        if not chord:
            plain = self._grace_before is None and not grace
            self._head_before = ordinal if plain else self._before(ordinal, voice, grace)
        written.before = self._head_before or 0
        written.ordinal = ordinal
        written.measure = self._index
        written.grace, written.chord = grace, chord
        written.pitch = self._pitches.get(facts.pitch) or self._new_pitch(facts, note)  # type: ignore[arg-type]
        written.lower, written.event, written.head = False, -1, None
        written.marks, written.tie_start, written.tie_stop = facts.marks, facts.tie_start, facts.tie_stop
        if facts.marks is not NO_MARKS:
            self.marked.append(written)
        if facts.tie_start or facts.tie_stop:
            self.tied.append(written)
        if voice != self._voice:
            self._change_of_voice(voice)
        if facts.hidden:
            self._hidden.append(written)
        self.notes.append(written)

    def _change_of_voice(self, voice: str) -> None:
        """Remember that voices mix, in this measure and in the part: only then is there anything to sort out."""
        self.voices.add(voice)
        self._mixed = True
        self._voice = voice

    def _silent(self, ordinal: int, grace: bool) -> None:
        """A rest, a cue or an unpitched note: it takes its time, and a grace note before it leads to nothing here."""
        self._head_before = ordinal
        if not grace:
            self._grace_before = None

    def _left_out(self, facts: NoteFacts, onset: Tick) -> None:
        """What is said of a cue note, or of a rest with marks."""
        if facts.pitch is not None:
            self.repair(said("cue notes belong to another player and were left out"))
        elif facts.stray is not None:
            self._stray(facts.stray, onset)

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

    def _new_pitch(self, facts: NoteFacts, note: _Element) -> Pitch:
        assert facts.pitch is not None, "a note with a pitch"
        step = (facts.pitch[0] or "").strip().upper()
        try:
            octave, alter = whole(facts.pitch[2]), quantity(facts.pitch[1] or "0")
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
                next(note.iterchildren("pitch"), note),
            ) from None
        pitch = Pitch(LETTERS.index(step) + 7 * octave, alter.numerator if alter.denominator == 1 else float(alter))
        letters, semitones = self.attributes.transpose
        if letters or semitones:
            pitch = pitch.transposed(letters, semitones)
        pitch = self._pitches[facts.pitch] = _shared(pitch)
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


@lru_cache(maxsize=1024)
def _shared(pitch: Pitch) -> Pitch:
    """Return the same object for the same pitch: tables that hold it find it without comparing."""
    return pitch


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
