"""Bars of the piece as they are practised: cut out of a plan, written with its stops in one voice."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from ..music.expression import Expression, Sign
from ..music.metre import bar_length, beat_length
from ..music.passage import Event, Measure, Passage, Technique
from ..plan.plan import Plan
from ..plan.printing import Fingers, PrintedNote, printed_plan
from ..search.planner import Route
from .barring import bars_of, can_be_written, on_grid
from .sheet import Bar, SheetNote, Tone

LONG_ENOUGH_TO_SWELL = 1
"""Quarter notes of a single note that has a hairpin; a shorter one has no room for it."""


def excerpt_plan(plan: Plan, measures: tuple[int, int]) -> Plan:
    """Return some measures of a plan as a plan of their own; a note held over from before is left out."""
    passage = plan.passage
    inside = [index for index, event in enumerate(passage.events) if measures[0] <= event.measure <= measures[1]]
    options = tuple(plan.route.options[index] for index in inside)
    chosen = tuple(plan.route.chosen[index] for index in inside)
    return Plan(excerpt(passage, measures), plan.level, Route(options, chosen, 0.0))


def bars_of_plan(plan: Plan, fingers: Fingers = Fingers.ALL, *, expressive: bool = False) -> tuple[Bar, ...]:
    """Return the measures of a plan with its stops, in one voice; measures that are not full are filled with rests.

    Two short measures that a repeat sign or a double bar line cuts out of one bar are one bar again. Each bar carries
    the number that it has in the piece. If it is `expressive` it has signs and dynamics as they stand in the piece.
    """
    found: list[Bar] = []
    notes = _stream(plan, fingers)
    notes = _with_expression(notes, plan.passage) if expressive else [replace(note, signs=()) for note in notes]
    measures = _whole_again(plan.passage.measures)
    for index, measure in enumerate(measures):
        here, notes = _cut(notes, measure.beats)
        missing = -measure.beats % bar_length(measure.time_signature)
        if missing:
            # A pick-up is led in by rests, any other short bar filled up.
            silence = [SheetNote((), missing)]
            here = silence + here if index == 0 and len(measures) > 1 else _with_rest(here, missing)
        if not can_be_written(here, measure.time_signature):
            here = on_grid(here)
        bars = bars_of(here, measure.time_signature, measure.fifths)
        found.extend(replace(bar, label="" if number else measure.label) for number, bar in enumerate(bars))
    return tuple(found)


def _with_rest(notes: list[SheetNote], missing: Fraction) -> list[SheetNote]:
    """The notes and silence behind them, one rest with the one at their end."""
    if notes and notes[-1].is_rest:
        return [*notes[:-1], replace(notes[-1], beats=notes[-1].beats + missing)]
    return [*notes, SheetNote((), missing)]


def _whole_again(measures: Sequence[Measure]) -> list[Measure]:
    """The measures, two parts of one bar together under the number of the first."""
    found: list[Measure] = []
    for measure in measures:
        before = found[-1] if found else None
        whole = bar_length(measure.time_signature)
        if (
            before is not None
            and 0 < before.beats < whole
            and before.beats + measure.beats == whole
            and (before.time_signature, before.fifths) == (measure.time_signature, measure.fifths)
        ):
            found[-1] = replace(before, beats=whole)
        else:
            found.append(measure)
    return found


def in_even_notes(plan: Plan, events: Iterable[int]) -> tuple[Bar, ...]:
    """Return some events that follow each other in notes of a beat each, in the metre and key of the last.

    A rest stands where the piece has one between them; the last note is held to the bar line.
    """
    indices = list(events)
    measure = plan.passage.measures[plan.event(indices[-1]).measure]
    beat = beat_length(measure.time_signature)
    notes: list[SheetNote] = []
    for index, following in zip(indices, [*indices[1:], None], strict=True):
        event = plan.event(index)
        pauses = following is not None and event.onset + event.beats < plan.event(following).onset
        bound = following is not None and plan.event(following).slurred and not pauses
        notes.append(replace(_sheet_note(plan, index, None), beats=beat, bowed_on=bound))
        notes += [SheetNote((), beat)] if pauses else []
    return bars_of(notes, measure.time_signature, measure.fifths, fill=True)


def _stream(plan: Plan, fingers: Fingers) -> list[SheetNote]:
    """Everything from the first bar line to the last as one voice without gaps."""
    shown = None
    if fingers is not Fingers.ALL:
        shown = {found.fingered.note.id: found for found in printed_plan(plan, fingers, beside_print=False).notes}
    measures = plan.passage.measures
    start = measures[0].onset
    end = measures[-1].onset + measures[-1].beats
    events = [index for index, event in enumerate(plan.passage.events) if start <= event.onset < end]
    notes: list[SheetNote] = []
    place = sounds_until = start
    for spot, index in enumerate(events):
        event = plan.event(index)
        if event.onset > place:
            notes += _filled(notes, place, event.onset, sounds_until)
            place = event.onset
        sounds_until = max(sounds_until, event.onset + event.beats)
        if event.grace:
            bound = spot + 1 < len(events) and _is_slurred(plan, index, events[spot + 1])
            notes.append(replace(_sheet_note(plan, index, shown), beats=Fraction(0), bowed_on=bound))
            continue
        after = next((n for n in range(spot + 1, len(events)) if not plan.event(events[n]).grace), len(events))
        following = events[after] if after < len(events) else None
        until = end if following is None else plan.event(following).onset
        until = min(until, event.onset + event.beats)
        reached = following is not None and until == plan.event(following).onset
        # Small notes in between belong to the next note: a slur that begins on one of them does not begin here.
        bound = reached and all(_is_slurred(plan, index, next_one) for next_one in events[spot + 1 : after + 1])
        if until > place:
            notes.append(replace(_sheet_note(plan, index, shown), beats=until - place, bowed_on=bound))
        place = until
    if place < end:
        notes += _filled(notes, place, end, sounds_until)
    return notes


def _filled(notes: list[SheetNote], start: Fraction, end: Fraction, sounds_until: Fraction) -> Iterator[SheetNote]:
    """Yield the rest between two notes; while another voice still sounds, the last note is held on instead."""
    held = min(sounds_until, end)
    if held > start and notes and not (notes[-1].is_rest or notes[-1].is_small):
        notes[-1] = replace(notes[-1], beats=notes[-1].beats + held - start)
        start = held
    if start < end:
        yield SheetNote((), end - start)


def _is_slurred(plan: Plan, index: int, following: int) -> bool:
    """Whether a slur leads from one event to the next; none goes to or from a note that the player leaves out."""
    return plan.event(following).slurred and None not in (plan.grip(index), plan.grip(following))


def _cut(notes: list[SheetNote], beats: Fraction) -> tuple[list[SheetNote], list[SheetNote]]:
    """What lies within the first `beats`, and what is left; a note over the edge is tied."""
    here: list[SheetNote] = []
    left = beats
    for index, note in enumerate(notes):
        if note.beats > left:
            if left > 0:
                here.append(replace(note, beats=left, tied=not note.is_rest, ends_hairpin=False))
                note = note.held_on(note.beats)
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
        printed = shown.get(note.id) if shown is not None else None
        tones.append(
            Tone(
                note.pitch,
                stop.finger,
                stop.string,
                show_finger=shown is None or (printed is not None and printed.finger is not None),
                show_string=printed is not None and printed.string is not None,
                harmonic=Technique.NATURAL_HARMONIC in note.techniques,
            )
        )
    asked = any(note.ad_libitum for note in plan.event(index).notes)
    printed_signs = plan.passage.expression.signs
    signs = (sign for note in plan.event(index).notes for sign in printed_signs.get(note.id, ()))
    return SheetNote(
        tuple(tones), plan.event(index).beats, position, ad_libitum=asked, signs=tuple(dict.fromkeys(signs))
    )


def _with_expression(notes: Sequence[SheetNote], passage: Passage) -> list[SheetNote]:
    """The notes with their dynamics and hairpins; letters stand under the next note that is struck."""
    found: list[SheetNote] = []
    waiting = list(passage.expression.dynamics)
    place = Fraction(0)
    for note in notes:
        struck = not note.is_rest and not note.is_small
        reached = [letters for onset, letters in waiting if onset <= place] if struck else []
        waiting = waiting[len(reached) :]
        found.append(replace(note, dynamics=tuple(dict.fromkeys(reached[-2:])) if reached else ()))
        place += note.beats
    return _with_hairpins(found, passage.expression)


def _with_hairpins(notes: list[SheetNote], expression: Expression) -> list[SheetNote]:
    """The notes with their hairpins, one at a time, each from the first note in it to the last."""
    found = list(notes)
    onsets: list[Fraction] = []
    place = Fraction(0)
    for note in notes:
        onsets.append(place)
        place += note.beats
    free = 0
    for kind, first, last in expression.hairpins:
        inside = [
            index
            for index, (note, onset) in enumerate(zip(notes, onsets, strict=True))
            if index >= free and first <= onset < last and note.tones and not note.is_small
        ]
        if len(inside) > 1 or (inside and notes[inside[0]].beats >= LONG_ENOUGH_TO_SWELL):
            found[inside[0]] = replace(found[inside[0]], hairpin=kind)
            found[inside[-1]] = replace(found[inside[-1]], ends_hairpin=True)
            free = inside[-1] + 1
    return found


def excerpt(passage: Passage, measures: tuple[int, int]) -> Passage:
    """Return some measures as a passage of their own; a note held over from before is left out."""
    events = tuple(event for event in passage.events if measures[0] <= event.measure <= measures[1])
    start = passage.measures[measures[0]].onset
    end = passage.measures[measures[1]].onset + passage.measures[measures[1]].beats
    return replace(
        passage,
        expression=passage.expression.between(start, end),
        events=tuple(
            replace(event, onset=event.onset - start, measure=event.measure - measures[0], held=(), jump=None,
                    string=None, position=None, slurred=event.slurred and index > 0)
            for index, event in enumerate(events)
        ),
        measures=tuple(
            replace(measure, onset=measure.onset - start) for measure in passage.measures[measures[0] : measures[1] + 1]
        ),
    )  # fmt: skip


def tempo_at(passage: Passage, measure: int) -> float:
    """Return the tempo in a measure, in quarter notes a minute, as its notes last; the part's own where none tells.

    A note under a fermata tells none. Where no note of the measure tells, the next one that does is asked, or the last
    one before.
    """
    events = passage.events
    following = [index for index, event in enumerate(events) if event.measure >= measure]
    before = range(following[0] if following else len(events))
    tempos = (_tempo_of(passage, index) for index in (*following, *reversed(before)))
    return next((tempo for tempo in tempos if tempo is not None), passage.quarter_tempo)


def _tempo_of(passage: Passage, index: int) -> float | None:
    """The tempo that an event tells by how long it lasts; None if it tells none."""
    event = passage.events[index]
    if event.grace or event.seconds <= 0 or _is_under_a_fermata(passage, event):
        return None
    # A note that is held under the next ones is timed to the first of these.
    places = range(index + 1, len(passage.events))
    begun = (passage.events[place].onset for place in places if not passage.events[place].grace)
    later = next(begun, event.onset + event.beats)
    beats = min(event.beats, later - event.onset)
    return min(max(float(beats) * 60 / event.seconds, 20.0), 300.0) if beats > 0 else None


def _is_under_a_fermata(passage: Passage, event: Event) -> bool:
    return any(Sign.FERMATA in passage.expression.signs.get(note.id, ()) for note in event.notes)


__all__ = ["bars_of_plan", "excerpt", "excerpt_plan", "in_even_notes", "tempo_at"]
