"""Bars of the piece as drills: heard, grown from the shift, the hardest one, in the new position, in context."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import islice, takewhile

from ...hand.grip import HOME_POSITION
from ...hand.level import FIRST
from ...music.bar_numbers import bar_number, whole_bar
from ...music.instrument import Pitch
from ...music.metre import Meter, counted_values
from ...music.passage import NOTHING_PRINTED, Event
from ...plan.counted_figures import crossing_at, hops, stretched
from ...plan.plan import Plan, Shift
from ...plan.printing import Fingers
from ...search.planner import cheapest_route
from ...text import Text, english, joined
from ..excerpts import bars_of_plan, excerpt, excerpt_plan, in_even_notes, tempo_at
from ..metronome import PACES, SLOWEST, tempo_steps
from ..sheet import Bar, Exercise
from .position_drills import between

SLOW_READING, SLOWEST_READING = 60.0, 20.0
"""Quarter notes a minute at which bars are read at most; see `reading_tempo`. Nobody counts slower than the latter."""
_NEARLY = 2
"""Beats a minute by which a slow tempo may fall short of the slowest mark."""
_SAME_TEMPO = 0.5
"""Quarter notes a minute: less than that apart, two tempos are the same."""
_SHORTEST = 0.25
"""Seconds that the quickest note of a slow reading lasts: time enough to shift, and to think of the next finger."""
_LONG_ENOUGH = 1.5
"""Seconds of the quickest note that are enough to think of any finger; slower, only the bow gets too short."""
LONGEST_BOW = 8.0
"""Seconds that a learner's bow lasts at most (common practice)."""
GROWTH = (1, 2, 3)
"""Notes on each side of the shift."""
HARD = 3
"""A bar that asks less (a shift, stretch or hop counts 2, a crossing 1) needs no practice of its own."""
FEWEST_NOTES = 4
"""Notes of a bar that is worth going around in."""
_FEWEST_SUNG = 3
"""Notes of what is worth singing."""
_TWO_PLACES = 2
_SECONDS = 0.25
"""Playing time below which a bar counts as this long when its difficulty is compared."""


def bars_named(plan: Plan, measures: tuple[int, int]) -> Text:
    """Return the bars in words: `bar 9`, `bars 9 to 16`; an upbeat goes with the bar that it leads to."""
    first, last = whole_bar(plan.passage, measures[0], 1), whole_bar(plan.passage, measures[1], -1)
    if first is None or last is None or first == last or measures[0] == measures[1]:
        return english("bar {number}", number=bar_number(plan.passage, measures[0]))
    return english("bars {first} to {last}", first=first, last=last)


def how_it_sounds(plan: Plan, measures: tuple[int, int]) -> Exercise | None:
    """The melody in first position, or an octave lower; None if neither lies there without stretching."""
    passage = excerpt(plan.passage, measures)
    for lowered in (0, 1):
        lower = replace(passage, events=tuple(_lowered(event, 7 * lowered) for event in passage.events))
        route = cheapest_route(lower, FIRST)
        grips = [route.grip(index) for index in range(len(lower.events))]
        reached = all(not (option.beyond or option.dropped) for option in route.options)
        if len(lower.events) < _FEWEST_SUNG or not reached or any(grip is None or grip.excess for grip in grips):
            continue
        text = english("Played in first. Play it until you can sing it.")
        if lowered:
            text = english("Played in first, an octave lower. Play it until you can sing it.")
        bars, tempo = bars_of_plan(_without_jumps(Plan(lower, FIRST, route))), reading_tempo(plan, measures)
        title = english("How it sounds, {bars}", bars=bars_named(plan, measures))
        return Exercise(title, joined((text, _bow_line(bars, tempo))), bars, tempo)
    return None


def _without_jumps(plan: Plan) -> Plan:
    """The plan without slurs over which a finger or the bow would jump: in the piece, higher up, it does not."""
    jumps = [crossing_at(plan, index) > 1 or hops(plan, index) > 0 for index in range(len(plan.passage.events))]
    events = tuple(
        replace(event, slurred=event.slurred and not jump)
        for event, jump in zip(plan.passage.events, jumps, strict=True)
    )
    return Plan(replace(plan.passage, events=events), plan.level, plan.route)


def grown(plan: Plan, shift: Shift, widths: Sequence[int] = GROWTH) -> Exercise | None:
    """The last note before a shift and the first after it, then one more on each side, and so on, in even notes.

    None if no hand holds the notes between which it lies.
    """
    events = _fingered_around(plan, shift, max(widths))
    if not {shift.departure, shift.arrival} <= set(events):
        return None
    before = sum(event <= shift.departure for event in events)
    inside = sum(event < shift.arrival for event in events)
    bars: list[Bar] = []
    done: set[tuple[int, ...]] = set()
    for width in widths:
        piece = events[max(before - width, 0) : inside + width]
        if piece not in done:
            done.add(piece)
            *others, end = in_even_notes(plan, piece)
            bars += [*others, replace(end, closes=True)]
    label = bar_number(plan.passage, plan.event(shift.arrival).measure)
    text = english("In even notes. Each group three times, then one note more on each side of the shift.")
    way = between(shift.start, shift.goal)
    title = english("From the shift outward, bar {number}: {positions}", number=label, positions=way)
    return Exercise(title, text, tuple(bars), SLOW_READING)


