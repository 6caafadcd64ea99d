"""What is left for the player to decide, like things together, each with its places and a choice."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from rules import HOME_POSITION, Flag, Instrument, Pitch, Plan

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
THIRD_POSITION = 3
"""Where a long note goes instead, if the level has it: the position that is learned next after first."""
FIFTH = 7
"""Semitones; the fourth finger in first position takes the pitch of the next higher string."""
OCTAVE = 12


@dataclass(frozen=True, slots=True)
class Choice:
    """What has to be decided: its sentence, where it first comes up, and whether it goes beyond the level."""

    text: str
    event: int
    beyond: bool


def player_choices(wording: Wording, part: PartReview) -> list[Choice]:
    """Return the choices of a part in playing order; what recurs is one choice with all its bars."""
    plan = part.review.plan
    groups: dict[tuple[Message, tuple[tuple[str, str], ...]], list[Flag]] = {}
    unmet = {violation.event for violation in part.unmet}
    for flag in part.review.flags:
        if flag.finding.rule in choices.FOR_UNMET and not unmet.isdisjoint(flag.finding_events()):
            continue
        if flag.answered_by is None and (said := _said(wording, plan, flag)) is not None:
            message, fields = said
            groups.setdefault((message, tuple(fields.items())), []).append(flag)
    return [
        Choice(
            sentence(wording.say(message, where=_where(wording, plan, flags), **dict(fields))),
            flags[0].finding.first,
            (flags[0].finding.rule, flags[0].finding.outcome) in BEYOND,
        )
        for (message, fields), flags in groups.items()
    ]


def _where(wording: Wording, plan: Plan, flags: list[Flag]) -> str:
    """The place of one finding, or the bars of several."""
    if len(flags) == 1:
        return sentence(place_words(wording, plan, flags[0].finding.first)).rstrip(".")
    runs = runs_of_bars(plan.passage, (plan.event(flag.finding.first).measure for flag in flags))
    return sentence(bar_list(wording, runs)).rstrip(".")


def _said(wording: Wording, plan: Plan, flag: Flag) -> tuple[Message, dict[str, str]] | None:
    """The message for a finding with its fields; None if it leaves nothing to decide."""
    finding = flag.finding
    outcome, more = finding.outcome, dict[str, str]()
    if finding.rule.startswith("held-"):
        held = _held(wording, plan, finding.first)
        if held is None:
            return None
        outcome, more = held
    message = choices.PRINTED.get(finding.rule) or choices.CHOICES.get((finding.rule, outcome))
    return None if message is None else (message, _fields(wording, plan, flag) | more)


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
    if flag.finding.rule in choices.NAMED_BY_HEIGHT:
        fields["pitch"] = note_with_height(wording, plan.passage.instrument, Pitch.named(str(facts["pitch"])))
    return fields


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
