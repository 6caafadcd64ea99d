"""Which of the things that a rule may have to say is said of a finding, and where the hand may go instead."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from itertools import pairwise
from typing import NamedTuple

from rules import ALL, FINGERS, HOME_POSITION, REST_FOR_A_SHIFT, Flag, Plan, Text, grips_for

from ...messages.message import Wording
from ...messages.music_words import finger_words, open_string_words, string_words
from ...messages.player import choices
from .there_and_back import follows_at_once, there

BEYOND = (("note-outside-level", "left-out"), ("note-outside-level", "beyond"))
LEFT_OUT_VERY_HIGH = ("note-above-compass", "left-out")
"""A note so high that it is found unusual, and that the level does not reach: only the first is a finding."""
_VERY_HIGH = ("note-above-compass", "unusual")
_TRILL = ("trill-on-fourth-finger", "trill")
_OPEN_TRILL = ("trill-on-open-string", "trill")
_AT_HALF = ("octave-at-half-the-string", "reached")
_WIDE = ("awkward-grip", "wide")
_NOT_AT_THIS_LEVEL = ("chord-not-held", "level")
THIRD_POSITION = 3
"""Where a long note goes instead, if the level has it: the position that is learned next after first."""
FIFTH, OCTAVE = 7, 12
"""Semitones. The fourth finger in first position takes the pitch of the next string, a fifth higher."""
_FOR_A_HARMONIC = 0.5
"""Seconds; in less, a finger that comes from a pressed note or goes to one has no time to lift."""


_QUICK = _FOR_A_HARMONIC
"""Seconds; notes that are all shorter hang together as one figure."""
_IN_PASSING = 0.3
"""Seconds; nobody misses so short a note between two others."""


class Case(NamedTuple):
    """Which of the things that a rule may have to say is said, with fields of its own.

    With it the position to go to, and the notes that are played there if the hand comes back after them.
    """

    outcome: str
    fields: Mapping[str, str] = {}
    position: int | None = None
    outing: range | None = None


def case_of(wording: Wording, plan: Plan, flags: Sequence[Flag]) -> Case | None:
    """Return what is said of some findings of one rule; None if nothing is to decide."""
    finding = flags[0].finding
    key = (finding.rule, finding.outcome)
    if finding.rule.startswith("held-"):
        return _held(wording, plan, [flag.finding.first for flag in flags])
    if key in _OF_ONE_EVENT:
        return _OF_ONE_EVENT[key](wording, plan, finding.first)
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
        return Case(_instead(plan, flags), position=position)
    chord = wording.all_of(list(map(wording.note, plan.event(finding.first).pitches)))
    return Case("chord" if finding.outcome == "left-out" else "chord-planned", {"chord": chord}, position)


def _instead(plan: Plan, flags: Sequence[Flag]) -> str:
    """What is done in place of notes that are left out: a note in passing, a whole figure, or the notes alone.

    A note that dives by an octave between others that stay up tears a figure apart.
    """
    outcome, events = flags[0].finding.outcome, [flag.finding.first for flag in flags]
    if outcome != BEYOND[0][1]:
        return outcome
    if all(is_in_passing(plan, event) for event in events):
        return "in-passing"
    in_figures = any(_goes_with(plan, event, other) for event in events for other in (event - 1, event + 1))
    return "in-a-figure" if in_figures else outcome


def is_in_passing(plan: Plan, event: int) -> bool:
    """Return whether a short note is the only one of its bar that is left out, and stands under a slur with others.

    The one right before it can sound on.
    """
    before, after = event - 1, event + 1
    own = plan.event(event)
    bound = (own.slurred and _goes_with(plan, event, before)) or (
        after < len(plan.grips) and plan.event(after).slurred and _goes_with(plan, event, after)
    )
    others = (index for index in plan.passage.events_by_measure[own.measure] if index != event)
    return (
        bound
        and own.seconds < _IN_PASSING
        and own.rest < REST_FOR_A_SHIFT
        and before >= 0
        and plan.grip(before) is not None
        and not any(plan.route.options[index].left_out for index in others)
    )


def _goes_with(plan: Plan, event: int, other: int) -> bool:
    """Whether another note that the level has goes with one, under its slur or as quick, and can go lower."""
    if not 0 <= other < len(plan.grips) or plan.grip(other) is None:
        return False
    pair = plan.event(min(event, other)), plan.event(max(event, other))
    quick = max(each.seconds for each in pair) < _QUICK
    lower = plan.event(other).pitches[0].midi - OCTAVE >= plan.passage.instrument.lowest.midi
    return lower and pair[1].rest < REST_FOR_A_SHIFT and (pair[1].slurred or quick)


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
    grips = grips_for(pitches, plan.passage.instrument, frozenset({THIRD_POSITION})) if len(pitches) == 1 else ()
    return frozenset(grip.position for grip in grips if grip.stops[0].semitones == OCTAVE)


def _trill(wording: Wording, plan: Plan, event: int) -> Case:
    """Where a finger is left for a trill: in the nearest position of the level, over the open string, or beyond."""
    pitches, instrument = plan.event(event).pitches, plan.passage.instrument
    if (place := _for_a_trill(plan, event, plan.level.positions)) is not None:
        return Case(_TRILL[1], position=place[0], outing=place[1])
    for string in instrument.string_numbers:
        if [instrument.open_pitch(string).midi] == [pitch.midi for pitch in pitches]:
            return Case("open", {"open_string": open_string_words(wording, instrument, string)})
    beyond = _positions_for_a_trill(plan, event, ALL.positions - plan.level.positions)
    return Case("beyond", position=beyond[0]) if beyond else Case("only-there")


def _open_trill(wording: Wording, plan: Plan, event: int) -> Case:
    """A trill over an open string, and the nearest position of the level that has it under a finger."""
    grip, instrument = plan.grip(event), plan.passage.instrument
    string = next(stop.string for stop in grip.stops if stop.is_open) if grip else min(instrument.string_numbers)
    fields = {"open_string": open_string_words(wording, instrument, string)}
    place = _for_a_trill(plan, event, plan.level.positions)
    return Case(_OPEN_TRILL[1], fields) if place is None else Case("elsewhere", fields, *place)


def _for_a_trill(plan: Plan, event: int, positions: frozenset[int]) -> tuple[int, range] | None:
    """The nearest of some positions from which the hand comes back without a smear, and what is played there."""
    for position in _positions_for_a_trill(plan, event, positions):
        if (outing := there(plan, [event], position)) is not None:
            return position, outing
    return None


def _positions_for_a_trill(plan: Plan, event: int, positions: frozenset[int]) -> list[int]:
    """Some positions, the nearest first, that have a single note under another finger than the fourth."""
    planned, pitches = plan.grip(event), plan.event(event).pitches
    if planned is None or len(pitches) > 1:
        return []
    grips = [grip for grip in grips_for(pitches, plan.passage.instrument, positions) if grip.plain and not grip.is_open]
    others = {grip.position for grip in grips if grip.stops[0].finger < FINGERS[-1]}
    return sorted(others, key=lambda position: (abs(position - planned.position), position))


def _moves_quickly(plan: Plan, event: int) -> bool:
    """Whether the finger of a short note comes from another note on its string, or goes on to one: no time to lift.

    On a note that is itself long there is time, however quick the others are.

    What holds for one note of a bar holds for the same note elsewhere in it.
    """
    here = plan.event(event)
    if not here.grace and here.seconds >= _FOR_A_HARMONIC:
        return False
    return any(
        plan.event(index).pitches == here.pitches
        and any(_is_moved(plan, before, before + 1) for before in (index - 1, index))
        for index in plan.passage.events_by_measure[here.measure]
    )


def _at_half(wording: Wording, plan: Plan, event: int) -> Case:
    """A harmonic, unless there is no time for it; a grace note is told with the note to which it leads."""
    after = event + 1
    if not _moves_quickly(plan, event):
        return Case(_AT_HALF[1])
    if plan.event(event).grace and _is_moved(plan, event, after):
        return Case("moved-grace", {"next": wording.all_of(list(map(wording.note, plan.event(after).pitches)))})
    return Case("moved")


def _is_moved(plan: Plan, before: int, after: int) -> bool:
    """Whether a finger moves on its string from one event to the next, and one of the two is short."""
    if before < 0 or after >= len(plan.grips) or plan.event(after).rest >= _FOR_A_HARMONIC:
        return False
    grips = plan.grip(before), plan.grip(after)
    if None in grips or min(plan.event(before).seconds, plan.event(after).seconds) >= _FOR_A_HARMONIC:
        return False
    stops = [{(stop.string, stop.finger): stop.semitones for stop in grip.stops} for grip in grips if grip]
    return any(
        finger and stops[0].get((string, finger), semitones) != semitones
        for (string, finger), semitones in stops[1].items()
    )


def _chord(wording: Wording, plan: Plan, event: int) -> Case:
    """Two notes that the level does not have together: the bow cannot hold both, or the hand cannot."""
    notes, grip = plan.event(event).notes, plan.grip(event)
    dropped = plan.route.options[event].dropped
    kept = [note.pitch for note in notes if note.id not in dropped]
    if len(notes) != len(kept) + 1 or len(kept) != 1 or grip is None:
        return Case(_NOT_AT_THIS_LEVEL[1])
    lost = [note.pitch for note in notes if note.id in dropped]
    strings = [
        {
            grip.stops[0].string
            for grip in grips_for((pitch,), plan.passage.instrument, plan.level.positions)
            if grip.by_letter
        }
        for pitch in (*kept, *lost)
    ]
    if any(abs(one - other) == 1 for one in strings[0] for other in strings[1]):
        return Case(_NOT_AT_THIS_LEVEL[1])
    return Case("apart", {"pitch": wording.note(kept[0])})


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


def _held(wording: Wording, plan: Plan, events: Sequence[int]) -> Case | None:
    """Which other way there is for a long note in first position: open, another position, or fingered."""
    event = events[0]
    grip, instrument = plan.grip(event), plan.passage.instrument
    if grip is None or plan.event(event).is_trilled:
        return None  # a trill has no vibrato, and is told as a trill
    stop, pitch = grip.stops[-1], plan.event(event).pitches[-1]
    if stop.is_open:
        return _held_open(wording, plan, event, stop.string)
    for string in instrument.string_numbers:
        if instrument.open_pitch(string).midi == pitch.midi:
            return Case("open", {"open_string": open_string_words(wording, instrument, string)})
    if grip.position != HOME_POSITION or THIRD_POSITION not in plan.level.positions:
        return None
    if (outing := there(plan, events, THIRD_POSITION)) is None:
        return None
    return Case("away-together" if len(events) > 1 else "away", {}, THIRD_POSITION, outing)


def _held_open(wording: Wording, plan: Plan, event: int, string: int) -> Case | None:
    """A long open string, which the fourth finger has on the next lower one, if it need not hop for it."""
    lower, instrument = string + 1, plan.passage.instrument
    if lower not in instrument.string_numbers:
        return None
    is_fifth = plan.event(event).pitches[-1].midi - instrument.open_pitch(lower).midi == FIFTH
    if not is_fifth or _is_away(plan, event) or _would_hop(plan, event, lower):
        return None
    return Case("held", {"string": string_words(wording, instrument, lower)})


def belong_together(wording: Wording, plan: Plan, events: Sequence[int]) -> bool:
    """Return whether long notes that follow one another at once are all played in the same other position."""
    alone = [_held(wording, plan, [event]) for event in events]
    return (
        all(after == before + 1 and follows_at_once(plan, before, after) for before, after in pairwise(events))
        and all(case is not None and case.outcome == "away" for case in alone)
        and there(plan, events, THIRD_POSITION) is not None
    )


def _is_away(plan: Plan, event: int) -> bool:
    """Whether an event belongs to a stay in another position; an open string after it is on the way back."""
    return any(event in excursion.events for excursion in plan.excursions)


def _would_hop(plan: Plan, event: int, string: int) -> bool:
    """Whether the fourth finger has to come from another string to this one, or to go on to another."""
    beside = [
        index
        for index, pair in ((event - 1, (event - 1, event)), (event + 1, (event, event + 1)))
        if follows_at_once(plan, *pair)
    ]
    return any(
        stop.finger == FINGERS[-1] and stop.string != string
        for index in beside
        if (grip := plan.grip(index)) is not None
        for stop in grip.stops
    )


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


_OF_ONE_EVENT: Mapping[tuple[str, str], Callable[[Wording, Plan, int], Case]] = {
    _TRILL: _trill,
    _OPEN_TRILL: _open_trill,
    _AT_HALF: _at_half,
    _NOT_AT_THIS_LEVEL: _chord,
}
