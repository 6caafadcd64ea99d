"""Makes the notes, events, measures and words of a passage from what is written.

Notes and events are filled field by field and only then become the frozen values that the rest works with: a frozen
dataclass with sixteen fields takes as long to construct as everything else that is done for a note.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Mapping, Sequence
from dataclasses import fields, replace
from fractions import Fraction
from typing import Any

from rules import NOTHING_PRINTED, Event, Measure, Note, Printed, Technique, Words

from ..notation.directions import Kind
from ..notation.notes import Tick, WrittenNote
from ..notation.part import WrittenPart
from .context import Context
from .metre import lead_ins, place_in_measure
from .tempo import TempoMap, lasting

GRACE_SECONDS = 0.1
"""How long a grace note is taken to last (common practice: about a tenth of a second, whatever its value)."""
FERMATA = 2.0
"""How many times its written length a note under a fermata is taken to last (common practice)."""
BREATH_SECONDS = 0.3
"""The silence after a breath mark or caesura (common practice: a moment to lift the bow)."""
FINAL_BAR_SECONDS = 2.0
"""The silence behind a final bar line, where another piece or movement follows (common practice: at least a breath)."""
_MOST_SOUNDING_ON = 64
"""So many notes may sound on under others; a part for one player holds four at most. Earlier ones are forgotten."""
_NO_TECHNIQUES: frozenset[Technique] = frozenset()


def _fillable(kind: type[Any]) -> Any:
    """Return a class laid out like the frozen dataclass `kind`, whose fields can still be set."""
    return type(f"Open{kind.__name__}", (), {"__slots__": tuple(field.name for field in fields(kind))})


_OpenNote, _OpenEvent = _fillable(Note), _fillable(Event)


def quarters_of(per_quarter: int) -> Callable[[Tick], Fraction]:
    """Return the conversion from ticks to quarter notes, which remembers what it converted."""
    known: dict[Tick, Fraction] = {}

    def quarters(tick: Tick) -> Fraction:
        found = known.get(tick)
        if found is None:
            found = known[tick] = Fraction(tick, per_quarter)
        return found

    return quarters


def make_notes(written: WrittenPart, part_id: str, quarters: Callable[[Tick], Fraction]) -> dict[str, WrittenNote]:
    """Give every written note that is stopped its `note`, and return them by id. Rows count in document order."""
    by_id: dict[str, WrittenNote] = {}
    row, before = 0, written.first_ordinal - 1
    for each in written.notes:
        head = each.head
        if head is not None:
            if each.marks.prints and head is not each and head.head is None:
                held = head.onset != each.onset
                object.__setattr__(head.note, "printed", _joined(head.note.printed, each.marks.printed, held=held))
            # Notes folded into another stop, or for playback only, still have a row; tie continuations have none.
            row += head.onset == each.onset and not each.grace and not (head is each and each.tie_stop)
            continue
        marks = each.marks
        note = _OpenNote()
        note.id = id = f"{part_id}/m{each.measure + 1}/n{each.ordinal - before}"
        note.pitch = each.pitch
        note.beats = quarters(each.end - each.onset)
        note.voice = each.voice
        note.printed = marks.printed if marks.prints else NOTHING_PRINTED
        note.techniques = marks.techniques or _NO_TECHNIQUES
        note.ad_libitum = marks.ad_libitum
        if each.grace:
            note.row = None
        else:
            note.row = row
            row += 1
        note.__class__ = Note
        each.note = note
        by_id[id] = each
    return by_id


def _joined(printed: Printed, later: Printed, *, held: bool) -> Printed:
    """What is printed on a note and on one that is one with it.

    A mark that nobody reads is one wherever it stands. If the note is `held` over by a tie, a finger or a string on the
    later note only counts for both.
    """
    unread = (*printed.unread, *later.unread)
    if not held:
        return replace(printed, unread=unread)
    tied = tuple(finger for finger in later.fingers if printed.fingers and finger not in printed.fingers)
    return replace(
        printed,
        fingers=printed.fingers or later.fingers,
        strings=printed.strings or later.strings,
        unread=unread,
        tied=(*printed.tied, *tied),
    )


class EventMaker:
    """Makes the events of one part out of groups of notes that start together."""

    def __init__(self, written: WrittenPart, tempo: TempoMap, quarters: Callable[[Tick], Fraction]) -> None:
        self._written, self._tempo, self._quarters = written, tempo, quarters
        lead_in = lead_ins(written.measures)
        self._measures = [
            (measure.onset, lead, measure.attributes.time)
            for measure, lead in zip(written.measures, lead_in, strict=True)
        ]
        self._beats: dict[tuple[Tick, tuple[int, int]], tuple[Fraction, int]] = {}

    def make(
        self,
        groups: Sequence[Sequence[WrittenNote]],
        slurred: Sequence[bool],
        jumps: Mapping[int, int],
        context: Context,
    ) -> tuple[Event, ...]:
        """Return the events in playing order."""
        quarters, beats = self._quarters, self._beats
        onsets = [group[0].onset for group in groups]
        following = self._following(groups, onsets)
        starts = self._tempo.all_seconds(onsets)
        nexts = self._tempo.all_seconds(following)
        events: list[Event] = []
        sounding: list[WrittenNote] = []
        silent_from: Tick = 0
        for index, group in enumerate(groups):
            first = group[0]
            onset = onsets[index]
            end = first.end if len(group) == 1 else max([note.end for note in group])
            after = following[index]
            measure_onset, lead_in, time = self._measures[first.measure]
            place = (onset - measure_onset + lead_in, time)
            event = _OpenEvent()
            event.onset = quarters(onset)
            event.beats = quarters(end - onset)
            event.seconds = lasting(starts[index], nexts[index] if end >= after else self._tempo.seconds(end))
            event.rest = lasting(self._tempo.seconds(silent_from), starts[index]) if onset > silent_from else 0.0
            event.measure = first.measure
            event.beat, event.strength = beats.get(place) or self._beat(place)
            event.notes = (first.note,) if len(group) == 1 else tuple([note.note for note in group])
            if sounding:
                sounding = [note for note in sounding if note.end > onset]
            event.held = tuple([note.note.id for note in sounding]) if sounding else ()
            event.slurred = slurred[index]
            event.grace = first.grace
            event.string = context.strings.get(index)
            event.position = context.positions.get(index)
            event.restez = index in context.restez
            event.unread = context.unread.get(index, ())
            event.dynamic = context.dynamics[index]
            event.jump = jumps.get(index)
            event.__class__ = Event
            events.append(event)
            if end > after:
                sounding.extend([note for note in group if note.end > after])
                del sounding[:-_MOST_SOUNDING_ON]
            if end > silent_from:
                silent_from = end
        self._lengthen(events)
        self._set_apart(events)
        return tuple(events)

    def _beat(self, place: tuple[Tick, tuple[int, int]]) -> tuple[Fraction, int]:
        found = self._beats[place] = place_in_measure(self._quarters(place[0]), place[1])
        return found

    def _following(self, groups: Sequence[Sequence[WrittenNote]], onsets: Sequence[Tick]) -> list[Tick]:
        """Return for each event the next moment at which anything begins, or where the part ends."""
        last = self._written.measures[-1] if self._written.measures else None
        part_end: Tick = last.onset + last.length if last else 0
        after = following = max([part_end, *(note.end for group in groups[-1:] for note in group)])
        result: list[Tick] = []
        for onset in reversed(onsets):
            if onset != following:
                after = following
            result.append(after)
            following = onset
        result.reverse()
        return result

    def _lengthen(self, events: list[Event]) -> None:
        """Add the time of grace notes, fermatas and breaths, which note values do not contain."""
        changed: dict[int, Event] = {}
        for index, event in enumerate(events):
            if event.grace:
                changed[index] = replace(event, seconds=GRACE_SECONDS)
        for note in self._written.marked:
            index, marks = note.event, note.marks
            if index < 0 or note.grace:
                continue
            if marks.fermata and index not in changed:
                changed[index] = replace(events[index], seconds=events[index].seconds * FERMATA)
            if marks.breath and index + 1 < len(events):
                following = changed.get(index + 1, events[index + 1])
                changed[index + 1] = replace(following, rest=max(following.rest, BREATH_SECONDS))
        for index, event in changed.items():
            events[index] = event

    def _set_apart(self, events: list[Event]) -> None:
        """Put silence behind every final bar line."""
        ends = [line.measure for line in self._written.directions if line.kind is Kind.FINAL_BAR_LINE]
        firsts = {bisect_right(events, end, key=lambda event: event.measure) for end in ends}
        for index in firsts - {0, len(events)}:
            events[index] = replace(events[index], rest=max(events[index].rest, FINAL_BAR_SECONDS))


def make_measures(written: WrittenPart, quarters: Callable[[Tick], Fraction]) -> tuple[Measure, ...]:
    """Return the measures of the part."""
    return tuple(
        Measure(m.label, quarters(m.onset), quarters(m.length), m.attributes.time, m.attributes.fifths, m.new_system)
        for m in written.measures
    )


def make_words(written: WrittenPart, quarters: Callable[[Tick], Fraction]) -> tuple[Words, ...]:
    """Return all printed words in the order of time."""
    words = [direction for direction in written.directions if direction.kind is Kind.WORDS]
    words.sort(key=lambda direction: direction.tick)
    return tuple(Words(quarters(direction.tick), direction.measure, direction.value) for direction in words)
