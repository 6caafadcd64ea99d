"""The short form of `tests/notation.py` with printed marks in braces behind a pitch: `"D4{1 III}:1 [G4{2} B4{1}]:2"`.

A digit is a printed finger, a Roman numeral a printed string (I the highest); `3rd` a position in words at the event,
`sul-G` a string in words from there on to the end or to `sul-` with nothing behind it; `restez`; `tr`, `turn`, `slide`,
`harmonic` and `pluck` (left-hand pizzicato) say how the note is played; `from-8` says that the music also comes here
from the eighth event, as at a repeat. `?x` is a mark "x" that nobody reads, `?` an empty one, `?words-XX._Lage` such
words above the note; `tied-2` is a 2 on a note tied to this one; `rivals` says that none of two digits is in brackets,
`held-1` that the first event still sounds; `=o` is how an open string is printed, `=words-3rd_pos.` the words above.
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

from rules import (
    ALL,
    VIOLIN,
    Constraint,
    Event,
    Instrument,
    Note,
    Passage,
    Pitch,
    Plan,
    Printed,
    Technique,
    Words,
    cheapest_route,
)
from tests.notation import read_passage

_NOTE = re.compile(r"(?P<pitch>[A-G][#b]*-?\d+)(?:\{(?P<marks>[^}]*)\})?")
_EVENT = re.compile(r"\[[^\]]*\]|[A-G][#b]*-?\d+(?:\{[^}]*\})?")
_STRINGS = {"I": 1, "II": 2, "III": 3, "IV": 4}
_TECHNIQUES = {
    "tr": Technique.TRILL,
    "turn": Technique.TURN,
    "slide": Technique.GLISSANDO,
    "harmonic": Technique.NATURAL_HARMONIC,
    "pluck": Technique.LEFT_PIZZICATO,
}
_POSITION = re.compile(r"(\d+)(?:st|nd|rd|th)")


def read_marked_passage(text: str, tempo: float = 96.0, instrument: Instrument = VIOLIN, **more: Any) -> Passage:
    """Return the passage that `text` writes down, with its marks; everything else is as in `read_passage`.

    Raises:
        ValueError: if a note or a mark is not in the short form; the message quotes it.
    """
    plain = read_passage(re.sub(r"\{[^}]*\}", "", text), tempo, instrument, **more)
    written = _EVENT.findall(text)
    string: int | None = None
    events: list[Event] = []
    words: list[Words] = []
    for event, word in zip(plain.events, written, strict=True):
        marks = {Pitch.named(found["pitch"]): (found["marks"] or "").split() for found in _NOTE.finditer(word)}
        notes = tuple(_marked(note, marks[note.pitch]) for note in event.notes)
        changes: dict[str, Any] = {}
        for mark in (mark for listed in marks.values() for mark in listed):
            if mark.startswith("sul-"):
                string = next((s for s in instrument.string_numbers if instrument.string_name(s) == mark[4:]), None)
            else:
                changes |= _change(mark, events, changes)
        words += [Words(event.onset, event.measure, text) for text in _printed_words(marks)]
        events.append(replace(event, notes=notes, string=string, **changes))
    return replace(plain, events=tuple(events), words=tuple(words))


def _printed_words(marks: dict[Pitch, list[str]]) -> list[str]:
    """The words that stand above an event as they are printed."""
    return [mark[7:].replace("_", " ") for listed in marks.values() for mark in listed if mark.startswith("=words-")]


def _change(mark: str, events: list[Event], changes: dict[str, Any]) -> dict[str, Any]:
    """What a mark changes about its event; nothing, if it is one of the note."""
    if mark.startswith("from-"):
        return {"jump": int(mark[5:]) - 1}
    if mark.startswith("?words-"):
        return {"unread": (*changes.get("unread", ()), mark[7:].replace("_", " "))}
    if mark.startswith("held-"):
        return {"held": tuple(note.id for note in events[int(mark[5:]) - 1].notes)}
    if mark == "restez":
        return {"restez": True}
    found = _POSITION.fullmatch(mark)
    return {"position": int(found[1])} if found else {}


def _marked(note: Note, marks: list[str]) -> Note:
    fingers = tuple(int(mark) for mark in marks if mark in "01234")
    strings = tuple(_STRINGS[mark] for mark in marks if mark in _STRINGS)
    techniques = frozenset(_TECHNIQUES[mark] for mark in marks if mark in _TECHNIQUES)
    signs = tuple(mark[1:] for mark in marks if mark.startswith("=") and not mark.startswith("=words-"))
    unread = tuple(mark[1:] for mark in marks if mark.startswith("?") and not mark.startswith("?words-"))
    for mark in marks:
        known = mark in "01234" or mark in _STRINGS or mark in _TECHNIQUES or mark in ("restez", "rivals")
        if (
            not known
            and not _POSITION.fullmatch(mark)
            and not mark.startswith(("sul-", "from-", "held-", "tied-", "?", "="))
        ):
            raise ValueError(f"no mark of the short form: {mark!r} on {note.pitch.name}")
    tied = tuple(int(mark.removeprefix("tied-")) for mark in marks if mark.startswith("tied-"))
    printed = Printed(fingers, strings, unread, "rivals" in marks, signs, tied)
    return replace(note, printed=printed, techniques=techniques)


_STOP = re.compile(r"(?P<string>[A-G])(?P<finger>[0-4])(?:@(?P<position>\d+))?")


def read_stops(text: str, passage: Passage) -> dict[str, Constraint]:
    """Return the stops that `text` fixes, by note id: string name and finger for each event, as in `"E0 D3@3 G1+D2 -"`.

    `@3` fixes the position too; `+` joins the stops of a chord from the lowest; `-` leaves an event to the planner.

    Raises:
        ValueError: if a word is no stop, or there are not as many words as events and notes.
    """
    words = text.replace("|", " ").split()
    if len(words) != len(passage.events):
        raise ValueError(f"{len(words)} stops for {len(passage.events)} events")
    constraints: dict[str, Constraint] = {}
    for event, word in zip(passage.events, words, strict=True):
        if word == "-":
            continue
        for note, stop in zip(event.notes, word.split("+"), strict=True):
            found = _STOP.fullmatch(stop)
            if found is None:
                raise ValueError(f"no stop: {stop!r} (write string and finger, as in D3)")
            strings = passage.instrument.string_numbers
            string = next(s for s in strings if passage.instrument.string_name(s) == found["string"])
            position = frozenset({int(found["position"])}) if found["position"] else None
            constraints[note.id] = Constraint(frozenset({int(found["finger"])}), frozenset({string}), position)
    return constraints


def placed(text: str, stops: str) -> Plan:
    """Return a passage with its stops, each with its position (see `read_stops`)."""
    passage = read_marked_passage(text)
    return Plan(passage, ALL, cheapest_route(passage, ALL, decisions=read_stops(stops, passage)))
