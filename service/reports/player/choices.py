"""What is left for the player to decide, like things together, each with its places and a choice."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from rules import FINGERS, HOME_POSITION, Flag, Instrument, Passage, Pitch, Plan, grips_for

from ...messages.message import Message, Wording, sentence
from ...messages.music_words import (
    bar_list,
    finger_words,
    open_string_words,
    place_words,
    position_words,
    runs_of_bars,
    string_words,
)
from ...messages.player import choices
from ...usecases.annotate import PartReview

BEYOND = (("note-outside-level", "left-out"), ("note-outside-level", "beyond"))
WIDE = ("awkward-grip", "wide")
TRILL = ("trill-on-fourth-finger", "trill")
THIRD_POSITION = 3
"""Where a long note goes instead, if the level has it: the position that is learned next after first."""
FIFTH = 7
"""Semitones; the fourth finger in first position takes the pitch of the next higher string."""
OCTAVE = 12
A_PHRASE = 4
"""Bars within which notes beyond the level belong to one passage."""


@dataclass(frozen=True, slots=True)
class Choice:
    """What has to be decided: its sentence, where it first comes up, and whether it goes beyond the level."""

    text: str
    event: int
    beyond: bool


class _Told(NamedTuple):
    """What is said of some findings but for the place: the message, its fields, and the number that it is about."""

    message: Message
    fields: tuple[tuple[str, str], ...]
    number: int

    def at(self, wording: Wording, where: str) -> str:
        """Return the sentence with its place."""
        number = self.number if self.message.many else None
        return sentence(wording.say(self.message, number, where=where, **dict(self.fields)))


def player_choices(wording: Wording, part: PartReview) -> list[Choice]:
    """Return the choices of a part in playing order; what recurs is one choice with all its bars."""
    plan = part.review.plan
    groups: dict[_Told, list[Flag]] = {}
    unmet = {violation.event for violation in part.unmet}
    for flags in _told_together(plan, part.review.flags):
        flag = flags[0]
        if flag.finding.rule in choices.FOR_UNMET and not unmet.isdisjoint(flag.finding_events()):
            continue
        if flag.answered_by is None and (told := _told(wording, plan, flags)) is not None:
            groups.setdefault(told, []).extend(flags)
    found = [
        Choice(
            told.at(wording, _where(wording, plan, flags)),
            flags[0].finding.first,
            (flags[0].finding.rule, flags[0].finding.outcome) in BEYOND,
        )
        for told, flags in groups.items()
    ]
    return sorted(found, key=lambda choice: choice.event)


def _told_together(plan: Plan, flags: Iterable[Flag]) -> Iterator[list[Flag]]:
    """Yield findings; notes beyond the level that lie close together come together.

    Together they are learned in one position, if there is one that has them all.
    """
    together: list[Flag] = []
    for flag in flags:
        if (flag.finding.rule, flag.finding.outcome) not in BEYOND or _is_chord_beyond(plan, flag):
            yield [flag]
        elif together and _is_near(plan, together[-1], flag) and _common_positions(plan, [*together, flag]):
            together.append(flag)
        else:
            if together:
                yield together
            together = [flag]
    if together:
        yield together


def _is_chord_beyond(plan: Plan, flag: Flag) -> bool:
    """Whether the level has the note by itself, and lacks the chord in which it stands."""
    pitches, passage = plan.event(flag.finding.first).pitches, plan.passage
    return len(pitches) > 1 and all(grips_for((each,), passage.instrument, plan.level.positions) for each in pitches)


def _is_near(plan: Plan, before: Flag, after: Flag) -> bool:
    bars = [plan.event(flag.finding.first).measure for flag in (before, after)]
    return before.finding.outcome == after.finding.outcome and abs(bars[1] - bars[0]) <= A_PHRASE


def _common_positions(plan: Plan, flags: Sequence[Flag]) -> frozenset[int]:
    """The positions that have all of some notes beyond the level; of a note that is planned, only where it is."""
    return frozenset[int].intersection(*(_positions(plan, flag) for flag in flags))


def _positions(plan: Plan, flag: Flag) -> frozenset[int]:
    option = plan.route.options[flag.finding.first]
    planned = flag.finding.facts["position"]
    if option.left_out:
        return frozenset(grip.position for grip in option.elsewhere) | _reaching_the_octave(plan, flag)
    return frozenset({planned} if isinstance(planned, int) else ())


def _where(wording: Wording, plan: Plan, flags: list[Flag]) -> str:
    """The place of one finding, or the bars of several."""
    if len(flags) == 1:
        return sentence(place_words(wording, plan, flags[0].finding.first)).rstrip(".")
    runs = runs_of_bars(plan.passage, (plan.event(flag.finding.first).measure for flag in flags))
    return sentence(bar_list(wording, runs)).rstrip(".")


def _reaching_the_octave(plan: Plan, flag: Flag) -> frozenset[int]:
    """The position from which the fourth finger reaches half the string, if that is the note: it is in third position.

    The levels have the note so, since it rings when it is only touched.
    """
    pitches = plan.event(flag.finding.first).pitches
    grips = grips_for(pitches, plan.passage.instrument, frozenset({THIRD_POSITION})) if len(pitches) == 1 else ()
    return frozenset(grip.position for grip in grips if grip.stops[0].semitones == OCTAVE)


def _told(wording: Wording, plan: Plan, flags: Sequence[Flag]) -> _Told | None:
    """What is said of findings that are told together; None if nothing is to decide."""
    finding = flags[0].finding
    outcome, more = finding.outcome, dict[str, str]()
    if finding.rule.startswith("held-"):
        held = _held(wording, plan, finding.first)
        if held is None:
            return None
        outcome, more = held
    elif (finding.rule, outcome) == TRILL:
        outcome, more = _trill(wording, plan, flags[0])
    else:
        outcome, more = _of_chord(wording, plan, flags[0])
    message = choices.PRINTED.get(finding.rule) or choices.CHOICES.get((finding.rule, outcome))
    if message is None:
        return None
    fields, number = _fields(wording, plan, flags[0]) | more, 1
    if finding.rule in choices.NAMED_BY_HEIGHT:
        bars: dict[Pitch, list[int]] = {}
        for flag in flags:
            pitch = Pitch.named(str(flag.finding.facts["pitch"]))
            bars.setdefault(pitch, []).append(plan.event(flag.finding.first).measure)
        number = len(bars)
        fields["pitch"] = notes_with_height(wording, plan.passage, bars)
    if (finding.rule, finding.outcome) in BEYOND:
        fields["position"] = position_words(wording, min(_common_positions(plan, flags)))
    return _Told(message, tuple(fields.items()), number)


def _of_chord(wording: Wording, plan: Plan, flag: Flag) -> tuple[str, dict[str, str]]:
    """The outcome of a finding as it is told of a chord; that of any other finding stays."""
    finding, pitches = flag.finding, plan.event(flag.finding.first).pitches
    if (finding.rule, finding.outcome) == WIDE and len(pitches) > 2:
        return "wide-chord", {}
    if (finding.rule, finding.outcome) in BEYOND and _is_chord_beyond(plan, flag):
        outcome = "chord" if finding.outcome == "left-out" else "chord-planned"
        return outcome, {"chord": wording.all_of(list(map(wording.note, pitches)))}
    return finding.outcome, {}


def _trill(wording: Wording, plan: Plan, flag: Flag) -> tuple[str, dict[str, str]]:
    """The nearest other position of the level in which a finger is left for the trill; else a short trill."""
    planned, pitches = plan.grip(flag.finding.first), plan.event(flag.finding.first).pitches
    grips = grips_for(pitches, plan.passage.instrument, plan.level.positions) if len(pitches) == 1 else ()
    others = {grip.position for grip in grips if not grip.is_open and grip.stops[0].finger < FINGERS[-1]}
    others -= {planned.position} if planned is not None else set()
    if planned is None or not others:
        return "only-there", {}
    nearest = min(others, key=lambda position: (abs(position - planned.position), position))
    return TRILL[1], {"position": position_words(wording, nearest)}


def _fields(wording: Wording, plan: Plan, flag: Flag) -> dict[str, str]:
    """The facts of a finding, in a player's words."""
    facts: Mapping[str, object] = flag.finding.facts
    fields = {name: str(facts[name]) for name in ("bar",) if name in facts}
    for name in ("pitch", "chord", "left_out"):
        if name in facts:
            fields[name] = wording.all_of([wording.note(Pitch.named(one)) for one in str(facts[name]).split()])
    if isinstance(finger := facts.get("finger"), int):
        fields["finger"] = finger_words(wording, finger)
    for name in ("goal", "position"):
        if isinstance(position := facts.get(name), int):
            fields["position"] = position_words(wording, position)
    return fields


