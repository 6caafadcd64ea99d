"""What was asked for and cannot be played so: why not, and what is planned instead."""

from __future__ import annotations

from rules import Constraint, ConstraintViolation, Instrument, Plan, ViolationCause

from ...messages.message import Wording
from ...messages.music_words import finger_words, position_words, stop_words, string_words
from ...messages.player import overview


def violation_sentence(wording: Wording, plan: Plan, violation: ConstraintViolation) -> str:
    """Return "you or the part ask for the A string, but E is not found there. Planned: …"."""
    fingered, instrument = plan.by_note[violation.note], plan.passage.instrument
    taken = wording.say(overview.LEFT_OUT)
    if fingered.stop is not None:
        taken = stop_words(wording, instrument, fingered.stop)
    asked = _asked(wording, instrument, violation.constraint)
    return wording.say(overview.UNMET, asked=asked, cause=_cause(wording, plan, violation), taken=taken)


def _asked(wording: Wording, instrument: Instrument, constraint: Constraint) -> str:
    pieces = []
    if constraint.fingers is not None:
        fingers = [finger_words(wording, finger) for finger in sorted(constraint.fingers)]
        pieces.append(wording.say(overview.THE, what=wording.any_of(fingers)))
    if constraint.strings is not None:
        strings = [string_words(wording, instrument, string) for string in sorted(constraint.strings)]
        pieces.append(wording.say(overview.THE, what=wording.any_of(strings)))
    if constraint.positions is not None:
        pieces.append(wording.any_of([position_words(wording, each) for each in sorted(constraint.positions)]))
    if constraint.stay:
        pieces.append(wording.say(overview.ASKED_STAY))
    return wording.all_of(pieces) or wording.say(overview.ASKED_NOTE)


def _cause(wording: Wording, plan: Plan, violation: ConstraintViolation) -> str:
    note = wording.note(plan.by_note[violation.note].note.pitch)
    if violation.cause is ViolationCause.NO_NOTE:
        return wording.say(overview.NO_NOTE, note=note)
    if violation.cause is ViolationCause.NO_STOP:
        return wording.say(overview.NO_STOP, note=note)
    if violation.cause is ViolationCause.AT_ODDS:
        return wording.say(overview.AT_ODDS, note=note)
    if violation.cause is ViolationCause.CHORD:
        others = wording.all_of([wording.note(plan.by_note[other].note.pitch) for other in violation.against])
        return wording.say(overview.NOT_WITH, others=others)
    return wording.say(overview.OTHER_DECISIONS)
