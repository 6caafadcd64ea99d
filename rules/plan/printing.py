"""Which finger numbers, string marks and position words to print.

A finger on every note is hard to read at speed (timtfj.com, "How not to write violin fingering", 2010). So
`read_marks` simulates a player who reads the part, and a mark is printed where this player would take a note in
another way than planned: a digit before a string mark, and a word where the hand arrives in another position. A few
more marks are printed as a courtesy (common practice): the digit of the first note after a shift, and its string if
first position has the note on another; the digit after every eight bars away from first position, and where a repeat
leads back.

Decisions where usage leaves it open:
- Of a chord all digits are printed or none: one alone is read as that of its neighbour.
- Of two adjacent position words one is left out if a digit (with its string) says as much: the second word if the hand
  visits a position for one note, the first if it passes through. The same holds for a word between a grace note and its
  main note.
- Where a repeat or an ending leads here, the marks have to be right for a player who comes from either side.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Collection, Hashable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import chain
from typing import NamedTuple

from ..hand.grip import HOME_POSITION, Grip
from ..music.passage import NOTHING_PRINTED, Event, Note
from .plan import FingeredNote, Plan
from .read_marks import NoteMarks, PageReader, ReaderState, ReadFingering

BARS_REMEMBERED = 8
"""Bars away from first position after which a digit is printed again as a reminder: about two systems."""


class Fingers(StrEnum):
    """How many finger numbers to print."""

    ESSENTIAL = "essential"
    ALL = "all"
    SHIFTS = "shifts"


class PrintedNote(NamedTuple):
    """What to print on one note; None prints nothing."""

    fingered: FingeredNote
    finger: int | None
    string: int | None


@dataclass(frozen=True, slots=True)
class PositionWord:
    """The position to print at an event, and the event before which it ends (None: the end of the part)."""

    event: int
    position: int
    until: int | None


@dataclass(frozen=True, slots=True)
class PrintedPlan:
    """A plan as it is printed: every note that has a stop, in playing order, and the words for positions."""

    notes: tuple[PrintedNote, ...]
    words: tuple[PositionWord, ...]


class _Marks(NamedTuple):
    """What to print at one event: on which notes the digit and the string (by index), and the position word."""

    fingers: frozenset[int] = frozenset()
    strings: frozenset[int] = frozenset()
    word: int | None = None


_NOTHING = _Marks()
_NONE: frozenset[int] = frozenset()


def printed_plan(
    plan: Plan,
    fingers: Fingers = Fingers.ESSENTIAL,
    *,
    beside_print: bool = True,
    measures: tuple[int, int] | None = None,
    memory: PrintingMemory | None = None,
) -> PrintedPlan:
    """Return what to print of a plan.

    Args:
        plan: what is to be played.
        fingers: how many digits.
        beside_print: marks that the part prints already stay, and are read; otherwise they are written anew.
        measures: indices of the first and last measure to print in; None is the whole part.
        memory: how plans of this part were printed before; the result is the same without it.
    """
    printer = _Printer(plan, fingers, beside_print)
    return printer.printed(measures) if memory is None else printer.printed_again(measures, memory)


_Before = tuple[tuple[ReaderState, ...], bool, int, int | None]
"""What a player knows before an event: the fields of `_Printer` that change from event to event."""
_AtEvent = tuple[tuple[PrintedNote, ...], int | None]
"""What is printed on the notes of an event, and the position word at it."""


class _Printing(NamedTuple):
    """How a plan was printed, by event: its grips, their notes, the hand, what was known before, what was printed."""

    grips: Sequence[Grip | None]
    slots: Sequence[tuple[str, ...]]
    hands: Sequence[int]
    before: list[_Before]
    printed: list[_AtEvent]


class PrintingMemory:
    """How a part was printed latest: a decision changes a few events, and what the player knows soon is the same."""

    def __init__(self) -> None:
        self.latest: dict[Hashable, _Printing] = {}


class _Printer:
    """Reads a part as a player would, and prints a mark where the player would go wrong."""

    def __init__(self, plan: Plan, fingers: Fingers, beside_print: bool) -> None:
        self._plan, self._fingers, self._beside_print = plan, fingers, beside_print
        self._reader = PageReader(plan.passage.instrument)
        self._hands = _hands(plan)
        self._states: tuple[ReaderState, ...] = (ReaderState(),)
        self._crowded = False  # no room for a word: one stands right before, or a grace note leads here
        self._position_named_in = 0  # the measure in which a word or digit last named the position
        self._string: int | None = None

    def printed(self, measures: tuple[int, int] | None) -> PrintedPlan:
        """Read the part and return what to print on the way."""
        return self._put_together([self._printed_at(index, measures) for index in range(len(self._plan.grips))])

    def printed_again(self, measures: tuple[int, int] | None, memory: PrintingMemory) -> PrintedPlan:
        """Return what to print; only where it may differ from the latest time the part is read.

        Before an event that differs from the latest printing everything stands. From there on the part is read until
        the player knows what was known then.
        """
        how = self._fingers, self._beside_print, measures
        count, known = len(self._plan.grips), memory.latest.get(how)
        differing: Collection[int] = range(count)
        before: list[_Before] = [(self._states, False, 0, None)] * count
        printed: list[_AtEvent] = [((), None)] * count
        if known is not None:
            differing, before, printed = self._differing(known), known.before.copy(), known.printed.copy()
        here = 0
        for first in sorted(differing):
            if first < here:
                continue
            here = first
            self._states, self._crowded, self._position_named_in, self._string = before[first]
            while here < count:
                now = self._states, self._crowded, self._position_named_in, self._string
                if here not in differing and now == before[here]:
                    break
                before[here], printed[here] = now, self._printed_at(here, measures)
                here += 1
        slots = [option.slots for option in self._plan.route.options]
        memory.latest[how] = _Printing(self._plan.grips, slots, self._hands, before, printed)
        return self._put_together(printed)

    def _put_together(self, printed: Sequence[_AtEvent]) -> PrintedPlan:
        words = [(index, word) for index, (_, word) in enumerate(printed) if word is not None]
        notes = tuple(chain.from_iterable([notes for notes, _ in printed]))
        return PrintedPlan(notes, tuple(self._until(words)))

    def _differing(self, known: _Printing) -> set[int]:
        """The events at which the plan has not what it had, or the hand is elsewhere next or where a repeat begins."""
        moved = {index for index, (a, b) in enumerate(zip(known.hands, self._hands, strict=True)) if a != b}
        found = {index for at in moved for index in (at - 1, at) if index >= 0}
        found |= {index for index, (a, b) in enumerate(zip(known.grips, self._plan.grips, strict=True)) if a is not b}
        options = self._plan.route.options
        found |= {index for index, (a, b) in enumerate(zip(known.slots, options, strict=True)) if a != b.slots}
        if moved:
            found |= {index for index, event in enumerate(self._plan.passage.events) if event.jump in moved}
        return found

    def _printed_at(self, index: int, measures: tuple[int, int] | None) -> _AtEvent:
        """Read an event and return what to print at it."""
        plan = self._plan
        event, grip, fingered = plan.passage.events[index], plan.grips[index], plan.stopped[index]
        if event.jump is not None:
            self._states = (*self._states, ReaderState(self._hands[event.jump]))
        if grip is None or not fingered:
            self._states = tuple(dict.fromkeys(self._read_past(event, state) for state in self._states))
            return (), None
        if (plain := self._plain(event, grip)) is not None:
            self._states, self._crowded, self._string = (plain,), False, None
            return (PrintedNote(fingered[0], None, None),), None
        moment = self._moment(index, event, fingered)
        self._crowded |= plan.passage.led_by_grace(index) or self._passes(index)
        inside = measures is None or measures[0] <= event.measure <= measures[1]
        marks = self._needed(moment) if inside else _NOTHING
        self._states = tuple(dict.fromkeys([moment.read(marks, state) for state in self._states]))
        self._crowded = marks.word is not None or event.position is not None
        return tuple(_printed_notes(moment, marks)), marks.word

    def _read_past(self, event: Event, state: ReaderState) -> ReaderState:
        """How a player reads notes to which the plan gives no finger, with what the part prints on them."""
        if not event.notes:
            return state
        marks = [
            NoteMarks(note.printed.fingers, note.printed.strings) if self._beside_print else NoteMarks()
            for note in event.notes
        ]
        return self._reader.read(event.notes, event.measure, marks, event.position, state)

    def _passes(self, index: int) -> bool:
        """Whether the hand is here for one note on the way to a third position: the word belongs there."""
        here, onward = self._hands[index], self._hands[index + 1 : index + 2]
        before = self._states[0].position
        return before != here and any(here != there != before for there in onward)

    def _plain(self, event: Event, grip: Grip) -> ReaderState | None:
        """The quick path: the state after a single unmarked note that is read as planned; None for everything else."""
        if len(event.notes) > 1 or len(self._states) > 1 or self._fingers is not Fingers.ESSENTIAL:
            return None
        state, printed = self._states[0], event.notes[0].printed
        if event.position is not None or event.string is not None or event.jump is not None:
            return None
        if printed is not NOTHING_PRINTED and printed:
            return None
        stop, position = grip.stops[0], grip.position
        if position != HOME_POSITION and event.measure - self._position_named_in >= BARS_REMEMBERED:
            return None
        if stop.finger and position != state.position:
            return None
        read = self._reader.guess(event.notes, event.measure, state)
        return read if read.taken == ((stop.string, stop.finger),) else None

    def _moment(self, index: int, event: Event, fingered: tuple[FingeredNote, ...]) -> _Moment:
        named = event.position
        string = event.string if event.string != self._string and len(fingered) == 1 else None
        self._string = event.string
        grip = self._plan.grips[index]
        position = None if grip is None or grip.is_open else grip.position
        return _Moment(self._reader, event, fingered, position, named, string, self._beside_print, {})

    def _needed(self, moment: _Moment) -> _Marks:
        every = moment.unnumbered
        if self._fingers is Fingers.SHIFTS and not self._arrives(moment):
            return _NOTHING
        least = every if self._fingers is not Fingers.ESSENTIAL else _NONE
        marks = next(
            (marks for marks in self._choices(moment, least) if self._right(moment, marks)),
            _Marks(every, _NONE, self._new_position(moment)),
        )
        if moment.position is None:
            return marks
        if self._arrives(moment):
            marks = self._courtesy(moment, marks, every | marks.fingers, moment.elsewhere_at_home())
        elif moment.position != HOME_POSITION and (
            moment.event.jump is not None or moment.event.measure - self._position_named_in >= BARS_REMEMBERED
        ):
            marks = self._courtesy(moment, marks, every | marks.fingers, _NONE)
        else:
            return marks
        self._position_named_in = moment.event.measure
        return marks

    def _right(self, moment: _Moment, marks: _Marks) -> bool:
        return all(moment.read_right(marks, state) for state in self._states)

    def _arrives(self, moment: _Moment) -> bool:
        """Whether the hand was elsewhere before, whichever way the player came."""
        return moment.position is not None and any(state.position != moment.position for state in self._states)

    def _new_position(self, moment: _Moment) -> int | None:
        """The position to name; None if the hand is there, or the part names it."""
        return moment.position if self._arrives(moment) and moment.position != moment.named else None

    def _choices(self, moment: _Moment, least: frozenset[int]) -> Iterator[_Marks]:
        """What may be printed, the plainest first; made one by one, since the first is nearly always read right."""
        word = self._new_position(moment)
        if word is None:
            words: tuple[int | None, ...] = (None, moment.position)
        else:
            words = (None, word) if self._crowded and moment.whole else (word,)
        return (_Marks(*choice, each) for each in words for choice in moment.choices(least))

    def _courtesy(self, moment: _Moment, marks: _Marks, fingers: frozenset[int], strings: frozenset[int]) -> _Marks:
        """The same marks with more than is needed, unless that would be read otherwise."""
        more = marks._replace(fingers=fingers, strings=marks.strings | strings)
        return more if self._right(moment, more) else marks

    def _until(self, words: Sequence[tuple[int, int]]) -> Iterator[PositionWord]:
        """Each word with the event before which the hand leaves, or before which the next word stands."""
        starts = [span.first for span in self._plan.spans]
        for number, (event, position) in enumerate(words):
            ends = starts[bisect_right(starts, event) :][:1] + [each for each, _ in words[number + 1 : number + 2]]
            yield PositionWord(event, position, min(ends, default=None))


class _Moment(NamedTuple):
    """One event as it is planned and as it is printed already.

    `position` is where the plan has the hand (None: only open strings), `named` and `string` are words that stand here.
    """

    reader: PageReader
    event: Event
    fingered: tuple[FingeredNote, ...]
    position: int | None
    named: int | None
    string: int | None
    beside_print: bool
    readings: dict[tuple[_Marks, ReaderState], ReaderState]

    @property
    def notes(self) -> list[Note]:
        """The notes that have a stop."""
        return [fingered.note for fingered in self.fingered]

    @property
    def whole(self) -> bool:
        """Whether every note has a stop; otherwise nobody can tell how the rest is taken."""
        return len(self.fingered) == len(self.event.notes)

    @property
    def unnumbered(self) -> frozenset[int]:
        """Notes on which no digit is printed yet."""
        return frozenset(
            index for index, fingered in enumerate(self.fingered) if not self._printed(fingered.note).fingers
        )

    def _printed(self, note: Note) -> NoteMarks:
        if not self.beside_print:
            return NoteMarks((), (self.string,) if self.string else ())
        return NoteMarks(note.printed.fingers, note.printed.strings or ((self.string,) if self.string else ()))

    def choices(self, least: frozenset[int]) -> Iterator[tuple[frozenset[int], frozenset[int]]]:
        """Digits and strings that may be printed, the fewest first; `least` has to be printed anyway."""
        yield least, _NONE
        every = self.unnumbered
        if every != least:
            yield every, _NONE
        free = [i for i, one in enumerate(self.fingered) if not self._printed(one.note).strings and _finger(one)]
        for fingers in dict.fromkeys((least, every)):
            for string in free:
                yield fingers, frozenset({string})
        if len(free) > 1:
            yield every, frozenset(free)

    def elsewhere_at_home(self) -> frozenset[int]:
        """A single note that lies on another string in first position (the highest, beyond its compass)."""
        if len(self.fingered) != 1 or not _finger(self.fingered[0]) or self._printed(self.fingered[0].note).strings:
            return _NONE
        taken = self.reader.read(self.notes, -1, (NoteMarks(),), None, ReaderState()).taken
        return frozenset({0}) if _string(self.fingered[0]) != (taken[0].string if taken else 1) else _NONE

    def read(self, marks: _Marks, state: ReaderState) -> ReaderState:
        """How a player reads the event with these marks."""
        found = self.readings.get((marks, state))
        if found is None:
            found = self.readings[marks, state] = self._read(marks, state)
        return found

    def _read(self, marks: _Marks, state: ReaderState) -> ReaderState:
        note_marks = [
            NoteMarks(
                (_finger(fingered),) if index in marks.fingers else printed.fingers,
                (_string(fingered),) if index in marks.strings else printed.strings,
            )
            for index, fingered in enumerate(self.fingered)
            for printed in (self._printed(fingered.note),)
        ]
        word = self.named if marks.word is None else marks.word
        return self.reader.read(self.notes, self.event.measure, note_marks, word, state)

    def read_right(self, marks: _Marks, state: ReaderState) -> bool:
        """Whether that is what is planned."""
        read = self.read(marks, state)
        planned = tuple(ReadFingering(_string(fingered), _finger(fingered)) for fingered in self.fingered)
        return read.taken == planned and (self.position is None or read.position == self.position)


def _finger(fingered: FingeredNote) -> int:
    return fingered.stop.finger if fingered.stop else 0


def _string(fingered: FingeredNote) -> int:
    return fingered.stop.string if fingered.stop else 0


def _printed_notes(moment: _Moment, marks: _Marks) -> Iterator[PrintedNote]:
    for index, fingered in enumerate(moment.fingered):
        finger = _finger(fingered) if index in marks.fingers else None
        yield PrintedNote(fingered, finger, _string(fingered) if index in marks.strings else None)


def _hands(plan: Plan) -> list[int]:
    """Where the hand is after each event; open strings do not move it."""
    found = []
    position = HOME_POSITION
    for grip in plan.grips:
        if grip is not None and not grip.is_open:
            position = grip.position
        found.append(position)
    return found


def shift_lines(plan: Plan) -> Iterator[tuple[FingeredNote, FingeredNote]]:
    """Departure and arrival notes of shifts on one string, without a rest, an open string or a line end between."""
    for shift in plan.shifts:
        if shift.arrival - shift.departure == 1 and not _parted(plan, shift.departure, shift.arrival):
            left, reached = (
                {one.stop.string: one for note in plan.event(index).notes if (one := plan.by_note[note.id]).stop}
                for index in (shift.departure, shift.arrival)
            )
            for string in sorted(left.keys() & reached.keys(), reverse=True):
                if _finger(left[string]) and _finger(reached[string]):
                    yield left[string], reached[string]
                    break


def _parted(plan: Plan, left: int, reached: int) -> bool:
    """Whether a rest, or the end of a line of music, stands between two events."""
    measures = plan.passage.measures[plan.event(left).measure + 1 : plan.event(reached).measure + 1]
    return plan.event(reached).rest > 0 or any(measure.new_system for measure in measures)
