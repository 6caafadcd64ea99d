"""A part in MusicXML that is to be spoilt, and the small changes of which misprints are made."""

from __future__ import annotations

from collections.abc import Callable
from random import Random

from lxml import etree
from lxml.etree import SubElement, _Element

from rules import INSTRUMENTS

_LETTERS = "CDEFGAB"
_SEMITONES = dict(zip(_LETTERS, (0, 2, 4, 5, 7, 9, 11), strict=True))
OPEN_PITCHES = frozenset(pitch.midi for instrument in INSTRUMENTS.values() for pitch in instrument.open_strings)


class UnsuitablePartError(Exception):
    """The part has no place for this kind of misprint."""


Spoil = Callable[["Page"], None]
"""Spoils one place of a page; raises UnsuitablePartError if there is none."""


class Page:
    """The notes of one part, to be spoilt."""

    def __init__(self, text: bytes, part: str, random: Random) -> None:
        self.root = etree.fromstring(text)
        self.random = random
        found = self.root.find(f"part[@id='{part}']")
        if found is None:
            raise UnsuitablePartError
        self.part = found

    def notes(self, digits: int | None = 1) -> list[_Element]:
        """Single notes (neither grace nor in a chord) with so many digits; None for any number."""
        return [
            note
            for note in self.part.iter("note")
            if is_single(note) and (digits is None or len(note.findall(".//fingering")) == digits)
        ]

    def chosen(self, notes: list[_Element]) -> _Element:
        if not notes:
            raise UnsuitablePartError
        return self.random.choice(notes)

    def stopped(self) -> list[_Element]:
        return [note for note in self.notes() if digit(note) in {"1", "2", "3", "4"}]

    def text(self) -> bytes:
        return etree.tostring(self.root, xml_declaration=True, encoding="UTF-8")


def is_single(note: _Element) -> bool:
    after = note.getnext()
    return (
        note.find("pitch") is not None
        and note.find("grace") is None
        and note.find("cue") is None
        and note.find("chord") is None
        and (after is None or after.find("chord") is None)
        and not any(tie.get("type") == "stop" for tie in note.iter("tie"))
    )


def digit(note: _Element) -> str:
    return note.findtext(".//fingering", "")


def midi(note: _Element) -> int:
    pitch = note.find("pitch")
    assert pitch is not None
    alter = int(float(pitch.findtext("alter", "0")))
    return _SEMITONES[pitch.findtext("step", "C")] + alter + 12 * (int(pitch.findtext("octave", "4")) + 1)


def set_digit(note: _Element, digit: str) -> None:
    fingering = note.find(".//fingering")
    assert fingering is not None
    fingering.text = digit


def technical(note: _Element) -> _Element:
    notations = note.find("notations")
    if notations is None:
        notations = SubElement(note, "notations")
    found = notations.find("technical")
    return SubElement(notations, "technical") if found is None else found


def add(note: _Element, tag: str, text: str = "") -> _Element:
    child = SubElement(technical(note), tag)
    child.text = text or None
    return child


def say(note: _Element, words: str) -> None:
    direction = etree.fromstring(
        f'<direction placement="above"><direction-type><words>{words}</words></direction-type></direction>'
    )
    note.addprevious(direction)


def move_letters(note: _Element, letters: int) -> None:
    pitch = note.find("pitch")
    assert pitch is not None
    step, octave = pitch.find("step"), pitch.find("octave")
    assert step is not None
    assert octave is not None
    place = _LETTERS.index(step.text or "C") + 7 * int(octave.text or "4") + letters
    step.text, octave.text = _LETTERS[place % 7], str(place // 7)
