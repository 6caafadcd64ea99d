"""One part of a document as a passage, and where each of its notes stands in the text.

What belongs here: putting together what the `read_` files and `timeline` found. What does not: XML.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from lxml.etree import _Element

from rules import INSTRUMENTS, VIOLIN, Event, Instrument, Measure, Note, Passage, Words

from .. import errors
from .parts import PartListing, list_parts
from .read_context import Context, read_context
from .read_directions import Kind
from .read_jumps import find_jumps
from .read_metre import lead_ins, place_in_measure
from .read_tempo import TempoMap, read_tempo
from .read_tuning import tuned_instrument
from .read_written import Tick, Written, WrittenPart
from .timeline import fold, group_events, join_ties, slurred_events

GRACE_SECONDS = 0.1
"""How long a grace note is taken to last (common practice: about a tenth of a second, whatever its value)."""
FERMATA = 2.0
"""How many times its written length a note under a fermata is taken to last (common practice)."""
BREATH_SECONDS = 0.3
"""The silence after a breath mark or caesura (common practice: a moment to lift the bow)."""
_STRINGS_AT_ONCE = 4


class Place(NamedTuple):
    """Where a note stands: ordinals count every `<note>` of the document from 0.

    `before` is the note before which a direction has to stand: before its grace notes and its chord's first note.
    """

    note: int
    before: int
    staff: str | None
    voice: str
    lower_voice: bool


@dataclass(frozen=True)
class Reading:
    """A passage, and the place of each of its notes in the document, by note id."""

    passage: Passage
    places: Mapping[str, Place]


def _listing_of(root: _Element, part_id: str) -> tuple[PartListing, _Element, int]:
    """Return the part's listing, its element, and how many notes stand before it in the document."""
    ordinal = 0
    listings = list_parts(root)
    for part in root.iterchildren("part"):
        if part.get("id") == part_id:
            return next(listing for listing in listings if listing.id == part_id), part, ordinal
        ordinal += sum(1 for _ in part.iter("note"))
    raise errors.unknown_part(part_id, [str(listing) for listing in listings])


def read_part(
    root: _Element, part_id: str, instrument: Instrument | None = None, *, tempo: float | None = None
) -> Reading:
    """Read the part `part_id` of the document `root` for `instrument` (None: the one the part is marked for, or violin).

    `tempo` is used, in quarter notes a minute, where the part prints no number.

    Raises:
        ScoreError: if there is no such part, or something in it cannot be read; part, bar and line are named.
    """
    listing, part, first_ordinal = _listing_of(root, part_id)
    written = WrittenPart(part, str(listing), first_ordinal)
    instrument = instrument or INSTRUMENTS.get(listing.instrument or "", VIOLIN)
    instrument, remarks = tuned_instrument(part, written, instrument)
    tempo_map = read_tempo(root, part, written.measures, written.per_quarter, tempo)
    return _Assembly(written, listing, instrument, tempo_map, remarks).reading()