def notes_with_height(wording: Wording, passage: Passage, bars: Mapping[Pitch, Sequence[int]]) -> str:
    """Return "the high D and the high F": every note as it is called by itself, each once, the lowest first.

    With its bars, if several notes stand in different ones.
    """
    measures: dict[str, set[int]] = {}
    for pitch in sorted(bars, key=lambda pitch: pitch.midi):
        measures.setdefault(note_with_height(wording, passage.instrument, pitch), set()).update(bars[pitch])
    every = set().union(*measures.values())
    if all(own == every for own in measures.values()):
        return wording.all_of(list(measures))
    return wording.all_of(
        [
            wording.say(choices.NOTE_IN_BARS, note=note, bars=bar_list(wording, runs_of_bars(passage, own)))
            for note, own in measures.items()
        ]
    )


def note_with_height(wording: Wording, instrument: Instrument, pitch: Pitch) -> str:
    """Return "the high D" for a note above first position, so that nobody takes it for one of the others."""
    note = wording.note(pitch)
    if pitch.midi < instrument.open_pitch(max(instrument.string_numbers)).midi:
        return wording.say(choices.LOW_NOTE, note=note)
    above = pitch.midi - instrument.open_pitch(min(instrument.string_numbers)).midi
    if above >= FIFTH + OCTAVE:
        return wording.say(choices.VERY_HIGH_NOTE, note=note)
    return wording.say(choices.HIGH_NOTE, note=note) if above >= FIFTH else note


def _held(wording: Wording, plan: Plan, event: int) -> tuple[str, dict[str, str]] | None:
    """Which other way there is for a long note in first position: open, another position, or fingered."""
    grip, instrument = plan.grip(event), plan.passage.instrument
    if grip is None:
        return None
    stop, pitch = grip.stops[-1], plan.event(event).pitches[-1]
    if stop.is_open:
        lower = stop.string + 1
        found = lower in instrument.string_numbers and pitch.midi - instrument.open_pitch(lower).midi == FIFTH
        if not found or grip.position != HOME_POSITION:
            return None
        return "held", {"string": string_words(wording, instrument, lower)}
    for string in instrument.string_numbers:
        if instrument.open_pitch(string).midi == pitch.midi:
            return "open", {"open_string": open_string_words(wording, instrument, string)}
    if grip.position == HOME_POSITION and THIRD_POSITION in plan.level.positions:
        return "away", {"position": position_words(wording, THIRD_POSITION)}
    return None
