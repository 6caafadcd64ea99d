"""Accidentals and beams for a part whose file has none, so that it can be read: computed for the engraver's copy only.

A part without a single `<accidental>` or `<beam>` was not written for the eye. Accidentals follow the usual rule: they
hold for their octave to the end of the bar, and a tied note needs none. Beams follow the beats; editions also join four
eighth notes in a half bar. The user's file never gets them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from lxml import etree

_SHARPS = "FCGDAEB"
_NAMES = {-2: "flat-flat", -1: "flat", 0: "natural", 1: "sharp", 2: "double-sharp"}
_BEAMS = {"eighth": 1, "16th": 2, "32nd": 3, "64th": 4}
_BEFORE_ACCIDENTAL = {"grace", "cue", "chord", "pitch", "duration", "tie", "instrument", "voice", "type", "dot"}
_BEFORE_BEAM = _BEFORE_ACCIDENTAL | {
    "footnote", "level", "accidental", "time-modification", "stem", "notehead", "notehead-text", "staff",
}  # fmt: skip
"""What stands before these elements in a note (W3C MusicXML 4.0, note)."""


class MissingSign(NamedTuple):
    """An accidental or a beam for a note, which is known by its number in the part; beams have numbers too."""

    note: int
    tag: str
    text: str
    beam: int = 0


def missing_signs(part: etree._Element) -> tuple[MissingSign, ...]:
    """Return what a `<part>` lacks, if it lacks all accidentals or all beams: accidentals first."""
    numbers = {note: number for number, note in enumerate([*part.iter("note")])}
    found: list[MissingSign] = []
    if next(part.iter("accidental"), None) is None:
        found += [MissingSign(numbers[note], "accidental", name) for note, name in _accidentals(part)]
    if next(part.iter("beam"), None) is None:
        found += [MissingSign(numbers[note], "beam", kind, number) for note, kind, number in _beams(part)]
    return tuple(found)


def add_signs(part: etree._Element, signs: Sequence[MissingSign]) -> tuple[str, ...]:
    """Add signs to a `<part>` with the same notes; return which kinds were added: "accidentals", "beams"."""
    notes = [*part.iter("note")] if signs else []
    for sign in signs:
        if sign.tag == "accidental":
            _insert(notes[sign.note], sign.tag, sign.text, _BEFORE_ACCIDENTAL)
        else:
            _insert(notes[sign.note], sign.tag, sign.text, _BEFORE_BEAM).set("number", str(sign.beam))
    return signs_added(signs)


def signs_added(signs: Sequence[MissingSign]) -> tuple[str, ...]:
    """Return which kinds of signs there are: "accidentals", "beams"."""
    return tuple(dict.fromkeys(f"{sign.tag}s" for sign in signs))


def _accidentals(part: etree._Element) -> Iterator[tuple[etree._Element, str]]:
    """The notes that need an accidental, and its name."""
    fifths = 0
    for measure in part.iterchildren("measure"):
        seen: dict[tuple[str, str], int] = {}
        for element in measure.iterchildren("attributes", "note"):
            if element.tag == "attributes":
                text = element.findtext("key/fifths", "").strip()
                fifths = int(text) if text.lstrip("-").isdigit() else fifths
                continue
            pitch = element.find("pitch")
            if pitch is None:
                continue
            written = {child.tag: child.text or "" for child in pitch}
            step = written.get("step", "")
            place = step, written.get("octave", "")
            alter = _whole(written["alter"]) if "alter" in written else 0
            present = seen.get(place, _in_key(step, fifths))
            is_tied = any(child.tag == "tie" and child.get("type") == "stop" for child in element)
            if alter != present and alter in _NAMES and not is_tied:
                yield element, _NAMES[alter]
            if not is_tied:
                seen[place] = alter


def _whole(text: str) -> int:
    try:
        return round(float(text))
    except (ValueError, OverflowError):
        return 0


def _in_key(step: str, fifths: int) -> int:
    if fifths >= 0:
        return int(step in _SHARPS[:fifths])
    return -int(step in _SHARPS[fifths:])


@dataclass
class _Beamed:
    note: etree._Element
    group: int
    level: int


def _beams(part: etree._Element) -> Iterator[tuple[etree._Element, str, int]]:
    """The notes that need beams, what each beam does at the note, and its number."""
    if not any(type.text in _BEAMS for type in part.iter("type")):
        return
    divisions, beat = 1, Fraction(1)
    for measure in part.iterchildren("measure"):
        for attributes in measure.iterchildren("attributes"):
            divisions = max(_whole(attributes.findtext("divisions", str(divisions))), 1)
            beat = _beat(attributes) or beat
        for voice in _voices(measure, divisions, beat):
            for group in _groups(voice):
                yield from _beam(group)


def _beat(attributes: etree._Element) -> Fraction | None:
    """The quarter notes of a beat: a dotted quarter in 6/8."""
    beats, unit = (_whole(attributes.findtext(f"time/{name}", "0")) for name in ("beats", "beat-type"))
    if beats < 1 or unit < 1:
        return None
    return Fraction(12, unit) if unit >= 8 and beats > 3 and beats % 3 == 0 else max(Fraction(4, unit), Fraction(1))


def _voices(measure: etree._Element, divisions: int, beat: Fraction) -> Iterator[list[_Beamed | None]]:
    """The notes of each voice that can have a beam, None in the place of anything else."""
    voices: dict[str, list[_Beamed | None]] = {}
    at = 0
    beat_length = beat * divisions
    for element in measure.iterchildren("note", "backup", "forward"):
        length = _whole(element.findtext("duration", "0"))
        if element.tag != "note":
            at += length if element.tag == "forward" else -length
            continue
        if element.find("chord") is not None or element.find("grace") is not None:
            continue
        level = 0 if element.find("rest") is not None else _BEAMS.get(element.findtext("type", ""), 0)
        found = _Beamed(element, int(at // beat_length), level) if level else None
        voices.setdefault(element.findtext("voice", "1"), []).append(found)
        at += length
    yield from voices.values()


def _groups(voice: Sequence[_Beamed | None]) -> Iterator[list[_Beamed]]:
    group: list[_Beamed] = []
    for one in (*voice, None):
        if group and (one is None or one.group != group[0].group):
            if len(group) > 1:
                yield group
            group = []
        if one is not None:
            group.append(one)


def _beam(group: Sequence[_Beamed]) -> Iterator[tuple[etree._Element, str, int]]:
    for number in range(1, max(one.level for one in group) + 1):
        for index, one in enumerate(group):
            if one.level < number:
                continue
            before = index > 0 and group[index - 1].level >= number
            after = index + 1 < len(group) and group[index + 1].level >= number
            alone = "forward hook" if index == 0 else "backward hook"
            kind = "continue" if before and after else "end" if before else "begin" if after else alone
            yield one.note, kind, number


def _insert(note: etree._Element, tag: str, text: str, before: set[str]) -> etree._Element:
    """Insert an element behind those that stand before it in a note, and behind others of its name."""
    index = sum(1 for child in note if child.tag in before or child.tag == tag)
    made = etree.Element(tag)
    made.text = text
    note.insert(index, made)
    return made
