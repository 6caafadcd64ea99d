"""Directions and bar lines as plain facts: words, dynamics, lines, signs, and where they take effect."""

from __future__ import annotations

from collections.abc import Iterator
from enum import Enum, auto
from fractions import Fraction
from typing import NamedTuple

from lxml.etree import _Element

from rules import SFORZATI

from .values import quantity

LOUDNESS = {
    **dict.fromkeys(("ppp", "pppp", "ppppp", "pppppp"), -3),
    "pp": -2,
    "p": -1,
    "mp": 0,
    "mf": 0,
    "f": 1,
    "ff": 2,
    **dict.fromkeys(("fff", "ffff", "fffff", "ffffff"), 3),
    "fp": -1,
    "sfp": -1,
    "sfpp": -2,
    "pf": 1,
    "n": -3,
}
"""Steps of loudness in force afterwards; mp and mf are the middle. Accents such as sfz leave what was in force."""


class Kind(Enum):
    """What a direction says."""

    WORDS = auto()
    DYNAMIC = auto()
    SFORZATO = auto()
    HAIRPIN = auto()
    STRAY = auto()
    LINE_START = auto()
    LINE_STOP = auto()
    SEGNO = auto()
    CODA = auto()
    TO_CODA = auto()
    DA_CAPO = auto()
    DAL_SEGNO = auto()
    REPEAT_START = auto()
    REPEAT_STOP = auto()
    ENDING_START = auto()
    ENDING_STOP = auto()
    FINAL_BAR_LINE = auto()


class Direction(NamedTuple):
    """One fact: when (`tick`), before which note of the document (`ordinal`), in which measure, and what."""

    tick: int | Fraction
    ordinal: int
    measure: int
    kind: Kind
    value: str = ""


_SOUND_JUMPS = {
    "segno": Kind.SEGNO,
    "coda": Kind.CODA,
    "tocoda": Kind.TO_CODA,
    "dacapo": Kind.DA_CAPO,
    "dalsegno": Kind.DAL_SEGNO,
}


def jumps_of_sound(sound: _Element) -> Iterator[tuple[Kind, str]]:
    """Yield the jumps that a `<sound>` element declares."""
    for name, kind in _SOUND_JUMPS.items():
        value = sound.get(name)
        if value and value != "no":
            yield kind, value


def _of_loudness(element: _Element) -> Iterator[tuple[Kind, str]]:
    if element.tag == "wedge":
        kind = element.get("type")
        if kind in ("crescendo", "diminuendo", "stop"):
            yield Kind.HAIRPIN, f"{kind} {element.get('number') or '1'}"
        return
    for child in element:
        if child.tag in LOUDNESS:
            yield Kind.DYNAMIC, str(child.tag)
        elif child.tag in SFORZATI:
            yield Kind.SFORZATO, str(child.tag)


def _of_type(element: _Element) -> Iterator[tuple[Kind, str]]:
    tag = element.tag
    if tag == "words":
        text = " ".join((element.text or "").split())
        if text:
            yield Kind.WORDS, text
    elif tag in ("dynamics", "wedge"):
        yield from _of_loudness(element)
    elif tag in ("bracket", "dashes"):
        kind = {"start": Kind.LINE_START, "stop": Kind.LINE_STOP}.get(element.get("type") or "")
        if kind:
            yield kind, f"{tag} {element.get('number') or '1'}"
    elif tag == "segno":
        yield Kind.SEGNO, ""


def read_direction(element: _Element) -> tuple[Fraction, list[tuple[Kind, str]]]:
    """Return the offset of a `<direction>` in divisions, and what it says, in document order."""
    offset = Fraction(0)
    facts: list[tuple[Kind, str]] = []
    for child in element:
        tag = child.tag
        if tag == "direction-type":
            for element_of_type in child:
                facts.extend(_of_type(element_of_type))
        elif tag == "sound":
            facts.extend(jumps_of_sound(child))
        elif tag == "offset":
            try:
                offset = quantity(child.text)
            except ValueError:
                offset = Fraction(0)  # a mark set a little to the left or right; no reason to refuse the music
    return offset, facts


def read_barline(element: _Element) -> Iterator[tuple[Kind, str]]:
    """Yield the repeats and endings at a `<barline>`, and that it is a final one, where no repeat sign stands at it."""
    if element.findtext("bar-style") == "light-heavy" and element.find("repeat") is None:
        yield Kind.FINAL_BAR_LINE, ""
    for child in element:
        if child.tag == "repeat":
            yield (Kind.REPEAT_START if child.get("direction") == "forward" else Kind.REPEAT_STOP), ""
        elif child.tag == "ending":
            kind = Kind.ENDING_START if child.get("type") == "start" else Kind.ENDING_STOP
            yield kind, child.get("number") or "1"
        elif child.tag == "segno":
            yield Kind.SEGNO, ""
