"""Which of the things that a rule may have to say is said of a finding, and where the hand may go instead."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from rules import ALL, FINGERS, HOME_POSITION, REST_FOR_A_SHIFT, Flag, Plan, Technique, Text, grips_for

from ...messages.message import Wording
from ...messages.music_words import finger_words, open_string_words, string_words
from ...messages.player import choices

BEYOND = (("note-outside-level", "left-out"), ("note-outside-level", "beyond"))
LEFT_OUT_VERY_HIGH = ("note-above-compass", "left-out")
"""A note so high that it is found unusual, and that the level does not reach: only the first is a finding."""
_VERY_HIGH = ("note-above-compass", "unusual")
_TRILL = ("trill-on-fourth-finger", "trill")
_OPEN_TRILL = ("trill-on-open-string", "trill")
_AT_HALF = ("octave-at-half-the-string", "reached")
_WIDE = ("awkward-grip", "wide")
_THIRD_POSITION = 3
"""Where a long note goes instead, if the level has it: the position that is learned next after first."""
FIFTH, OCTAVE = 7, 12
"""Semitones. The fourth finger in first position takes the pitch of the next string, a fifth higher."""
_FOR_A_HARMONIC = 0.5
"""Seconds; in less, a finger that comes from a pressed note or goes to one has no time to lift."""


class Case(NamedTuple):
    """Which of the things that a rule may have to say is said, with fields of its own, and the position to go to."""

    outcome: str
    fields: Mapping[str, str] = {}
    position: int | None = None


def case_of(wording: Wording, plan: Plan, flags: Sequence[Flag]) -> Case | None:
    """Return what is said of some findings of one rule; None if nothing is to decide."""
    finding = flags[0].finding
    key = (finding.rule, finding.outcome)
    if finding.rule.startswith("held-"):
        return _held(wording, plan, finding.first)
    if key == _TRILL:
        return _trill(wording, plan, finding.first)
    if key == _OPEN_TRILL:
        return _open_trill(wording, plan, finding.first)
    if key == _AT_HALF and _moves_quickly(plan, finding.first):
        return Case("moved")
    if key == _WIDE:
        return _far_apart(wording, plan, flags[0])
    if key == _VERY_HIGH and plan.route.options[finding.first].left_out:
        return Case(LEFT_OUT_VERY_HIGH[1])
    if key in BEYOND:
        return _beyond(wording, plan, flags)
    return Case(finding.outcome)


def _beyond(wording: Wording, plan: Plan, flags: Sequence[Flag]) -> Case:
    """Notes, or a chord, that the level does not reach."""
    finding, position = flags[0].finding, min(common_positions(plan, flags))
    if not is_chord_beyond(plan, flags[0]):
        return Case(finding.outcome, position=position)
    chord = wording.all_of(list(map(wording.note, plan.event(finding.first).pitches)))
    return Case("chord" if finding.outcome == "left-out" else "chord-planned", {"chord": chord}, position)


def is_chord_beyond(plan: Plan, flag: Flag) -> bool:
    """Return whether the level has the note by itself, and lacks the chord in which it stands."""
    pitches, passage = plan.event(flag.finding.first).pitches, plan.passage
    return len(pitches) > 1 and all(grips_for((each,), passage.instrument, plan.level.positions) for each in pitches)


def common_positions(plan: Plan, flags: Sequence[Flag]) -> frozenset[int]:
    """Return the positions that have all of some notes beyond the level; of one that is planned, only where it is."""
    return frozenset[int].intersection(*(_positions(plan, flag) for flag in flags))


def _positions(plan: Plan, flag: Flag) -> frozenset[int]:
    option = plan.route.options[flag.finding.first]
    planned = flag.finding.facts["position"]
    if option.left_out:
        return _having_the_letter(plan, flag) | _reaching_the_octave(plan, flag)
    return frozenset({planned} if isinstance(planned, int) else ())


def _having_the_letter(plan: Plan, flag: Flag) -> frozenset[int]:
    """The positions in which a note is found by its letter; of a chord, all that have it."""
    pitches, instrument = plan.event(flag.finding.first).pitches, plan.passage.instrument
    grips = grips_for(pitches, instrument, ALL.positions) if len(pitches) == 1 else ()
    by_letter = frozenset(grip.position for grip in grips if grip.by_letter and not grip.is_open)
    option = plan.route.options[flag.finding.first]
    return by_letter or frozenset(grip.position for grip in option.elsewhere)


def _reaching_the_octave(plan: Plan, flag: Flag) -> frozenset[int]:
    """The position from which the fourth finger reaches half the string, if that is the note: it is in third position.

    The levels have the note so, since it rings when it is only touched.
    """
    pitches = plan.event(flag.finding.first).pitches
    grips = grips_for(pitches, plan.passage.instrument, frozenset({_THIRD_POSITION})) if len(pitches) == 1 else ()
    return frozenset(grip.position for grip in grips if grip.stops[0].semitones == OCTAVE)


def _trill(wording: Wording, plan: Plan, event: int) -> Case:
    """Where a finger is left for a trill: in the nearest position of the level, over the open string, or beyond."""
    pitches, instrument = plan.event(event).pitches, plan.passage.instrument
    if (position := _for_a_trill(plan, event, plan.level.positions)) is not None:
        return Case(_TRILL[1], position=position)
    for string in instrument.string_numbers:
        if [instrument.open_pitch(string).midi] == [pitch.midi for pitch in pitches]:
            return Case("open", {"open_string": open_string_words(wording, instrument, string)})
    position = _for_a_trill(plan, event, ALL.positions)
    return Case("only-there") if position is None else Case("beyond", position=position)


def _open_trill(wording: Wording, plan: Plan, event: int) -> Case:
    """A trill over an open string, and the nearest position of the level that has it under a finger."""
    grip, instrument = plan.grip(event), plan.passage.instrument
    string = next(stop.string for stop in grip.stops if stop.is_open) if grip else min(instrument.string_numbers)
    fields = {"open_string": open_string_words(wording, instrument, string)}
    position = _for_a_trill(plan, event, plan.level.positions)
    return Case(_OPEN_TRILL[1], fields) if position is None else Case("elsewhere", fields, position)


def _for_a_trill(plan: Plan, event: int, positions: frozenset[int]) -> int | None:
    """The nearest of some positions in which a single note lies in the hand under another finger than the fourth."""
    planned, pitches = plan.grip(event), plan.event(event).pitches
    if planned is None or len(pitches) > 1:
        return None
    grips = [grip for grip in grips_for(pitches, plan.passage.instrument, positions) if grip.plain and not grip.is_open]
    others = {grip.position for grip in grips if grip.stops[0].finger < FINGERS[-1]}
    return min(others, key=lambda position: (abs(position - planned.position), position), default=None)


def _moves_quickly(plan: Plan, event: int) -> bool:
    """Whether the finger of a short note comes from another note on its string, or goes on to one: no time to lift.

    What holds for one note of a bar holds for the same note elsewhere in it.
    """
    here = plan.event(event)
    return any(
        plan.event(index).seconds < _FOR_A_HARMONIC
        and plan.event(index).pitches == here.pitches
        and any(_is_moved(plan, before, before + 1) for before in (index - 1, index))
        for index in plan.passage.events_by_measure[here.measure]
    )


def _is_moved(plan: Plan, before: int, after: int) -> bool:
    if before < 0 or after >= len(plan.grips) or plan.event(after).rest >= _FOR_A_HARMONIC:
        return False
    grips = plan.grip(before), plan.grip(after)
    if None in grips:
        return False
    stops = [{(stop.string, stop.finger): stop.semitones for stop in grip.stops} for grip in grips if grip]
    return any(
        finger and stops[0].get((string, finger), semitones) != semitones
        for (string, finger), semitones in stops[1].items()
    )


def _far_apart(wording: Wording, plan: Plan, flag: Flag) -> Case:
    """The two notes of a grip that are far apart, each with its finger."""
    fingers, grip = flag.finding.facts["fingers"], plan.grip(flag.finding.first)
    stops = grip.stops if grip is not None else ()
    found = dict[str, str]()
    for name, finger in fingers.parts.items() if isinstance(fingers, Text) else ():
        stop = next(stop for stop in stops if stop.finger == finger)
        note = wording.note(stop.pitch(plan.passage.instrument))
        found[name] = wording.say(choices.NOTE_WITH_FINGER, note=note, finger=finger_words(wording, stop.finger))
    return Case(_WIDE[1], found)


def _held(wording: Wording, plan: Plan, event: int) -> Case | None:
    """Which other way there is for a long note in first position: open, another position, or fingered."""
    grip, instrument = plan.grip(event), plan.passage.instrument
    if grip is None or any(Technique.TRILL in note.techniques for note in plan.event(event).notes):
        return None  # a trill has no vibrato, and is told as a trill
    stop, pitch = grip.stops[-1], plan.event(event).pitches[-1]
    if stop.is_open:
        lower = stop.string + 1
        found = lower in instrument.string_numbers and pitch.midi - instrument.open_pitch(lower).midi == FIFTH
        if not found or grip.position != HOME_POSITION:
            return None
        return Case("held", {"string": string_words(wording, instrument, lower)})
    for string in instrument.string_numbers:
        if instrument.open_pitch(string).midi == pitch.midi:
            return Case("open", {"open_string": open_string_words(wording, instrument, string)})
    if grip.position == HOME_POSITION and _THIRD_POSITION in plan.level.positions:
        return Case("away", {"string": string_words(wording, instrument, stop.string)}, _THIRD_POSITION)
    return None


def way_back(wording: Wording, plan: Plan, events: Sequence[int], position: int) -> str:
    """Return where the hand comes back from a position to which it goes for one note, or that it stays there."""
    after = [event + 1 for event in events if event + 1 < len(plan.grips) and plan.grip(event + 1) is not None]
    if len(events) > 1:
        return wording.say(choices.COME_BACK_EACH_TIME)
    if not after:
        return wording.say(choices.COME_BACK)
    grip, event = plan.grip(after[0]), plan.event(after[0])
    if event.rest >= REST_FOR_A_SHIFT:
        return wording.say(choices.COME_BACK_IN_THE_REST)
    if grip is not None and grip.is_open:
        open_string = open_string_words(wording, plan.passage.instrument, grip.stops[-1].string)
        return wording.say(choices.COME_BACK_OVER_OPEN, open_string=open_string)
    if grip is not None and grip.position == position:
        return wording.say(choices.STAY_THERE)
    note = wording.all_of([wording.note(pitch) for pitch in event.pitches])
    return wording.say(choices.COME_BACK_FOR, note=note)


def saves_a_crossing(plan: Plan, event: int) -> bool:
    """Return whether more of the notes beside a note lie on its string than on the other one that has it."""
    grip = plan.grip(event)
    if grip is None:
        return False
    stop = grip.stops[-1]
    other = stop.string + 1 if stop.is_open else stop.string - 1
    beside = [
        {each.string for each in found.stops}
        for index in (event - 1, event + 1)
        if 0 <= index < len(plan.grips) and (found := plan.grip(index)) is not None
    ]
    return sum(stop.string in strings for strings in beside) > sum(other in strings for strings in beside)
