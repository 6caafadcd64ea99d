"""How each shift is made: where, when, on which finger, and on which note the hand arrives."""

from __future__ import annotations

from collections.abc import Sequence

from rules import HOME_POSITION, Excursion, Instrument, Plan, Shift, ShiftKind, Stop

from ...messages.message import Wording, sentence
from ...messages.music_words import (
    finger_words,
    open_string_words,
    place_words,
    position_words,
    string_words,
)
from ...messages.player import excursions


def shift_sentences(wording: Wording, plan: Plan, excursion: Excursion) -> list[str]:
    """Return where the hand goes, step by step; a start away from first position and an end there are told as well."""
    return with_both_ends(
        wording, plan, excursion, [shift_sentence(wording, plan, shift) for shift in excursion.shifts]
    )


def with_both_ends(wording: Wording, plan: Plan, excursion: Excursion, shifts: Sequence[str]) -> list[str]:
    """Return the sentences about the shifts, and before and behind them what is told of the two ends."""
    steps = list(shifts)
    grip = plan.grip(excursion.first)
    if grip is not None and all(shift.arrival != excursion.first for shift in excursion.shifts):
        begin = wording.say(
            excursions.BEGIN,
            where=place_words(wording, plan, excursion.first),
            position=position_words(wording, grip.position),
            notes=_played_notes(wording, plan, excursion.first),
        )
        steps.insert(0, sentence(begin))
    if all(grip is None or grip.is_open for grip in plan.grips[excursion.last + 1 :]):
        position = position_words(wording, excursion.positions[-1])
        steps.append(sentence(wording.say(excursions.STAY_TO_THE_END, position=position)))
    return steps


def shift_sentence(wording: Wording, plan: Plan, shift: Shift) -> str:
    """Return how one shift is made."""
    down = excursions.SHIFT_BACK if shift.goal == HOME_POSITION else excursions.SHIFT_DOWN
    return sentence(
        wording.say(
            excursions.SHIFT_UP if shift.goal > shift.start else down,
            where=place_words(wording, plan, shift.arrival),
            position=position_words(wording, shift.goal),
            how=_how(wording, plan, shift),
            notes=_played_notes(wording, plan, shift.arrival),
        )
    )


def _how(wording: Wording, plan: Plan, shift: Shift) -> str:
    how = _manner(wording, plan, shift)
    if shift.kind is ShiftKind.REST:
        return how
    how = wording.say(excursions.FROM, notes=_played_notes(wording, plan, shift.departure, with_open=False), how=how)
    if shift.slurred and shift.kind is not ShiftKind.SLUR:
        return wording.say(excursions.WITHIN_SLUR, how=how)
    return how


def _manner(wording: Wording, plan: Plan, shift: Shift) -> str:
    if shift.kind is ShiftKind.REST:
        return wording.say(excursions.IN_THE_REST)
    if shift.kind is ShiftKind.OPEN_STRING:
        return wording.say(excursions.OVER_OPEN, open_string=_open_string(wording, plan, shift))
    if shift.kind is ShiftKind.BOW_CHANGE or shift.guide is None:
        return wording.say(excursions.UNDER_SLUR if shift.kind is ShiftKind.SLUR else excursions.AT_BOW_CHANGE)
    if shift.guide == shift.finger or shift.guide_pitch is None or _lands_on_guide(plan, shift):
        stays = excursions.ON_SAME_FINGER if _begins_on_guide(plan, shift) else excursions.GUIDE_LANDS
        return wording.say(stays, finger=finger_words(wording, shift.guide))
    return wording.say(
        excursions.WITH_GUIDE, finger=finger_words(wording, shift.guide), note=wording.note(shift.guide_pitch)
    )


def _begins_on_guide(plan: Plan, shift: Shift) -> bool:
    """Whether the guide finger plays the note from which the hand leaves, or one of its notes."""
    return _stops_guide(plan, shift, shift.departure)


def _lands_on_guide(plan: Plan, shift: Shift) -> bool:
    """Whether the guide finger itself plays a note of the double stop on which the hand arrives."""
    return _stops_guide(plan, shift, shift.arrival)


def _stops_guide(plan: Plan, shift: Shift, event: int) -> bool:
    grip = plan.grip(event)
    return grip is not None and any(
        (stop.finger, stop.string) == (shift.guide, shift.guide_string) for stop in grip.stops
    )


def _open_string(wording: Wording, plan: Plan, shift: Shift) -> str:
    """The last open string that sounds before the arrival."""
    for index in range(shift.arrival - 1, shift.departure, -1):
        grip = plan.grip(index)
        if grip is not None and grip.is_open:
            return open_string_words(wording, plan.passage.instrument, grip.stops[-1].string)
    return finger_words(wording, 0)


def _played_notes(wording: Wording, plan: Plan, event: int, *, with_open: bool = True) -> str:
    """Every note of an event with its finger and string: first what the hand holds, then open strings if asked for."""
    notes = [(note, stop) for note in plan.event(event).notes if (stop := plan.by_note[note.id].stop) is not None]
    told = sorted((each for each in notes if with_open or not each[1].is_open), key=lambda each: each[1].is_open)
    return wording.all_of(
        [_landing(wording, plan.passage.instrument, wording.note(note.pitch), stop) for note, stop in told]
    )


def _landing(wording: Wording, instrument: Instrument, note: str, stop: Stop) -> str:
    if stop.is_open:
        return wording.say(excursions.OPEN_NOTE, open_string=open_string_words(wording, instrument, stop.string))
    finger, string = finger_words(wording, stop.finger), string_words(wording, instrument, stop.string)
    return wording.say(excursions.STOPPED_NOTE, note=note, finger=finger, string=string)
