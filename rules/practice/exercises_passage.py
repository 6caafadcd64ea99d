"""The music itself as practice: a passage in first position, in the new position, and in context.

What belongs here: cutting bars out of a plan and writing them with its stops.
What does not: drills (see `exercises_shift`).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction

from ..hand.level import FIRST
from ..music.instrument import Pitch
from ..music.passage import NOTHING_PRINTED, Event, Passage
from ..plan.plan import Plan
from ..plan.printing import PrintedNote, printed_plan
from ..search.planner import cheapest_route
from .barring import bar_length, bars_of, beat_length, can_be_written, on_grid
from .sheet import Bar, Exercise, SheetNote, Tone

LONGEST_PASSAGE = 4
"""Bars of one passage; more at once is no longer practice of a shift."""
AROUND = 2
"""Bars of context on either side."""
PACES = (0.6, 0.8, 1.0)
SLOW_READING = 60.0


def passage_bars(plan: Plan, departure: int, arrival: int) -> tuple[int, int]:
    """Return the first and last measure of the passage in the position reached, with the bar that leads to it."""
    span = next(span for span in plan.spans if span.first <= arrival <= span.last)
    first = max(plan.event(departure).measure, plan.event(arrival).measure - 1)
    return first, min(plan.event(span.last).measure, first + LONGEST_PASSAGE - 1)


def how_it_sounds(plan: Plan, measures: tuple[int, int]) -> Exercise | None:
    """The passage in first position, or an octave lower; None if neither lies there without stretching."""
    passage = excerpt(plan.passage, measures)
    for lowered in (0, 1):
        lower = replace(passage, events=tuple(_lowered(event, 7 * lowered) for event in passage.events))
        route = cheapest_route(lower, FIRST)
        grips = [route.grip(index) for index in range(len(lower.events))]
        reached = all(not (option.beyond or option.dropped) for option in route.options)
        if not lower.events or not reached or any(grip is None or grip.excess for grip in grips):
            continue
        text = "Played in first" + (
            ", an octave lower: the notes themselves are out of reach there." if lowered else "."
        )
        bars = bars_of_plan(Plan(lower, FIRST, route))
        return Exercise("How it sounds", f"{text} Play it until you can sing it.", bars, SLOW_READING)
    return None


def in_new_position(plan: Plan, measures: tuple[int, int]) -> Exercise:
    """The passage as planned, every finger printed."""
    text = "The same notes; between shifts the hand is quiet."
    bars = bars_of_plan(plan, measures)
    return Exercise("The passage in the new position", text, bars, SLOW_READING)


def in_context(plan: Plan, measures: tuple[int, int]) -> Exercise:
    """The passage with the bars around it, essential fingers only, from slow to the tempo of the piece."""
    around = (max(measures[0] - AROUND, 0), min(measures[1] + AROUND, len(plan.passage.measures) - 1))
    full = tempo_at(plan.passage, measures[0])
    dotted = beat_length(plan.passage.measures[measures[0]].time_signature) == Fraction(3, 2)
    paces = [full * pace for pace in PACES]
    slow, middle, whole = (round(pace * 2 / 3 if dotted else pace) for pace in paces)
    beat = "Dotted quarter notes" if dotted else "Quarter notes"
    labels = [plan.passage.measures[index].label for index in around]
    text = (
        f"Bars {labels[0]} to {labels[1]}. {beat} at {slow}, {middle}, {whole}; go on when it is in tune three times."
    )
    bars = bars_of_plan(plan, around, essential=True)
    return Exercise("In context", text, bars, float(round(paces[0])), show_tempo=True, is_essential=True)


def bars_of_plan(plan: Plan, measures: tuple[int, int] | None = None, essential: bool = False) -> tuple[Bar, ...]:
    """Return measures of a plan with its stops, in one voice; measures that are not full are filled with rests.

    With `essential` only the fingers and strings are shown that a player cannot know.
    """
    first, last = measures or (0, len(plan.passage.measures) - 1)
    found: list[Bar] = []
    notes = _stream(plan, first, last, essential)
    for index in range(first, last + 1):
        measure = plan.passage.measures[index]
        here, notes = _cut(notes, measure.beats)
        missing = -measure.beats % bar_length(measure.time_signature)
        if missing:
            # A pick-up is led in by rests, any other short bar filled up.
            silence = SheetNote((), missing)
            here = [silence, *here] if index == first else [*here, silence]
        if not can_be_written(here, measure.time_signature):
            here = on_grid(here)
        found.extend(bars_of(here, measure.time_signature, measure.fifths))
    return tuple(found)


def _stream(plan: Plan, first: int, last: int, essential: bool) -> list[SheetNote]:
    """Everything from the first bar line to the last as one voice without gaps."""
    shown = {found.fingered.note.id: found for found in printed_plan(plan).notes} if essential else None
    start = plan.passage.measures[first].onset
    end = plan.passage.measures[last].onset + plan.passage.measures[last].beats
    events = [index for index, event in enumerate(plan.passage.events) if start <= event.onset < end]
    notes: list[SheetNote] = []
    place = start
    for spot, index in enumerate(events):
        event = plan.event(index)
        if event.onset > place:
            notes.append(SheetNote((), event.onset - place))
            place = event.onset
        if event.grace:
            notes.append(replace(_sheet_note(plan, index, shown), beats=Fraction(0)))
            continue
        following = next((i for i in events[spot + 1 :] if not plan.event(i).grace), None)
        until = end if following is None else plan.event(following).onset
        until = min(until, event.onset + event.beats)
        bound = following is not None and plan.event(following).slurred and until == plan.event(following).onset
        if until > place:
            notes.append(replace(_sheet_note(plan, index, shown), beats=until - place, bowed_on=bound))
        place = until
    if place < end:
        notes.append(SheetNote((), end - place))
    return notes


def _cut(notes: list[SheetNote], beats: Fraction) -> tuple[list[SheetNote], list[SheetNote]]:
    """What lies within the first `beats`, and what is left; a note over the edge is tied."""
    here: list[SheetNote] = []
    left = beats
    for index, note in enumerate(notes):
        if note.beats > left:
            if left > 0:
                here.append(replace(note, beats=left, tied=not note.is_rest))
            return here, [replace(note, beats=note.beats - left), *notes[index + 1 :]]
        if left == 0:
            return here, notes[index:]
        here.append(note)
        left -= note.beats
    return here, []


def _sheet_note(plan: Plan, index: int, shown: Mapping[str, PrintedNote] | None) -> SheetNote:
    """One event as it is played; without `shown` every finger is printed."""
    tones = []
    position = None
    for note in sorted(plan.event(index).notes, key=lambda note: note.pitch.midi):
        stop = plan.by_note[note.id].stop
        if stop is None:
            tones.append(Tone(note.pitch))
            continue
        grip = plan.grip(index)
        position = grip.position if grip else None
        explained = shown.get(note.id) if shown is not None else None
        tones.append(
            Tone(
                note.pitch,
                stop.finger,
                stop.string,
                show_finger=shown is None or (explained is not None and explained.finger is not None),
                show_string=explained is not None and explained.string is not None,
            )
        )
    return SheetNote(tuple(tones), plan.event(index).beats, position)


def excerpt(passage: Passage, measures: tuple[int, int]) -> Passage:
    """Return some measures as a passage of their own; a note held over from before is left out."""
    events = tuple(event for event in passage.events if measures[0] <= event.measure <= measures[1])
    start = passage.measures[measures[0]].onset
    return replace(
        passage,
        events=tuple(
            replace(event, onset=event.onset - start, measure=event.measure - measures[0], held=(), jump=None,
                    string=None, position=None, slurred=event.slurred and index > 0)
            for index, event in enumerate(events)
        ),
        measures=tuple(
            replace(measure, onset=measure.onset - start) for measure in passage.measures[measures[0] : measures[1] + 1]
        ),
    )  # fmt: skip


def _lowered(event: Event, letters: int) -> Event:
    """The event with its notes lower by whole octaves, free of printed fingers."""
    notes = tuple(
        replace(note, pitch=Pitch(note.pitch.letter - letters, note.pitch.alter), printed=NOTHING_PRINTED)
        for note in event.notes
    )
    return replace(event, notes=notes)


def tempo_at(passage: Passage, measure: int) -> float:
    """Return the tempo in a measure, in quarter notes a minute, as its notes last; the part's own where none tells."""
    for event in passage.events:
        if event.measure == measure and not event.grace and event.beats > 0 and event.seconds > 0:
            return min(max(float(event.beats) * 60 / event.seconds, 20.0), 300.0)
    return passage.quarter_tempo


__all__ = ["bars_of_plan", "excerpt", "how_it_sounds", "in_context", "in_new_position", "passage_bars", "tempo_at"]
