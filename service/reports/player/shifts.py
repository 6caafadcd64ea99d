"""How each shift is made: where, when, on which finger, and on which note the hand arrives."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import takewhile

from rules import (
    HOME_POSITION,
    WHOLE_TONE,
    Alternative,
    Between,
    Excursion,
    Instrument,
    Plan,
    Shift,
    Stop,
    is_stretched,
)

from ...messages.message import Wording, sentence
from ...messages.music_words import (
    finger_words,
    open_string_words,
    place_words,
    position_words,
    string_words,
)
from ...messages.player import excursions

JUST = 4
"""Notes before a shift among which a finger has just played."""
TIME_TO_PUT_DOWN = 0.25
"""Seconds of a note in which another finger can be put down behind the one that plays."""


def shift_sentences(wording: Wording, plan: Plan, excursion: Excursion) -> list[str]:
    """Return where the hand goes, step by step; a start away from first position and an end there are told as well."""
    return with_both_ends(
        wording, plan, excursion, [shift_sentence(wording, plan, shift) for shift in excursion.shifts]
    )


def with_both_ends(wording: Wording, plan: Plan, excursion: Excursion, shifts: Sequence[str]) -> list[str]:
    """Return the sentences about the shifts, and before and behind them what is told of the two ends."""
    steps = list(shifts)
    if all(shift.arrival != excursion.first for shift in excursion.shifts):
        begin = next(index for index in excursion.events if (grip := plan.grip(index)) and not grip.is_open)
        said = wording.say(
            excursions.BEGIN,
            where=place_words(wording, plan, begin),
            position=position_words(wording, excursion.positions[0]),
            notes=played_notes(wording, plan, begin),
        )
        steps.insert(0, sentence(said))
    if plan.ends_with(excursion) and None not in plan.grips[excursion.last + 1 :]:
        position = position_words(wording, excursion.positions[-1])
        steps.append(sentence(wording.say(excursions.STAY_TO_THE_END, position=position)))
    return steps


def shift_sentence(wording: Wording, plan: Plan, shift: Shift) -> str:
    """Return how one shift is made."""
    between = plan.between(shift.departure, shift.arrival)
    is_free = between.rest is not None or bool(between.left_out)
    if not is_free and (kept := _kept_finger(wording, plan, shift)):
        return kept
    down = excursions.SHIFT_BACK if shift.goal == HOME_POSITION else excursions.SHIFT_DOWN
    notes = played_notes(wording, plan, shift.arrival)
    if not is_free and _sounds_alike(plan, shift):
        notes = wording.say(excursions.SAME_SOUND, notes=notes)
    return sentence(
        wording.say(
            excursions.SHIFT_UP if shift.goal > shift.start else down,
            where=place_words(wording, plan, shift.arrival),
            position=position_words(wording, shift.goal),
            how=_how(wording, plan, shift, between),
            notes=notes,
        )
    )


def _kept_finger(wording: Wording, plan: Plan, shift: Shift) -> str:
    """What is said where a finger stays in its place, and only the position by its letters is another; else nothing."""
    start, goal = shift.guide_start, shift.guide_pitch
    if shift.guide is None or start is None or goal is None or start.midi != goal.midi:
        return ""
    return sentence(
        wording.say(
            excursions.KEEP_FINGER,
            where=place_words(wording, plan, shift.arrival),
            finger=finger_words(wording, shift.guide),
            note=wording.note(goal),
            position=position_words(wording, shift.goal),
            notes=played_notes(wording, plan, shift.arrival),
        )
    )


def _sounds_alike(plan: Plan, shift: Shift) -> bool:
    """Whether the hand moves on one note, however it is written before and after; an open string parts two notes."""
    if shift.arrival - shift.departure > 1:
        return False
    before, after = (plan.event(index).pitches for index in (shift.departure, shift.arrival))
    return len(before) == len(after) == 1 and before[0].midi == after[0].midi


def _how(wording: Wording, plan: Plan, shift: Shift, between: Between) -> str:
    """From where and when the hand moves; where a rest or notes that are left out free it, only when."""
    if between.rest is not None:
        return _in_a_rest(wording, plan, shift, between)
    last = shift.arrival - 1
    if last in between.left_out:
        following = takewhile(lambda event: event in between.left_out, range(last, shift.departure, -1))
        return wording.say(excursions.AFTER_LEFT_OUT, len(list(following)))
    if last in between.open_strings:
        manner = wording.say(excursions.OVER_OPEN, open_string=_open_string(wording, plan, last))
        if between.left_out:
            return manner
    else:
        manner = _manner(wording, plan, shift)
    left = played_notes(wording, plan, shift.departure, with_open=False)
    if plan.event(shift.departure).grace:
        left = wording.say(excursions.GRACE_NOTE, len(plan.event(shift.departure).notes), notes=left)
    how = wording.say(excursions.FROM, notes=left, how=manner)
    return wording.say(excursions.WITHIN_SLUR, how=how) if shift.slurred else how


def _in_a_rest(wording: Wording, plan: Plan, shift: Shift, between: Between) -> str:
    """In the rest just before the arrival, or before what stands between the rest and the arrival."""
    if between.rest == shift.arrival:
        return _in_the_rest_before(wording, plan, shift.arrival)
    if between.rest in between.open_strings:
        return wording.say(
            excursions.IN_THE_REST_BEFORE_OPEN,
            open_string=_open_string(wording, plan, between.rest),
            where=place_words(wording, plan, between.rest),
        )
    return wording.say(excursions.IN_THE_REST_BEFORE_LEFT_OUT, len(between.left_out))


def _in_the_rest_before(wording: Wording, plan: Plan, event: int) -> str:
    """In the rest before an event; whole bars of rest are counted."""
    before, arrival = plan.event(event - 1), plan.event(event)
    ends = before.onset + before.beats
    empty = sum(measure.onset >= ends for measure in plan.passage.measures[before.measure : arrival.measure])
    return wording.say(excursions.IN_BARS_OF_REST, empty) if empty else wording.say(excursions.IN_THE_REST)


def _manner(wording: Wording, plan: Plan, shift: Shift) -> str:
    """On which finger the hand moves, or with which one as guide; else with a light hand, or at the change of bow."""
    if guide := _guide(wording, plan, shift):
        return guide
    if shift.slurred:
        return wording.say(excursions.LIGHTLY)
    return wording.say(excursions.AT_BOW_CHANGE)


def _guide(wording: Wording, plan: Plan, shift: Shift) -> str:
    """The finger that leads, from where to where, as far as these are not the notes that are played.

    None leads to a string further away than the next one.
    """
    if shift.guide is None or shift.guide_start is None or shift.guide_pitch is None or not _is_beside(plan, shift):
        return ""
    softly = wording.say(excursions.QUICKLY if shift.slurred else excursions.SILENTLY)
    finger = finger_words(wording, shift.guide)
    start, goal = wording.note(shift.guide_start), wording.note(shift.guide_pitch)
    begins, lands = (_stops_guide(plan, shift, event) for event in (shift.departure, shift.arrival))
    if begins and lands:
        return wording.say(excursions.ON_SAME_FINGER, finger=finger)
    if not begins and not _is_down(plan, shift):
        if plan.event(shift.departure).seconds < TIME_TO_PUT_DOWN:
            return ""
        message = excursions.PUT_DOWN_LANDS if lands else excursions.PUT_DOWN_GUIDE
    elif lands:
        message = excursions.GUIDE_LANDS
    else:
        message = excursions.WITH_GUIDE if begins else excursions.WITH_OTHER_GUIDE
    return wording.say(message, finger=finger, start=start, note=goal, softly=softly)


def _is_down(plan: Plan, shift: Shift) -> bool:
    """Whether the guide finger has just played where it stands, or lies there under the next finger, a step below it.

    Common practice: fingers stay down, and the one below the finger that plays is on the string or close to it.
    """
    assert shift.guide is not None
    assert shift.guide_start is not None
    departure, instrument = plan.grip(shift.departure), plan.passage.instrument
    for stop in departure.stops if departure else ():
        step = stop.pitch(instrument).midi - shift.guide_start.midi
        if (stop.finger, stop.string) == (shift.guide + 1, shift.guide_string) and 0 < step <= WHOLE_TONE:
            return True
    for index in range(shift.departure - 1, max(shift.departure - JUST, 0) - 1, -1):
        grip = plan.grip(index)
        if grip is not None and not grip.is_open and grip.position != shift.start:
            return False
        for stop in grip.stops if grip else ():
            if (stop.finger, stop.string) == (shift.guide, shift.guide_string):
                return stop.pitch(instrument).midi == shift.guide_start.midi
    return False


def _is_beside(plan: Plan, shift: Shift) -> bool:
    """Whether the hand arrives on the string of the guide finger or on the next one."""
    grip = plan.grip(shift.arrival)
    strings = [stop.string for stop in grip.stops if not stop.is_open] if grip else []
    return any(abs(string - (shift.guide_string or string)) <= 1 for string in strings)


def _stops_guide(plan: Plan, shift: Shift, event: int) -> bool:
    """Whether the guide finger plays one of the notes from which the hand leaves, or on which it arrives."""
    grip = plan.grip(event)
    return grip is not None and any(
        (stop.finger, stop.string) == (shift.guide, shift.guide_string) for stop in grip.stops
    )


def _open_string(wording: Wording, plan: Plan, event: int) -> str:
    """The open string that sounds at an event, of several the highest."""
    grip = plan.grip(event)
    assert grip is not None, "an open string sounds"
    return open_string_words(wording, plan.passage.instrument, grip.stops[-1].string)


def played_notes(
    wording: Wording, plan: Plan, event: int, other: Alternative | None = None, *, with_open: bool = True
) -> str:
    """Return every note of an event with its finger and string, as planned or in another way; a stretch is told.

    First comes what the hand holds, then open strings if asked for.
    """
    struck, grip = plan.event(event).notes, plan.grip(event)
    stops = other.stops if other else {note.id: plan.by_note[note.id].stop for note in struck}
    notes = [(note, stop) for note in struck if (stop := stops.get(note.id)) is not None]
    position = other.position_at(event) if other else grip.position if grip else HOME_POSITION
    told = sorted((each for each in notes if with_open or not each[1].is_open), key=lambda each: each[1].is_open)
    return wording.all_of(
        [_landing(wording, plan.passage.instrument, wording.note(note.pitch), stop, position) for note, stop in told]
    )


def _landing(wording: Wording, instrument: Instrument, note: str, stop: Stop, position: int) -> str:
    if stop.is_open:
        return wording.say(excursions.OPEN_NOTE, open_string=open_string_words(wording, instrument, stop.string))
    finger, string = finger_words(wording, stop.finger), string_words(wording, instrument, stop.string)
    message = excursions.STOPPED_NOTE
    if is_stretched(stop, position):
        message = excursions.STRETCHED_BACK_NOTE if stop.finger == 1 else excursions.STRETCHED_NOTE
    return wording.say(message, note=note, finger=finger, string=string)