def _fingered_around(plan: Plan, shift: Shift, width: int) -> tuple[int, ...]:
    """The events around a shift, as many on each side, as far as fingers reach them."""
    left_out = {note.event for note in plan.unheld}
    before = takewhile(lambda event: event not in left_out, range(shift.departure, -1, -1))
    after = takewhile(lambda event: event not in left_out, range(shift.arrival, len(plan.passage.events)))
    between = (event for event in range(shift.departure + 1, shift.arrival) if event not in left_out)
    return (*[*islice(before, width)][::-1], *between, *islice(after, width))


def hardest_bar(plan: Plan, measures: tuple[int, int], *, at_home: bool = False) -> Exercise | None:
    """The bar away from first position (`at_home`: any bar) that asks most of the left hand for each second.

    None if none asks anything.
    """
    efforts: dict[int, float] = {}
    notes: dict[int, int] = {}
    seconds: dict[int, float] = {}
    # What leads into the bar is not in it: a shift from the bar before, the crossing to its first note.
    within = (shift for shift in plan.shifts if _bar_of(plan, shift.departure) == _bar_of(plan, shift.arrival))
    arrivals = {shift.arrival for shift in within}
    possible = frozenset(range(len(plan.passage.measures))) if at_home else bars_away(plan)
    away = possible - {plan.event(note.event).measure for note in plan.unheld}
    for index, event in enumerate(plan.passage.events):
        if measures[0] <= event.measure <= measures[1] and event.measure in away:
            begins = index == 0 or _bar_of(plan, index - 1) != event.measure
            asked = 2 * (index in arrivals) + 2 * stretched(plan, index)
            asked += 0 if begins else (crossing_at(plan, index) > 0) + 2 * hops(plan, index)
            notes[event.measure] = notes.get(event.measure, 0) + 1
            efforts[event.measure] = efforts.get(event.measure, 0.0) + asked
            seconds[event.measure] = seconds.get(event.measure, 0.0) + event.seconds
    ranked = sorted(efforts, key=lambda bar: (-efforts[bar] / max(seconds[bar], _SECONDS), bar))
    least = 1 if at_home else HARD
    ranked = [bar for bar in ranked if efforts[bar] >= least and notes[bar] >= FEWEST_NOTES]
    if not ranked:
        return None
    bars = bars_of_plan(excerpt_plan(plan, (ranked[0], ranked[0])))
    places = [note.position for bar in bars for note in bar.notes if note.tones and not note.is_open]
    text = english("Round and round, slowly, without a stop; then let the hand hang and shake it out.")
    # Going around would hide a shift from the end of the bar to its beginning.
    comes_back = len({*places[:1], *places[-1:]}) < _TWO_PLACES
    if not comes_back:
        text = english("Four times, slowly, with a breath before each; then let the hand hang and shake it out.")
    label = bar_number(plan.passage, ranked[0])
    title = english("The hardest bar: bar {number}", number=label)
    if at_home:
        title = english("A hard bar: bar {number}", number=label)
    return Exercise(title, text, bars, reading_tempo(plan, (ranked[0], ranked[0])), is_repeated=comes_back)


def _bar_of(plan: Plan, event: int) -> int:
    return plan.event(event).measure


def in_new_position(plan: Plan, measures: tuple[int, int]) -> Exercise:
    """The passage as planned, every finger printed."""
    bars = bars_of_plan(excerpt_plan(plan, measures))
    title = english("Every finger, {bars}", bars=bars_named(plan, measures))
    places = {note.position for bar in bars for note in bar.notes if note.position is not None and not note.is_open}
    text = english("Slowly; between shifts the hand is quiet.")
    if len(places) < _TWO_PLACES:
        text = english("Slowly; the hand stays in its place.")
    tempo = reading_tempo(plan, measures)
    return Exercise(title, joined((text, _bow_line(bars, tempo))), bars, tempo)


def _bow_line(bars: Sequence[Bar], tempo: float) -> Text:
    """Return the advice to take more bows, if one would last too long at a tempo in quarter notes a minute."""
    longest = {True: Fraction(0), False: Fraction(0)}
    here, is_slurred = Fraction(0), False
    for note in (note for bar in bars for note in bar.notes if not note.is_small):
        here, is_slurred = here + note.beats, is_slurred or note.bowed_on
        if not note.is_rest:
            longest[is_slurred] = max(longest[is_slurred], here)
        if not (note.bowed_on or note.tied):
            here, is_slurred = Fraction(0), False
    if float(longest[True]) * 60 / tempo > LONGEST_BOW:
        return english("At a slow tempo, change the bow within the long slurs.")
    if float(longest[False]) * 60 / tempo > LONGEST_BOW:
        return english("At a slow tempo, change the bow within the long notes.")
    return Text()


