"""What a player cannot know without being told: the fingers, strings and positions worth printing.

A finger on every note is hard to read at speed (timtfj.com, "How not to write violin fingering", 2010): essential
marks are the stop on which the hand arrives, the first stop away from first position, fingers out of the frame, an
open string against a fourth finger, and a string that the finger does not imply. What does not belong here: the file
format.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise
from typing import NamedTuple

from ..hand.grip import HOME_POSITION, Grip, Stop, grips_for
from ..music.instrument import Instrument, Pitch
from .plan import Placed, Plan

REMEMBERED = 4
"""Measures for which a player remembers what was printed: whether a note is taken open or with the fourth finger."""


class Fingers(StrEnum):
    """How many finger numbers to print."""

    ESSENTIAL = "essential"
    ALL = "all"
    SHIFTS = "shifts"


class Advice(NamedTuple):
    """What to print on one note; None prints nothing."""

    placed: Placed
    finger: int | None
    string: int | None


@dataclass(frozen=True, slots=True)
class PositionWord:
    """The position to print at an event, and the event before which it ends (None: the end of the part)."""

    event: int
    position: int
    until: int | None


def position_words(plan: Plan) -> tuple[PositionWord, ...]:
    """Return where the position has to be named: every arrival, the return too; a start in first position is silent."""
    found = []
    spans = plan.spans
    known = HOME_POSITION
    for index, span in enumerate(spans):
        stopped = _first_stopped(plan, span.first, span.last)
        if stopped is None or span.position == known:
            continue
        until = spans[index + 1].first if index + 1 < len(spans) else None
        found.append(PositionWord(stopped, span.position, until))
        known = span.position
    return tuple(found)


def advice(plan: Plan, fingers: Fingers = Fingers.ESSENTIAL) -> tuple[Advice, ...]:
    """Return what to print on every note that has a stop, in playing order."""
    arrivals = {shift.arrival for shift in plan.shifts} | {word.event for word in position_words(plan)}
    reader = _Reader(plan)
    every, shifts_only = fingers is Fingers.ALL, fingers is Fingers.SHIFTS
    found = []
    read = -1
    for placed in plan.placed:
        stop, index = placed.stop, placed.event
        grip = plan.grips[index]
        if stop is None or grip is None:
            continue
        if index != read:
            reader.reach(grip)
            read = index
        needs_finger, needs_string = reader.needs(plan.passage.events[index].measure, placed.note.pitch, stop, grip)
        if shifts_only:
            needs_finger = needs_string = False
        if placed.note.techniques and _touched_elsewhere(placed.note.pitch, stop, plan.passage.instrument):
            needs_finger = needs_string = True
        arrived = index in arrivals
        finger = stop.finger if needs_finger or every or arrived else None
        string = stop.string if needs_string or (arrived and stop.finger) else None
        found.append(Advice(placed, finger, string))
    return tuple(found) if shifts_only else _whole_chords(found)


def _whole_chords(found: Sequence[Advice]) -> tuple[Advice, ...]:
    """A finger on one note of a chord alone is read as that of its neighbour: where one is printed, all are."""
    numbered = {advice.placed.event for advice in found if advice.finger is not None}
    several = {a.placed.event for a, b in pairwise(found) if a.placed.event == b.placed.event} & numbered
    return tuple(
        advice._replace(finger=advice.placed.stop.finger)
        if advice.placed.event in several and advice.placed.stop is not None
        else advice
        for advice in found
    )


@dataclass(frozen=True, slots=True)
class _Ways:
    """How a pitch can be taken in one position without leaving the frame."""

    stops: frozenset[tuple[int, int]]
    open_or_stopped: bool
    several_strings: bool


class _Reader:
    """A reader who knows the position in force and remembers the last few measures."""

    def __init__(self, plan: Plan) -> None:
        self._instrument = plan.passage.instrument
        self._taken: dict[float, tuple[int, bool]] = {}
        self._before: Grip | None = None
        self._grip: Grip | None = None
        self._ways: dict[tuple[int, int], _Ways] = {}

    def reach(self, grip: Grip) -> None:
        """Read on to the next grip."""
        self._before, self._grip = self._grip, grip

    def needs(self, measure: int, pitch: Pitch, stop: Stop, grip: Grip) -> tuple[bool, bool]:
        """Whether the finger, and whether the string, has to be printed on this note."""
        # The passage keeps its pitches alive, so that their identity is a safe and quick key.
        ways = self._ways.get((id(pitch), grip.position)) or self._ways_of(pitch, grip.position)
        doubtful = self._doubtful(measure, pitch.midi, stop.finger == 0, grip, ways)
        if stop.finger == 0:
            return doubtful, False
        away = False
        if grip.position != HOME_POSITION and self._before is not None:
            away = all(s.string != stop.string for s in self._before.stops)
        out_of_frame = (stop.string, stop.finger) not in ways.stops
        elsewhere = out_of_frame and any(string != stop.string for string, _ in ways.stops)
        laid = self._laid_across(grip)
        return out_of_frame or doubtful or away or laid, ways.several_strings or away or elsewhere

    def _laid_across(self, grip: Grip) -> bool:
        """One finger on two strings, as the hand did not hold it before: nobody expects it."""
        if len(grip.stops) == 1:
            return False
        fingers = [stop.finger for stop in grip.stops if stop.finger]
        return len(set(fingers)) < len(fingers) and (self._before is None or self._before.stops != grip.stops)

    def _ways_of(self, pitch: Pitch, position: int) -> _Ways:
        grips = grips_for((pitch,), self._instrument, frozenset({position}))
        stops = frozenset((g.stops[0].string, g.stops[0].finger) for g in grips if not g.reaches)
        stopped = {string for string, finger in stops if finger}
        found = _Ways(stops, len(stops) > len([f for _, f in stops if f]) > 0, len(stopped) > 1)
        self._ways[id(pitch), position] = found
        return found

    def _doubtful(self, measure: int, midi: float, is_open: bool, grip: Grip, ways: _Ways) -> bool:
        """Open string or fourth finger: print what is not the habit, and again when the habit changes."""
        if not ways.open_or_stopped:
            return is_open and grip.position > HOME_POSITION
        told, was_open = self._taken.get(midi, (-REMEMBERED, True))
        forgotten = measure - told >= REMEMBERED
        tell = (not is_open) if forgotten else was_open != is_open
        if tell or forgotten:
            self._taken[midi] = (measure, is_open)
        return tell


def _touched_elsewhere(pitch: Pitch, stop: Stop, instrument: Instrument) -> bool:
    """True for a harmonic that is touched in another place than where it is written: nobody would look there."""
    return instrument.open_pitch(stop.string).midi + stop.semitones != pitch.midi


def _first_stopped(plan: Plan, first: int, last: int) -> int | None:
    for index in range(first, last + 1):
        grip = plan.grip(index)
        if grip is not None and not grip.is_open:
            return index
    return None


def shift_lines(plan: Plan) -> Iterator[tuple[Placed, Placed]]:
    """Departure and arrival notes of every shift that stays on one string without an open string between."""
    for shift in plan.shifts:
        left, reached = plan.grip(shift.departure), plan.grip(shift.arrival)
        if left is None or reached is None or shift.arrival - shift.departure != 1:
            continue
        for before in plan.event(shift.departure).notes:
            for after in plan.event(shift.arrival).notes:
                a, b = plan.by_note[before.id], plan.by_note[after.id]
                if a.stop and b.stop and a.stop.string == b.stop.string and not (a.stop.is_open or b.stop.is_open):
                    yield a, b
                    break
            else:
                continue
            break
