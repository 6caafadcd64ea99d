"""What directions ask of each event: string, position, stay, loudness, left-hand pizzicato.

A prescribed string holds until the line beside it ends. Without a line a numeral holds for its note, words until the
next string or position word, until words that end it ("ord.", "loco"), until a rest, or until a note that the string
does not have.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, field

from rules import Instrument, Technique

from ..notation.directions import LOUDNESS, Direction, Kind
from ..notation.notes import Tick, WrittenNote
from .words import Meaning, is_numeral_of_no_string, meaning_of

_DIVIDED = re.compile(r"(?<!\w)(?:div\.|divisi|geteilt|geth\.|div[ié]s[eé]s?)", re.IGNORECASE)


@dataclass(slots=True)
class Context:
    """What is in force, by event index."""

    dynamics: list[int]
    strings: dict[int, int] = field(default_factory=dict)
    positions: dict[int, int] = field(default_factory=dict)
    restez: set[int] = field(default_factory=set)
    unread: dict[int, tuple[str, ...]] = field(default_factory=dict)
    divided: bool = False


@dataclass(slots=True)
class _Prescription:
    string: int
    start: int
    one_note: bool = False
    line: str | None = None
    end: int | None = None


class _Events:
    def __init__(self, groups: Sequence[Sequence[WrittenNote]]) -> None:
        self.groups = groups
        self.onsets = [group[0].onset for group in groups]

    def at(self, tick: Tick, ordinal: int) -> int:
        """Return the event that a direction at `tick`, before note `ordinal`, stands at: the first from there on."""
        index = bisect_left(self.onsets, tick)
        while index + 1 < len(self.groups) and self.onsets[index + 1] == tick and self._precedes(index, ordinal):
            index += 1
        return index

    def _precedes(self, index: int, ordinal: int) -> bool:
        """Whether grace notes of the same moment stand in the text before the direction."""
        return self.groups[index][0].grace and self.groups[index][0].ordinal < ordinal


def read_context(
    directions: Sequence[Direction], groups: Sequence[Sequence[WrittenNote]], instrument: Instrument
) -> Context:
    """Return what the directions ask of each event."""
    events = _Events(groups)
    context = Context([0] * len(groups))
    prescriptions: list[_Prescription] = []
    ordered = sorted(directions, key=lambda direction: direction.tick)
    for direction in ordered:
        if direction.kind is Kind.WORDS:
            context.divided = context.divided or bool(_DIVIDED.search(direction.value))
            meaning = meaning_of(direction.value, instrument)
            at = events.at(direction.tick, direction.ordinal)
            if at < len(groups) and (
                meaning.unread or (_is_within_a_bar(groups, at) and is_numeral_of_no_string(direction.value))
            ):
                context.unread[at] = (*context.unread.get(at, ()), direction.value)
            elif meaning:
                _apply(meaning, at, context, prescriptions, groups)
        elif direction.kind is Kind.STRAY and groups:
            at = min(events.at(direction.tick, direction.ordinal), len(groups) - 1)
            context.unread[at] = (*context.unread.get(at, ()), direction.value)
        elif direction.kind in (Kind.LINE_START, Kind.LINE_STOP) and prescriptions:
            _line(direction, events.at(direction.tick, direction.ordinal), prescriptions[-1])
    _prescribe(prescriptions, context, events, instrument)
    _loudness(ordered, context, events)
    return context


def _is_within_a_bar(groups: Sequence[Sequence[WrittenNote]], index: int) -> bool:
    """Whether the bar of an event begins with another: where a bar begins, a numeral may be that of a movement."""
    return index > 0 and groups[index - 1][0].measure == groups[index][0].measure


def _apply(
    meaning: Meaning,
    index: int,
    context: Context,
    prescriptions: list[_Prescription],
    groups: Sequence[Sequence[WrittenNote]],
) -> None:
    if index >= len(groups):
        return
    if (
        prescriptions
        and prescriptions[-1].end is None
        and (meaning.string or meaning.position is not None or meaning.release)
    ):
        prescriptions[-1].end = index
    if meaning.string:
        prescriptions.append(_Prescription(meaning.string, index, meaning.one_note))
    if meaning.position is not None:
        context.positions[index] = meaning.position
    if meaning.restez:
        context.restez.add(index)
    if meaning.left_pizzicato:
        for note in groups[index]:
            note.own_marks().add(Technique.LEFT_PIZZICATO)


def _line(direction: Direction, index: int, prescription: _Prescription) -> None:
    """Bind a line that starts where the words stand to them; its end ends the prescription."""
    if direction.kind is Kind.LINE_START:
        if index == prescription.start and prescription.line is None:
            prescription.line = direction.value
    elif direction.value == prescription.line and prescription.end is None:
        prescription.end = max(index, prescription.start + 1)


def _prescribe(
    prescriptions: Sequence[_Prescription], context: Context, events: _Events, instrument: Instrument
) -> None:
    groups = events.groups
    for prescription in prescriptions:
        if prescription.string not in instrument.string_numbers:
            continue
        lowest = instrument.open_pitch(prescription.string).midi
        end = len(groups) if prescription.end is None else prescription.end
        sounding = events.onsets[prescription.start]
        for index in range(prescription.start, end):
            group = groups[index]
            open_ended = prescription.line is None
            if open_ended and index > prescription.start and (prescription.one_note or group[0].onset > sounding):
                break
            if group[-1].pitch.midi < lowest and index > prescription.start:
                if open_ended:
                    break
                continue
            context.strings[index] = prescription.string
            sounding = max(sounding, *(note.end for note in group))


def _loudness(ordered: Sequence[Direction], context: Context, events: _Events) -> None:
    changes: dict[int, int] = {}
    for direction in ordered:
        if direction.kind is Kind.DYNAMIC:
            changes[events.at(direction.tick, direction.ordinal)] = LOUDNESS[direction.value]
    loudness = 0
    for index, group in enumerate(events.groups):
        loudness = changes.get(index, loudness)
        for note in group:
            loudness = LOUDNESS.get(note.marks.dynamic, loudness)
        context.dynamics[index] = loudness