def in_context(plan: Plan, measures: tuple[int, int], fingers: Fingers) -> Exercise:
    """The passage with the bars around it, from slow to the tempo of the piece."""
    bars = bars_of_plan(excerpt_plan(plan, measures), fingers, expressive=True)
    title = english("In the piece, {bars}", bars=bars_named(plan, measures))
    full, slowest = tempo_at(plan.passage, measures[0]), slow_enough(plan, measures)
    counted = counted_value(plan.passage.measures[measures[0]].time_signature, full, slowest)
    own_mark = any(abs(mark - full) < _SAME_TEMPO for mark in plan.passage.metronome_marks)
    steps = tempo_steps(full / float(counted), own_mark, slowest / float(counted))
    text = english("Go on to the next tempo when it is in tune three times.")
    if len(steps) > 1:
        text = joined((tempos_line(counted, steps), text))
    else:
        text = english("The piece is slow: this is its tempo.")
        if slowest > PACES[-2] * full and steps[0] > SLOWEST:
            text = english("The notes are long: begin at the tempo of the piece.")
    text = joined((text, _bow_line(bars, float(steps[0] * counted))))
    essential = fingers is not Fingers.ALL
    return Exercise(
        title, text, bars, float(steps[0] * counted), True, is_essential=essential, steps=steps, counted=counted
    )


def counted_value(meter: Meter, tempo: float, slowest: float = 0.0) -> Fraction:
    """Return what a metronome counts at a tempo (in quarter notes a minute), in quarter notes.

    The beat, as long as a slow tempo to begin with (not below `slowest`) is still on the metronome; else a part of it.
    """
    values = [value for value in counted_values(meter) if value in _NAMED] or [Fraction(1)]
    first = max(PACES[1] * tempo, slowest)
    marked = (value for value in values if first / float(value) >= SLOWEST - _NEARLY)
    return next(marked, values[-1])


_NAMED = frozenset({Fraction(2), Fraction(3, 2), Fraction(1), Fraction(3, 4), Fraction(1, 2), Fraction(1, 4)})
"""The note values that `tempos_line` has a sentence for."""


def tempos_line(counted: Fraction, steps: Sequence[int]) -> Text:
    """Return the steps of a tempo in words: `Half notes at 44, 52, 60`."""
    tempos = joined(map(str, steps), ", ")
    if counted == Fraction(2):
        return english("Half notes at {tempos}.", tempos=tempos)
    if counted == Fraction(3, 2):
        return english("Dotted quarter notes at {tempos}.", tempos=tempos)
    if counted == Fraction(3, 4):
        return english("Dotted eighth notes at {tempos}.", tempos=tempos)
    if counted == Fraction(1, 2):
        return english("Eighth notes at {tempos}.", tempos=tempos)
    if counted == Fraction(1, 4):
        return english("Sixteenth notes at {tempos}.", tempos=tempos)
    return english("Quarter notes at {tempos}.", tempos=tempos)


def reading_tempo(plan: Plan, measures: tuple[int, int]) -> float:
    """Return a slow tempo for some bars, in quarter notes a minute: half that of the piece, and no note too quick.

    Where half the tempo would be slower than any note needs it is quicker (see `slow_enough`).
    """
    half = max(PACES[0] * tempo_at(plan.passage, measures[0]), slow_enough(plan, measures))
    slow = min(SLOW_READING, half, float(_quickest(plan, measures)) * 60 / _SHORTEST)
    return max(slow, SLOWEST_READING)


def slow_enough(plan: Plan, measures: tuple[int, int]) -> float:
    """Return the tempo of some bars, in quarter notes a minute, below which slowness helps no finger.

    It is that of the piece, or the one at which the quickest note lasts `_LONG_ENOUGH`.
    """
    return min(tempo_at(plan.passage, measures[0]), float(_quickest(plan, measures)) * 60 / _LONG_ENOUGH)


def _quickest(plan: Plan, measures: tuple[int, int]) -> Fraction:
    inside = [event for event in plan.passage.events if measures[0] <= event.measure <= measures[1]]
    return min((event.beats for event in inside if event.beats > 0 and not event.grace), default=Fraction(1))


def bars_away(plan: Plan) -> frozenset[int]:
    """Return the bars (by index) in which a finger is down away from first position."""
    return frozenset(
        plan.event(fingered.event).measure
        for fingered in plan.fingered_notes
        if fingered.position is not None and fingered.position != HOME_POSITION
    )


def _lowered(event: Event, letters: int) -> Event:
    """The event with its upper note, which can be sung, lower by whole octaves and free of printed fingers."""
    notes = tuple(
        replace(
            note,
            pitch=Pitch(note.pitch.letter - letters, note.pitch.alter),
            printed=NOTHING_PRINTED,
            ad_libitum=False,
        )
        for note in sorted(event.notes, key=lambda note: note.pitch.midi)[-1:]
    )
    return replace(event, notes=notes)


__all__ = [
    "bars_away",
    "bars_named",
    "grown",
    "hardest_bar",
    "how_it_sounds",
    "in_context",
    "in_new_position",
    "reading_tempo",
]
