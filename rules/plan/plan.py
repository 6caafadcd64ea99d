"""A plan: the stop for every note, and the spans, shifts and excursions that follow."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import chain
from typing import NamedTuple

from ..candidates.candidates import Candidates
from ..hand.grip import HOME_POSITION, Grip, Stop
from ..hand.level import Level, ShiftKind
from ..music.instrument import LETTERS, Pitch
from ..music.key import above_open
from ..music.passage import REST_FOR_A_SHIFT, Event, Note, Passage, Technique
from ..search.planner import Route
from .guide_finger import Guide, guide_across_strings, guide_on_one_string
from .latest import Latest
from .statistics import Counts, count


class FingeredNote(NamedTuple):
    """One note with its stop; `stop` is None if the hand cannot sound it. `position` is None for open strings."""

    note: Note
    event: int
    stop: Stop | None
    position: int | None


@dataclass(frozen=True, slots=True)
class Between:
    """What lies between the last stopped note and the first one after a shift; the hand is free to move then.

    Attributes:
        rest: event that begins after the last rest that is long enough for a shift; None if there is no such rest.
        open_strings: events on open strings after that rest, all of them without one.
        left_out: events after that rest, or all without one, that the plan leaves out since no finger reaches them.
    """

    rest: int | None
    open_strings: tuple[int, ...]
    left_out: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Shift:
    """The hand moves to another position.

    Attributes:
        departure: event of the last stopped note before the hand moves.
        arrival: event of the first stopped note in the new position.
        start: position left.
        goal: position reached.
        kind: how the hand travels.
        slurred: the arrival is in the same bow as what came before.
        guide: the finger that stays lightly on the string; None where nothing is to be led (see `guide_finger`).
        guide_string: the string that it stays on; None without a guide.
        guide_start: where the guide finger stands before the hand moves.
        guide_pitch: where the guide finger stands when the hand has arrived; the note to hear before playing on.
        finger: finger of the arrival stop.
    """

    departure: int
    arrival: int
    start: int
    goal: int
    kind: ShiftKind
    slurred: bool
    guide: int | None
    guide_string: int | None
    guide_start: Pitch | None
    guide_pitch: Pitch | None
    finger: int


@dataclass(frozen=True, slots=True)
class Span:
    """Events `first` to `last` (both included) played in one position."""

    first: int
    last: int
    position: int


@dataclass(frozen=True, slots=True)
class Excursion:
    """Spans away from first position, with the shift out and the shift home where there are such."""

    first: int
    last: int
    spans: tuple[Span, ...]
    shifts: tuple[Shift, ...]

    @property
    def events(self) -> range:
        """Every event of it."""
        return range(self.first, self.last + 1)

    @property
    def positions(self) -> tuple[int, ...]:
        """Positions used, in order of playing, each named when it is entered."""
        return tuple(span.position for span in self.spans)


def spans_by_position(spans: Iterable[Span]) -> dict[int, list[Span]]:
    """Return spans by the position of the hand, in order of playing."""
    found: dict[int, list[Span]] = {}
    for span in spans:
        found.setdefault(span.position, []).append(span)
    return found


@dataclass(frozen=True, eq=False)
class Plan:
    """A route through a passage at a level; `latest` may hold answers about other plans of the passage."""

    passage: Passage
    level: Level
    route: Route
    latest: Latest = field(default_factory=Latest)

    def with_candidates(self, options: tuple[Candidates, ...], chosen: tuple[int, ...]) -> Plan:
        """Return the same grips as a plan that has them from other candidates; what follows from grips is kept."""
        made = Plan(self.passage, self.level, Route(options, chosen, self.route.effort), self.latest)
        if all(other.slots == own.slots for other, own in zip(options, self.route.options, strict=True)):
            for name in (
                "grips",
                "fingered_notes",
                "by_note",
                "counts",
                "spans",
                "fingered_spans",
                "shifts",
                "excursions",
            ):
                made.__dict__[name] = getattr(self, name)
        return made

    def grip(self, event: int) -> Grip | None:
        """Return the grip at an event, None if nothing of it can be sounded."""
        return self.grips[event]

    @cached_property
    def grips(self) -> tuple[Grip | None, ...]:
        """The grip at every event."""
        return tuple(map(self.route.grip, range(len(self.route.chosen))))

    @cached_property
    def counts(self) -> Counts:
        """What can be counted at every event."""
        return count(self.passage, self.grips)

    def event(self, index: int) -> Event:
        """Return an event of the passage."""
        return self.passage.events[index]

    @cached_property
    def _fingered(self) -> list[tuple[FingeredNote, ...]]:
        given = self.route.options, self.grips
        return self.latest.found_each(("fingered", self.level), given, self._fingered_at)

    @cached_property
    def fingered_notes(self) -> tuple[FingeredNote, ...]:
        """Every note with its stop, in playing order, grace notes included."""
        return tuple(chain.from_iterable(self._fingered))

    @cached_property
    def stopped(self) -> list[tuple[FingeredNote, ...]]:
        """The notes that have a stop, by event."""
        fingered = self._fingered
        question, given = ("stopped", self.level), (fingered, fingered)
        return self.latest.found_each(question, given, lambda event: _with_stops(fingered[event]))

    @cached_property
    def by_note(self) -> dict[str, FingeredNote]:
        """The same by note id."""
        return {fingered.note.id: fingered for fingered in self.fingered_notes}

    @cached_property
    def rows(self) -> tuple[FingeredNote, ...]:
        """The rows of the plan in document order: notes that are neither grace nor tie continuation."""
        rows = [fingered for fingered in self.fingered_notes if fingered.note.row is not None]
        return tuple(sorted(rows, key=lambda fingered: fingered.note.row or 0))

    @cached_property
    def unheld(self) -> tuple[FingeredNote, ...]:
        """Notes that no finger holds: outside the instrument, or too much for one hand."""
        return tuple(fingered for fingered in self.fingered_notes if fingered.stop is None)

    @cached_property
    def spans(self) -> tuple[Span, ...]:
        """The part divided at the shifts; open strings before a shift belong to the span before it."""
        found: list[Span] = []
        first = last = position = -1
        for index, grip in enumerate(self.grips):
            if grip is None:
                continue
            if grip.position != position:
                if position >= 0:
                    found.append(Span(first, last, position))
                first, position = index, grip.position
            last = index
        if position >= 0:
            found.append(Span(first, last, position))
        return tuple(found)

    @cached_property
    def fingered_spans(self) -> tuple[Span, ...]:
        """The spans in which a finger is down; where open strings alone sound, nobody can tell where the hand is."""
        return tuple(span for span in self.spans if not self._without_fingers(span.first, span.last + 1))

    @cached_property
    def shifts(self) -> tuple[Shift, ...]:
        """Every shift in playing order. A part that starts away from first position does not start with a shift."""
        pairs = zip(self.fingered_spans, self.fingered_spans[1:], strict=False)
        return tuple(self._shift(before, after) for before, after in pairs if before.position != after.position)

    @cached_property
    def _arrivals(self) -> list[int]:
        return [shift.arrival for shift in self.shifts]

    @cached_property
    def _departures(self) -> list[int]:
        return [shift.departure for shift in self.shifts]

    def shifts_between(self, first: int, last: int) -> tuple[Shift, ...]:
        """Return the shifts that arrive among some events or leave them, in playing order."""
        return self.shifts[bisect_left(self._arrivals, first) : bisect_right(self._departures, last)]

    @cached_property
    def excursions(self) -> tuple[Excursion, ...]:
        """Every excursion from first position."""
        found = []
        run: list[Span] = []
        for span in [*self.fingered_spans, None]:
            if span is not None and span.position != HOME_POSITION:
                run.append(span)
            elif run:
                found.append(self._excursion(tuple(run)))
                run = []
        return tuple(found)

    def begins_with(self, excursion: Excursion) -> bool:
        """Return True if no finger is down before an excursion."""
        return self._without_fingers(0, excursion.first)

    def ends_with(self, excursion: Excursion) -> bool:
        """Return True if no finger is down after it."""
        return self._without_fingers(excursion.last + 1, len(self.grips))

    def way_out(self, excursion: Excursion) -> int:
        """Return the event to which the way out of an excursion leads: where the hand has come home, or after a rest.

        On the way open strings may sound.
        """
        end = excursion.spans[-1].last + 1
        after = range(excursion.last + 1, end)
        return next((event for event in after if self.event(event).rest >= REST_FOR_A_SHIFT), end)

    def _without_fingers(self, first: int, stop: int) -> bool:
        """Whether no finger is down from one event to before another."""
        return all(grip is None or grip.is_open for grip in self.grips[first:stop])

    def _fingered_at(self, index: int) -> tuple[FingeredNote, ...]:
        notes, grip, slots = self.passage.events[index].notes, self.grips[index], self.route.options[index].slots
        found = []
        for note in notes:
            if grip is None or note.id not in slots:
                found.append(FingeredNote(note, index, None, None))
            else:
                stop = grip.stops[slots.index(note.id)]
                found.append(FingeredNote(note, index, stop, grip.position if stop.finger else None))
        return tuple(found)

    def _excursion(self, spans: tuple[Span, ...]) -> Excursion:
        first, last = spans[0].first, self._last_stopped(spans[-1])
        return Excursion(first, last, spans, self.shifts_between(first, last))

    def _last_stopped(self, span: Span) -> int:
        for index in range(span.last, span.first - 1, -1):
            grip = self.grip(index)
            if grip is not None and not grip.is_open:
                return index
        return span.last

    def _first_stopped(self, span: Span) -> int:
        for index in range(span.first, span.last + 1):
            grip = self.grip(index)
            if grip is not None and not grip.is_open:
                return index
        return span.first

    def between(self, departure: int, arrival: int) -> Between:
        """Return what lies between two stopped notes, from the last long rest on."""
        events = range(departure + 1, arrival + 1)
        rest = max((index for index in events if self.event(index).rest >= REST_FOR_A_SHIFT), default=None)
        following = range(departure + 1 if rest is None else rest, arrival)
        open_strings = tuple(index for index in following if self.grip(index) is not None)
        return Between(rest, open_strings, tuple(index for index in following if self.grip(index) is None))

    def grips_between(self, first: int, last: int) -> tuple[tuple[Candidates, ...], tuple[int, ...]]:
        """Return what tells the grips from the event `first` to `last` from those of another plan of the passage."""
        part = slice(max(first, 0), last + 1)
        return self.route.options[part], self.route.chosen[part]

    def _shift(self, before: Span, after: Span) -> Shift:
        """The shift between two spans in which a finger is down."""
        given = self.grips_between(before.first, after.last)
        return self.latest.found(("shift", before, after), given, lambda: self._new_shift(before, after))

    def _new_shift(self, before: Span, after: Span) -> Shift:
        departure, arrival = self._last_stopped(before), self._first_stopped(after)
        left, reached = self.grip(departure), self.grip(arrival)
        assert left is not None, "a finger is down before"
        assert reached is not None, "and after"
        between = self.between(departure, arrival)
        silence = sum(self.event(index).seconds for index in between.left_out)
        touching = self._touching(departure)
        guide = guide_on_one_string(left, reached, after.position > before.position, touching)
        slurred = self.event(arrival).slurred
        if between.rest is not None or silence >= REST_FOR_A_SHIFT:
            # While notes are left out, the hand has its time as in a rest.
            kind = ShiftKind.REST
        elif between.open_strings:
            kind = ShiftKind.OPEN_STRING
        elif guide is not None:
            kind = ShiftKind.SAME_FINGER if guide.plays else ShiftKind.GUIDE_FINGER
        else:
            kind = ShiftKind.SLUR if slurred else ShiftKind.BOW_CHANGE
            guide = guide_across_strings(left, reached, touching)
        ends = departure, arrival, before.position, after.position, kind, slurred
        finger = _leading(reached).finger
        if guide is None:
            return Shift(*ends, None, None, None, None, finger)
        start = self._stands(guide, before, range(departure, before.first - 1, -1))
        goal = self._stands(guide, after, range(arrival, after.last + 1))
        return Shift(*ends, guide.finger, guide.string, start, goal, finger)

    def _touching(self, event: int) -> frozenset[int]:
        """The strings on which a finger only touches a harmonic."""
        harmonics = [note for note in self.event(event).notes if Technique.NATURAL_HARMONIC in note.techniques]
        stops = [self.by_note[note.id].stop for note in harmonics] if harmonics else []
        return frozenset(stop.string for stop in stops if stop is not None)

    def _stands(self, guide: Guide, span: Span, events: Sequence[int]) -> Pitch:
        """Where the guide finger stands in a position: the note that it plays there, or its letter.

        The letter is taken as the finger plays it nearest to the shift (at home, in this bar or the next), else as the
        notes around have it, else as the key has it. `events` are those of the span, away from the shift.
        """
        letters = span.position - 1 + guide.finger
        bar = self.event(events[0]).measure
        for index in events:
            grip = self.grip(index)
            if span.position == HOME_POSITION and abs(self.event(index).measure - bar) > 1:
                break
            for stop in grip.stops if grip else ():
                at_place = index == events[0] or stop.letters == letters
                if (stop.finger, stop.string) == (guide.finger, guide.string) and at_place:
                    return stop.pitch(self.passage.instrument)
        open_pitch = self.passage.instrument.open_pitch(guide.string)
        in_key = above_open(open_pitch, letters, self.passage.measures[bar].fifths)
        played = replace(in_key, alter=self._alter_near(in_key, events[0]))
        return played if played.midi > open_pitch.midi else in_key

    def _alter_near(self, pitch: Pitch, index: int) -> float:
        """How the letter of a note is altered where it is played next to an event in time, in any octave.

        Further away than the bar before and the next one the music may be in another key.
        """
        at = self.event(index)
        notes = [
            (abs(event.onset - at.onset), other.alter)
            for event in self._events_near(index)
            for other in event.pitches
            if (other.letter - pitch.letter) % len(LETTERS) == 0
        ]
        return min(notes, key=lambda found: found[0])[1] if notes else pitch.alter

    def _events_near(self, index: int) -> Iterator[Event]:
        """The events of the measure of an event, the one before and the one after."""
        bar = self.event(index).measure
        for steps in (range(index, -1, -1), range(index + 1, len(self.passage.events))):
            for other in steps:
                if abs(self.event(other).measure - bar) > 1:
                    break
                yield self.event(other)


def _with_stops(notes: tuple[FingeredNote, ...]) -> tuple[FingeredNote, ...]:
    return tuple([one for one in notes if one.stop])


def _leading(grip: Grip) -> Stop:
    """The stopped note with the highest pitch: the one a player thinks of in a shift."""
    return next(stop for stop in reversed(grip.stops) if not stop.is_open)


__all__ = ["HOME_POSITION", "Between", "Excursion", "FingeredNote", "Plan", "Shift", "Span", "spans_by_position"]
