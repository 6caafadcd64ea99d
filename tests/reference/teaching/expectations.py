"""What a teacher expects of a plan, in short sentences, and whether a plan meets it.

    bars 1-4 in position 1                   every stopped note there is played in one of these positions
    bars 1-4 mostly in position 2 or 3       at least two thirds of the stopped notes there are
    bars 1-2 on the E or A string            every note there lies on one of these strings
    A4 in bar 2: 4 on D or open A            every A4 there has one of these stops; `not open A`: none has
    E5 in bar 2 beat 2.5: 2 on A             the same for the E5 that starts there
    fingers 1-4 or 0-3 in bars 1-2           every chord there has one of these sets of fingers, lowest note first
    a shift between bar 1 beat 3 and bar 2   the hand arrives in another position, both places included
    no shift between bar 1 and bar 2 beat 4  it does not; `at most 1 shift between …` as well
    home from bar 3 beat 3                   from there to the end of that bar the hand is in first position
    bars 1-2 and 5-6 alike                   the same strings and fingers, note by note
    bars 1 and 2 with the same fingers       the same fingers, note by note, on whatever strings
    no finger slides in bars 1-2             no finger stops two different pitches of one string in a row
    0 proposals                              so many; `at least 1 proposal` as well

Bars are told by their label; beats are counted from 1, and a place without a beat is the first beat of its bar.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from fractions import Fraction
from itertools import pairwise

from rules import HOME_POSITION, Event, Grip, Instrument, Plan, PlannedPart, Stop

Fault = str | None
"""What is wrong with a plan; None if the expectation is met."""
Place = tuple[int, Fraction]
"""Index of the bar, and the beat in it."""

_BARS = r"bars? (\d+)(?:-(\d+))?"
_BEAT = r"(\d+(?:\.\d+)?)"
_PLACE = rf"bar (\d+)(?: beat {_BEAT})?"


class UnknownSentenceError(ValueError):
    """The sentence says nothing that can be checked."""


def fault_of(sentence: str, planned: PlannedPart) -> Fault:
    """Return what is wrong with a plan by one expectation, or None if it is met.

    Raises:
        UnknownSentenceError: if the sentence is of no known kind, or there are no notes where it looks.
    """
    for pattern, check in _KINDS.items():
        if found := re.fullmatch(pattern, sentence):
            return check(planned, *found.groups())
    raise UnknownSentenceError(f"no kind of expectation: {sentence!r}")


def plan_text(plan: Plan) -> str:
    """Return a plan note by note, one bar a line; `A4:D2@3` is A4 under finger 2 on the D string in third position."""
    lines: dict[int, list[str]] = {}
    for index, event in enumerate(plan.passage.events):
        lines.setdefault(event.measure, []).append(_event_text(plan, index))
    return "\n".join(f"{plan.passage.measures[bar].label:>3} | {' '.join(texts)}" for bar, texts in lines.items())


def _event_text(plan: Plan, index: int) -> str:
    event, grip = plan.event(index), plan.grip(index)
    pitches = "+".join(pitch.name for pitch in event.pitches)
    if grip is None:
        return f"{pitches}:none"
    stops = "+".join(f"{plan.passage.instrument.string_name(stop.string)}{stop.finger}" for stop in grip.stops)
    return f"{pitches}:{stops}" + ("" if grip.is_open else f"@{grip.position}")


def _place_text(plan: Plan, index: int) -> str:
    event = plan.event(index)
    return f"bar {plan.passage.label(event)} beat {float(event.beat):g} {_event_text(plan, index)}"


def _bar(plan: Plan, label: str) -> int:
    for index, measure in enumerate(plan.passage.measures):
        if measure.label == label:
            return index
    raise UnknownSentenceError(f"there is no bar {label}")


def _in_bars(plan: Plan, first: str, last: str | None) -> list[int]:
    start, end = _bar(plan, first), _bar(plan, last or first)
    indices = [index for index, event in enumerate(plan.passage.events) if start <= event.measure <= end]
    if not indices:
        raise UnknownSentenceError(f"there are no notes in bars {first}-{last or first}")
    return indices


def _stopped(plan: Plan, indices: list[int]) -> list[tuple[int, Grip]]:
    grips = [(index, plan.grip(index)) for index in indices]
    return [(index, grip) for index, grip in grips if grip is not None and not grip.is_open]


def _where(event: Event) -> Place:
    return event.measure, event.beat


def _place(plan: Plan, label: str, beat: str | None) -> Place:
    return _bar(plan, label), Fraction(beat or 1)


def _arrivals(plan: Plan) -> Iterator[int]:
    """Events at which the first stopped note in another position is played."""
    everywhere = list(range(len(plan.passage.events)))
    for (_, before), (index, after) in pairwise(_stopped(plan, everywhere)):
        if before.position != after.position:
            yield index


def _positions(planned: PlannedPart, first: str, last: str | None, mostly: str | None, positions: str) -> Fault:
    allowed = {int(number) for number in positions.split(" or ")}
    notes = _stopped(planned.plan, _in_bars(planned.plan, first, last))
    wrong = [index for index, grip in notes if grip.position not in allowed]
    if not wrong or (mostly and 3 * len(wrong) <= len(notes)):
        return None
    return _faults_at(planned.plan, wrong)


def _faults_at(plan: Plan, indices: list[int]) -> Fault:
    return "; ".join(_place_text(plan, index) for index in indices[:4]) or None


def _strings(planned: PlannedPart, first: str, last: str | None, letters: str) -> Fault:
    plan, allowed = planned.plan, set(letters.split(" or "))
    return _faults_at(plan, [i for i in _in_bars(plan, first, last) if not _strings_used(plan, i) <= allowed])


def _strings_used(plan: Plan, index: int) -> set[str]:
    grip = plan.grip(index)
    return {plan.passage.instrument.string_name(stop.string) for stop in grip.stops} if grip else {"none"}


def _stops_at(planned: PlannedPart, pitch: str, label: str, beat: str, negated: str | None, stops: str) -> Fault:
    place = _place(planned.plan, label, beat)
    indices = [index for index, event in enumerate(planned.plan.passage.events) if _where(event) == place]
    return _wrong_stops(planned.plan, indices, pitch, negated, stops)


def _stops_in(planned: PlannedPart, pitch: str, first: str, last: str | None, negated: str | None, stops: str) -> Fault:
    return _wrong_stops(planned.plan, _in_bars(planned.plan, first, last), pitch, negated, stops)


def _wrong_stops(plan: Plan, indices: list[int], pitch: str, negated: str | None, stops: str) -> Fault:
    named = {_stop(text, plan.passage.instrument) for text in stops.split(" or ")}
    sought = [index for index in indices if any(note.pitch.name == pitch for note in plan.event(index).notes)]
    if not sought:
        raise UnknownSentenceError(f"there is no {pitch} there")
    return _faults_at(plan, [i for i in sought if (_stop_of(plan, i, pitch) in named) == bool(negated)])


def _stop(text: str, instrument: Instrument) -> tuple[int, int]:
    """Return string number and finger of `4 on D` or `open A`."""
    finger, _, letter = text.replace("open ", "0 on ").partition(" on ")
    for string in instrument.string_numbers:
        if instrument.string_name(string) == letter:
            return string, int(finger)
    raise UnknownSentenceError(f"no string of the {instrument.name}: {text!r}")


def _stop_of(plan: Plan, index: int, pitch: str) -> tuple[int, int] | None:
    stops = [plan.by_note[note.id].stop for note in plan.event(index).notes if note.pitch.name == pitch]
    return _string_and_finger(stops[0]) if stops[0] else None


def _string_and_finger(stop: Stop) -> tuple[int, int]:
    return stop.string, stop.finger


def _fingers(planned: PlannedPart, fingers: str, first: str, last: str | None) -> Fault:
    plan = planned.plan
    allowed = {tuple(map(int, one.split("-"))) for one in fingers.split(" or ")}
    chords = [index for index in _in_bars(plan, first, last) if len(plan.event(index).notes) > 1]
    if not chords:
        raise UnknownSentenceError(f"there are no chords in bars {first}-{last or first}")
    return _faults_at(plan, [index for index in chords if _fingers_from_the_lowest(plan, index) not in allowed])


def _fingers_from_the_lowest(plan: Plan, index: int) -> tuple[int, ...]:
    notes = sorted(plan.event(index).notes, key=lambda note: note.pitch.midi)
    stops = [plan.by_note[note.id].stop for note in notes]
    return tuple(stop.finger if stop else -1 for stop in stops)


def _shift(planned: PlannedPart, which: str, bar: str, beat: str | None, to_bar: str, to_beat: str | None) -> Fault:
    plan = planned.plan
    start, end = _place(plan, bar, beat), _place(plan, to_bar, to_beat)
    found = [index for index in _arrivals(plan) if start <= _where(plan.event(index)) <= end]
    if which == "a":
        return None if found else "the hand does not move there"
    most = 0 if which == "no" else int(which.removeprefix("at most "))
    return _faults_at(plan, found) if len(found) > most else None


def _home(planned: PlannedPart, bar: str, beat: str | None) -> Fault:
    plan = planned.plan
    start = _place(plan, bar, beat)
    notes = [i for i in _in_bars(plan, bar, None) if _where(plan.event(i)) >= start]
    if not notes:
        raise UnknownSentenceError(f"there are no notes from bar {bar} beat {beat or 1} on")
    return _faults_at(plan, [index for index, grip in _stopped(plan, notes) if grip.position != HOME_POSITION])


def _alike(planned: PlannedPart, first: str, last: str | None, again: str, until: str | None, how: str) -> Fault:
    plan = planned.plan
    one, two = _in_bars(plan, first, last), _in_bars(plan, again, until)
    if len(one) != len(two):
        raise UnknownSentenceError("the bars do not have as many notes")
    read: Callable[[Stop], object] = _string_and_finger if how == "alike" else lambda stop: stop.finger
    for a, b in zip(one, two, strict=True):
        left, right = (grip and tuple(map(read, grip.stops)) for grip in (plan.grip(a), plan.grip(b)))
        if left != right:
            return f"{_place_text(plan, a)} against {_place_text(plan, b)}"
    return None


def _no_slide(planned: PlannedPart, first: str, last: str | None) -> Fault:
    plan = planned.plan
    for a, b in pairwise(_in_bars(plan, first, last)):
        before, after = plan.grip(a), plan.grip(b)
        for left in before.stops if before else ():
            for right in after.stops if after else ():
                same_finger = _string_and_finger(left) == _string_and_finger(right)
                if left.finger and same_finger and left.semitones != right.semitones:
                    return f"{_place_text(plan, a)} to {_place_text(plan, b)}"
    return None


def _proposals(planned: PlannedPart, at_least: str | None, number: str) -> Fault:
    count = len(planned.proposals)
    good = count >= int(number) if at_least else count == int(number)
    return None if good else f"{count} proposals"


_STOPS = r"(not )?((?:\d on|open) [A-G](?: or (?:\d on|open) [A-G])*)"
_KINDS: dict[str, Callable[..., Fault]] = {
    rf"{_BARS} (mostly )?in position (\d+(?: or \d+)*)": _positions,
    rf"{_BARS} on the ([A-G](?: or [A-G])*) string": _strings,
    rf"([A-G][#b]*\d) in bar (\d+) beat {_BEAT}: {_STOPS}": _stops_at,
    rf"([A-G][#b]*\d) in {_BARS}: {_STOPS}": _stops_in,
    rf"fingers (\d-\d(?: or \d-\d)*) in {_BARS}": _fingers,
    rf"(a|no|at most \d+) shifts? between {_PLACE} and {_PLACE}": _shift,
    rf"home from {_PLACE}": _home,
    rf"{_BARS} and (\d+)(?:-(\d+))? (alike|with the same fingers)": _alike,
    rf"no finger slides in {_BARS}": _no_slide,
    r"(at least )?(\d+) proposals?": _proposals,
}