class _Assembly:
    """Builds the passage; one use, one part."""

    def __init__(
        self, written: WrittenPart, listing: PartListing, instrument: Instrument, tempo: TempoMap, remarks: list[str]
    ) -> None:
        self.written, self.listing, self.instrument, self.tempo, self.remarks = (
            written,
            listing,
            instrument,
            tempo,
            remarks,
        )
        self._quarters: dict[Tick, Fraction] = {}
        self._beats: dict[tuple[object, ...], tuple[Fraction, int]] = {}

    def reading(self) -> Reading:
        written = self.written
        lost_ties = join_ties(written.notes)
        folded = fold(written.notes)
        self.groups = group_events(written.notes)
        self.slurred, lost_slurs = slurred_events(written.notes, self.groups)
        self.jumps = find_jumps(written.directions, self.groups)
        self.context = read_context(written.directions, self.groups, self.instrument)
        self.lead_ins = lead_ins(written.measures)
        self._collect_remarks(folded, lost_ties, lost_slurs)
        notes, places = self._notes()
        events = self._events(notes)
        return Reading(self._passage(events), places)

    def _in_quarters(self, tick: Tick) -> Fraction:
        found = self._quarters.get(tick)
        if found is None:
            found = self._quarters[tick] = Fraction(tick, self.written.per_quarter)
        return found

    def _notes(self) -> tuple[dict[int, Note], dict[str, Place]]:
        """Return the notes by ordinal and their places; rows count in document order."""
        notes: dict[int, Note] = {}
        places: dict[str, Place] = {}
        row = 0
        in_quarters, context = self._in_quarters, self.context
        for note in self.written.notes:
            if note.head is not None:
                row += note.head.onset == note.onset  # folded into another stop, yet a row of its own; a tie is none
                continue
            marks = note.marks
            id = f"{self.listing.id}/m{note.measure + 1}/n{note.number}"
            techniques = frozenset(marks.techniques) if marks.techniques else context.no_techniques
            notes[note.ordinal] = Note(
                id, note.pitch, None if note.grace else row, in_quarters(note.end - note.onset), note.voice,
                marks.printed if marks.fingers or marks.strings else context.nothing_printed, techniques,
            )  # fmt: skip
            places[id] = Place(note.ordinal, note.before, note.staff, note.voice, note.lower)
            row += not note.grace
        return notes, places

    def _place(self, note: Written) -> tuple[Fraction, int]:
        measure = self.written.measures[note.measure]
        offset, time = note.onset - measure.onset + self.lead_ins[note.measure], measure.attributes.time
        key = (offset, time)
        found = self._beats.get(key)
        if found is None:
            found = self._beats[key] = place_in_measure(self._in_quarters(offset), time)
        return found

    def _events(self, notes: dict[int, Note]) -> tuple[Event, ...]:
        events: list[Event] = []
        groups, context, seconds = self.groups, self.context, self.tempo.seconds
        sounding: list[tuple[Tick, str]] = []
        silent_from: Tick = 0
        breath = 0.0
        following = self._next_onsets()
        for index, group in enumerate(groups):
            first = group[0]
            onset, grace = first.onset, first.grace
            end = first.end if len(group) == 1 else max(note.end for note in group)
            starts = tuple([notes[note.ordinal] for note in group])
            if sounding:
                sounding = [held for held in sounding if held[0] > onset]
            begin = seconds(onset)
            until = end if end <= following[index] else following[index]
            length = GRACE_SECONDS if grace else seconds(until) - begin
            rest = begin - seconds(silent_from) if onset > silent_from else 0.0
            marked = any(note.marks.fermata for note in group)
            beat, strength = self._place(first)
            events.append(
                Event(
                    onset=self._in_quarters(onset),
                    beats=self._in_quarters(end - onset),
                    seconds=length * FERMATA if marked else length,
                    rest=rest or breath,
                    measure=first.measure,
                    beat=beat,
                    strength=strength,
                    notes=starts,
                    held=tuple([held[1] for held in sounding]) if sounding else (),
                    slurred=self.slurred[index],
                    grace=grace,
                    string=context.strings.get(index),
                    position=context.positions.get(index),
                    restez=index in context.restez,
                    dynamic=context.dynamics[index],
                    jump=self.jumps.get(index),
                )
            )
            breath = BREATH_SECONDS if any(note.marks.breath for note in group) else 0.0
            if end > following[index]:
                sounding.extend((note.end, notes[note.ordinal].id) for note in group if note.end > following[index])
            silent_from = max(silent_from, end)
        return tuple(events)

    def _next_onsets(self) -> list[Tick]:
        """Return for each event when the next one begins that is not at the same moment."""
        following: list[Tick] = [0] * len(self.groups)
        last = self.written.measures[-1] if self.written.measures else None
        after: Tick = last.onset + last.length if last else 0
        after = max([after, *(group[-1].end for group in self.groups[-1:])])
        for index in range(len(self.groups) - 1, -1, -1):
            onset = self.groups[index][0].onset
            following[index] = after if index + 1 == len(self.groups) else self.groups[index + 1][0].onset
            if following[index] == onset and index + 1 < len(self.groups):
                following[index] = following[index + 1]
        return following

    def _passage(self, events: tuple[Event, ...]) -> Passage:
        written, in_quarters = self.written, self._in_quarters
        measures = tuple(
            Measure(m.label, in_quarters(m.onset), in_quarters(m.length), m.attributes.time, m.attributes.fifths)
            for m in written.measures
        )
        words = tuple(
            Words(in_quarters(direction.tick), direction.measure, direction.value)
            for direction in sorted(written.directions, key=lambda direction: direction.tick)
            if direction.kind is Kind.WORDS
        )
        return Passage(
            part=self.listing.id,
            name=self.listing.name,
            instrument=self.instrument,
            events=events,
            measures=measures,
            words=words,
            remarks=tuple(self.remarks),
            abbreviation=self.listing.abbreviation,
            quarter_tempo=self.tempo.first_tempo,
        )

    def _collect_remarks(self, folded: dict[str, int], lost_ties: int, lost_slurs: int) -> None:
        written, remarks = self.written, self.remarks
        remarks.extend(
            f"{what} (bar {', '.join(bars[:8])}{' …' if len(bars) > 8 else ''})"
            for what, bars in written.repairs.items()
        )
        remarks.extend(f"{what} ({count} times)" for what, count in folded.items())
        if lost_ties:
            remarks.append(f"{lost_ties} ties lead to no note of the same pitch and were left out")
        if lost_slurs:
            remarks.append(f"{lost_slurs} slurs have no end and were left out")
        if written.staves > 1 and not written.attributes.skipped_staves:
            remarks.append(f"the part has {written.staves} staves; they were planned together under one hand")
        crowded = [group for group in self.groups if len(group) > _STRINGS_AT_ONCE]
        if crowded:
            bars = ", ".join(dict.fromkeys(written.measures[group[0].measure].label for group in crowded[:8]))
            remarks.append(
                f"more than {_STRINGS_AT_ONCE} notes begin together (bar {bars}); one player cannot hold them"
            )
        if self.context.divided:
            remarks.append("the part is divided (div.); all its voices were planned under one hand")
