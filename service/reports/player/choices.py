"""What is left for the player to decide, like things together, each with its places and a choice."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
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
    THIRD_POSITION,
    Case,
    belong_together,
    case_of,
    common_positions,
    is_chord_beyond,
    is_in_passing,
    saves_a_crossing,
)
from .there_and_back import pitches_there, way_back

Key = tuple[str, str]
"""A rule, and the outcome of it that a player is told."""
_HELD = "held-fourth-finger"
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
    together: tuple[Pitch, ...] = ()
    """The notes that follow one another at once and are told in one sentence."""
    there: tuple[Pitch, ...] = ()
    """What is played in the position, if that is more than the notes of the findings."""


def player_choices(wording: Wording, part: PartReview) -> list[Choice]:
    """Return the choices of a part in playing order; what recurs is one choice with all its bars."""
    plan = part.review.plan
    groups: dict[_Told, list[Flag]] = {}
    outings: dict[_Told, list[range]] = {}
    unmet = {violation.event for violation in part.unmet}
    open_flags = [
        flag
        for flag in part.review.flags
        if flag.answered_by is None
        and (flag.finding.rule not in choices.FOR_UNMET or unmet.isdisjoint(flag.finding_events()))
    ]
    found = [(flags, case_of(wording, plan, flags)) for flags in _told_together(wording, plan, open_flags)]
    for flags, case in _in_few_positions(plan, [(flags, case) for flags, case in found if case is not None]):
        if (told := _told(wording, plan, flags, case)) is not None:
            groups.setdefault(told, []).extend(flags)
            outings.setdefault(told, []).extend([case.outing] if case.outing is not None else [])
    told_of = [
        Choice(
            sentence(_sentence(wording, plan, told, flags, outings[told])),
            flags[0].finding.first,
            (flags[0].finding.rule, flags[0].finding.outcome) in BEYOND or told.key == LEFT_OUT_VERY_HIGH,
        )
        for told, flags in groups.items()
    ]
    return sorted(told_of, key=lambda choice: choice.event)


def _told_together(wording: Wording, plan: Plan, flags: Sequence[Flag]) -> Iterator[list[Flag]]:
    """Yield findings; notes beyond the level that lie close together come together, and long notes in a row.

    Together they are learned, or played, in one position, if there is one that has them all.
    """
    beyond = [flag for flag in flags if _is_note_beyond(plan, flag)]
    held = [flag for flag in flags if flag.finding.rule == _HELD]
    yield from ([flag] for flag in flags if flag.finding.rule != _HELD and not _is_note_beyond(plan, flag))
    yield from _joined(beyond, lambda together, flag: _belongs(plan, together, flag))
    yield from _joined(
        held,
        lambda together, flag: belong_together(wording, plan, [each.finding.first for each in (*together, flag)]),
    )


def _is_note_beyond(plan: Plan, flag: Flag) -> bool:
    return (flag.finding.rule, flag.finding.outcome) in BEYOND and not is_chord_beyond(plan, flag)


def _joined(flags: Iterable[Flag], belongs: Callable[[Sequence[Flag], Flag], bool]) -> Iterator[list[Flag]]:
    """Yield findings, each together with those before it as long as it belongs to them."""
    together: list[Flag] = []
    for flag in flags:
        if together and not belongs(together, flag):
            yield together
            together = []
        together.append(flag)
    if together:
        yield together


_Case = tuple[list[Flag], Case]


def _in_few_positions(plan: Plan, cases: Sequence[_Case]) -> Iterator[_Case]:
    """Yield findings with their cases; notes left out that another list has with more of them go to its position.

    Above third position, which is learned first anyway, a player then has fewer positions to learn, and one for a note.
    """
    wanted = {
        index: case.position
        for index, (flags, case) in enumerate(cases)
        if case.position is not None and _is_note_beyond(plan, flags[0])
    }
    notes = {index: set(_pitches(cases[index][0])) for index in wanted}
    for index in sorted(wanted, key=lambda index: -wanted[index]):
        own, common = wanted[index], common_positions(plan, cases[index][0])
        more = [other for other in wanted if notes[index] < notes[other]]
        same = [other for other in wanted if wanted[other] == own]
        higher = [wanted[other] for other in more if wanted[other] > own and wanted[other] in common]
        if own > THIRD_POSITION and higher and all(notes[other] <= notes[index] for other in same):
            wanted.update(dict.fromkeys(same, min(higher)))
    for index, (flags, case) in enumerate(cases):
        yield flags, case._replace(position=wanted.get(index, case.position))


def _belongs(plan: Plan, together: Sequence[Flag], flag: Flag) -> bool:
    """Whether a note is learned with others: in the next bar, or in the next few if the hand need not go higher."""
    bars = [plan.event(flag.finding.first).measure for flag in (together[-1], flag)]
    apart = abs(bars[1] - bars[0])
    if together[-1].finding.outcome != flag.finding.outcome or apart > A_PHRASE:
        return False
    if is_in_passing(plan, together[-1].finding.first) is not is_in_passing(plan, flag.finding.first):
        return False
    common = common_positions(plan, [*together, flag])
    return bool(common) and (apart <= 1 or min(common) == min(common_positions(plan, together)))


def _told(wording: Wording, plan: Plan, flags: Sequence[Flag], case: Case) -> _Told | None:
    """What is said of findings that are told together; None if a player has nothing to decide."""
    flag = flags[0]
    rule = flag.finding.rule
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
    together: tuple[Pitch, ...] = ()
    played: tuple[Pitch, ...] = ()
    if case.outing is not None and len(flags) > 1:
        together = tuple(pitch for each in flags for pitch in plan.event(each.finding.first).pitches)
        fields["pitch"] = wording.all_of(list(map(wording.note, together)))
    if case.outing is not None and len(case.outing) > len(flags):
        played = tuple(pitches_there(plan, [case.outing]))
    return _Told(key, message, tuple(sorted(fields.items())), case.position, together, played)


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


def _sentence(wording: Wording, plan: Plan, told: _Told, flags: Sequence[Flag], outings: Sequence[range]) -> str:
    """What is said of findings that are alike, with all their places; `outings` are played in another position."""
    message, fields = told.message, dict(told.fields)
    where = _where(wording, plan, flags)
    if told.key in choices.SAVING_A_CROSSING and all(saves_a_crossing(plan, flag.finding.first) for flag in flags):
        message = choices.SAVING_A_CROSSING[told.key]
    if told.position is not None:
        pitches = pitches_there(plan, outings) if outings else _pitches(flags)
        fields["fingers"] = _fingers(wording, plan, pitches, told.position)
    if told.position is not None and outings:
        fields["home"] = way_back(wording, plan, outings, told.position, more=bool(told.there))
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
    """The notes of some findings, each once: those beyond the level from the lowest, others in playing order."""
    if key[0] not in choices.NAMED_BY_HEIGHT:
        return list(dict.fromkeys(wording.note(Pitch.named(str(flag.finding.facts["pitch"]))) for flag in flags))
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
