"""What is left for the player to decide, like things together, each with its places and a choice."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from rules import Flag, Instrument, Pitch, Plan, grips_for

from ...messages.message import Message, Wording, sentence
from ...messages.music_words import bar_list, finger_words, place_words, position_words, runs_of_bars
from ...messages.player import choices, excursions
from ...usecases.annotate import PartReview
from .cases import (
    BEYOND,
    FIFTH,
    LEFT_OUT_VERY_HIGH,
    OCTAVE,
    case_of,
    common_positions,
    is_chord_beyond,
    saves_a_crossing,
    way_back,
)

Key = tuple[str, str]
"""A rule, and the outcome of it that a player is told."""
A_PHRASE = 4
"""Bars within which notes beyond the level belong to one passage."""


@dataclass(frozen=True, slots=True)
class Choice:
    """What has to be decided: its sentence, where it first comes up, and whether it goes beyond the level."""

    text: str
    event: int
    beyond: bool


class _Told(NamedTuple):
    """What is said of some findings but for the place: its key, and what fills its fields, sorted by name.

    Where different notes are told together, their names are no field: they are in the findings.
    """

    key: Key
    message: Message
    fields: tuple[tuple[str, str], ...]
    position: int | None


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
            sentence(_sentence(wording, plan, told, flags)),
            flags[0].finding.first,
            (flags[0].finding.rule, flags[0].finding.outcome) in BEYOND or told.key == LEFT_OUT_VERY_HIGH,
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
        if (flag.finding.rule, flag.finding.outcome) not in BEYOND or is_chord_beyond(plan, flag):
            yield [flag]
        elif together and _belongs(plan, together, flag):
            together.append(flag)
        else:
            if together:
                yield together
            together = [flag]
    if together:
        yield together


def _belongs(plan: Plan, together: Sequence[Flag], flag: Flag) -> bool:
    """Whether a note is learned with others: in the next bar, or in the next few if the hand need not go higher."""
    bars = [plan.event(flag.finding.first).measure for flag in (together[-1], flag)]
    apart = abs(bars[1] - bars[0])
    if together[-1].finding.outcome != flag.finding.outcome or apart > A_PHRASE:
        return False
    common = common_positions(plan, [*together, flag])
    return bool(common) and (apart <= 1 or min(common) == min(common_positions(plan, together)))


def _told(wording: Wording, plan: Plan, flags: Sequence[Flag]) -> _Told | None:
    """What is said of findings that are told together; None if nothing is to decide."""
    flag = flags[0]
    rule = flag.finding.rule
    case = case_of(wording, plan, flags)
    if case is None:
        return None
    key = (rule, "" if rule in choices.PRINTED else case.outcome)
    message = choices.PRINTED.get(rule) or choices.CHOICES.get(key)
    if message is None:
        return None
    fields = {**_fields(wording, plan, flag), **case.fields}
    if case.position is not None:
        fields["position"] = position_words(wording, case.position)
    if key in choices.NOTES_BY_BAR:
        fields.pop("pitch")
    elif rule in choices.NAMED_BY_HEIGHT:
        pitch = Pitch.named(str(flag.finding.facts["pitch"]))
        fields["pitch"] = note_with_height(wording, plan.passage.instrument, pitch)
    return _Told(key, message, tuple(sorted(fields.items())), case.position)


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


def _sentence(wording: Wording, plan: Plan, told: _Told, flags: Sequence[Flag]) -> str:
    """What is said of findings that are alike, with all their places."""
    message, fields = told.message, dict(told.fields)
    where = _where(wording, plan, flags)
    if told.key in choices.SAVING_A_CROSSING and all(saves_a_crossing(plan, flag.finding.first) for flag in flags):
        message = choices.SAVING_A_CROSSING[told.key]
    pitches = _pitches(flags)
    if told.position is not None:
        fields["fingers"] = _fingers(wording, plan, pitches, told.position)
        fields["home"] = way_back(wording, plan, [flag.finding.last for flag in flags], told.position)
    number = None
    if told.key in choices.NOTES_BY_BAR:
        names = _names(wording, plan, told.key, flags)
        fields["pitch"], number = wording.all_of(names), len(names) if message.many else None
        if len(names) > 1 and (len(bars := _notes_by_bar(wording, plan, told.key, flags)) > 1 or not message.many):
            message, number, where = choices.NOTES_BY_BAR[told.key], None, sentence(wording.all_of(bars)).rstrip(".")
    return wording.say(message, number, where=where, **fields)


def _where(wording: Wording, plan: Plan, flags: Sequence[Flag]) -> str:
    """The place of one finding, or the bars of several."""
    if len(flags) == 1:
        return sentence(place_words(wording, plan, flags[0].finding.first)).rstrip(".")
    runs = runs_of_bars(plan.passage, (plan.event(flag.finding.first).measure for flag in flags))
    return sentence(bar_list(wording, runs)).rstrip(".")


def _notes_by_bar(wording: Wording, plan: Plan, key: Key, flags: Sequence[Flag]) -> list[str]:
    """Return "bar 61 (the high F and the high G)", "bars 63 and 65 (the high F)": bars with the same notes together."""
    by_bar: dict[int, list[Flag]] = {}
    for flag in flags:
        by_bar.setdefault(plan.event(flag.finding.first).measure, []).append(flag)
    by_notes: dict[str, list[int]] = {}
    for measure, found in sorted(by_bar.items()):
        by_notes.setdefault(wording.all_of(_names(wording, plan, key, found)), []).append(measure)
    return [
        wording.say(choices.BAR_WITH_NOTES, bars=bar_list(wording, runs_of_bars(plan.passage, measures)), notes=notes)
        for notes, measures in by_notes.items()
    ]


def _names(wording: Wording, plan: Plan, key: Key, flags: Sequence[Flag]) -> list[str]:
    """The notes of some findings from the lowest, each once."""
    if key[0] not in choices.NAMED_BY_HEIGHT:
        return list(dict.fromkeys(map(wording.note, _pitches(flags))))
    return list(dict.fromkeys(note_with_height(wording, plan.passage.instrument, pitch) for pitch in _pitches(flags)))


def _pitches(flags: Sequence[Flag]) -> list[Pitch]:
    named = {str(flag.finding.facts["pitch"]) for flag in flags if "pitch" in flag.finding.facts}
    return sorted(map(Pitch.named, named), key=lambda pitch: (pitch.midi, pitch.letter))


def note_with_height(wording: Wording, instrument: Instrument, pitch: Pitch) -> str:
    """Return "the high D" for a note above first position, so that nobody takes it for one of the others.

    First position ends where a fifth above the highest open string begins.
    """
    note = wording.note(pitch)
    if pitch.midi < instrument.open_pitch(max(instrument.string_numbers)).midi:
        return wording.say(choices.LOW_NOTE, note=note)
    above = pitch.midi - instrument.open_pitch(min(instrument.string_numbers)).midi
    if above >= FIFTH + OCTAVE:
        return wording.say(choices.VERY_HIGH_NOTE, note=note)
    return wording.say(choices.HIGH_NOTE, note=note) if above >= FIFTH else note


def _fingers(wording: Wording, plan: Plan, pitches: Sequence[Pitch], position: int) -> str:
    """Return "3 F♯, 4 G": the fingers that take some notes in a position with the least stretching."""
    found = dict[str, None]()
    for pitch in pitches:
        grips = [
            grip
            for grip in grips_for((pitch,), plan.passage.instrument, frozenset({position}), any_height=True)
            if not grip.is_open
        ]
        best = min(grips, key=lambda grip: (not grip.by_letter, grip.excess, grip.stops[0].string))
        message = excursions.FINGER_STRETCHED if best.stretches else excursions.FINGER_PLACE
        found[wording.say(message, finger=str(best.stops[0].finger), note=wording.note(pitch))] = None
    return ", ".join(found)
