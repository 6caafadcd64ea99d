"""Single elements of MusicXML for what ABC says: key, metre, clef, pitch, note value, and the marks of a note."""

from __future__ import annotations

from collections.abc import Sequence

from lxml.etree import SubElement, _Element

from .fields import Clef, KeySignature, Metre
from .music import Head

_ARTICULATIONS = {
    "staccato": "staccato", "accent": "accent", ">": "accent", "emphasis": "accent", "tenuto": "tenuto",
    "wedge": "staccatissimo", "marcato": "strong-accent", "^": "strong-accent", "breath": "breath-mark",
}  # fmt: skip
_TECHNICAL = {
    "upbow": "up-bow", "downbow": "down-bow", "open": "open-string", "snap": "snap-pizzicato",
    "thumb": "thumb-position", "plus": "stopped", "+": "stopped",
}  # fmt: skip
_ORNAMENTS = {
    "trill": "trill-mark", "lowermordent": "mordent", "mordent": "mordent", "uppermordent": "inverted-mordent",
    "pralltriller": "inverted-mordent", "turn": "turn", "roll": "turn", "invertedturn": "inverted-turn",
}  # fmt: skip


def write_key(attributes: _Element, signature: KeySignature) -> None:
    """Add a key: by its fifths, or by each altered step where no number of fifths says it."""
    key = SubElement(attributes, "key")
    if signature.plain:
        SubElement(key, "fifths").text = str(signature.fifths)
        return
    for step, alter in signature.alters.items():
        SubElement(key, "key-step").text = step
        SubElement(key, "key-alter").text = str(alter)


def write_metre(attributes: _Element, metre: Metre) -> None:
    """Add a metre, or say that there is none."""
    time = SubElement(attributes, "time")
    if metre.beats is None:
        SubElement(time, "senza-misura")
        return
    if metre.symbol:
        time.set("symbol", metre.symbol)
    SubElement(time, "beats").text = metre.top
    SubElement(time, "beat-type").text = metre.bottom


def write_clef(attributes: _Element, clef: Clef) -> None:
    """Add a clef."""
    element = SubElement(attributes, "clef")
    SubElement(element, "sign").text = clef.sign
    SubElement(element, "line").text = clef.line
    if clef.octaves:
        SubElement(element, "clef-octave-change").text = str(clef.octaves)


def write_pitch(note: _Element, head: Head | None) -> None:
    """Add a pitch, or a rest."""
    if head is None:
        SubElement(note, "rest")
        return
    pitch = SubElement(note, "pitch")
    SubElement(pitch, "step").text = head.step
    if head.alter:
        SubElement(pitch, "alter").text = str(head.alter)
    SubElement(pitch, "octave").text = str(head.octave)


def write_type(note: _Element, kind: tuple[str, int] | None, ratio: tuple[int, int] | None) -> None:
    """Add the written value with its dots, and the ratio of a tuplet."""
    if kind is not None:
        SubElement(note, "type").text = kind[0]
        for _ in range(kind[1]):
            SubElement(note, "dot")
    if ratio is not None:
        modification = SubElement(note, "time-modification")
        SubElement(modification, "actual-notes").text = str(ratio[0])
        SubElement(modification, "normal-notes").text = str(ratio[1])


def write_marks(notations: _Element, marks: Sequence[str], head: Head | None) -> None:
    """Add the decorations of a sound, and the fingerings of one of its heads."""
    _group(notations, "ornaments", [_ORNAMENTS[mark] for mark in marks if mark in _ORNAMENTS])
    technical = _group(notations, "technical", [_TECHNICAL[mark] for mark in marks if mark in _TECHNICAL])
    for finger in head.fingers if head is not None else ():
        technical = SubElement(notations, "technical") if technical is None else technical
        SubElement(technical, "fingering").text = finger
    _group(notations, "articulations", [_ARTICULATIONS[mark] for mark in marks if mark in _ARTICULATIONS])
    if "fermata" in marks:
        SubElement(notations, "fermata")
    if "arpeggio" in marks:
        SubElement(notations, "arpeggiate")


def _group(notations: _Element, name: str, children: Sequence[str]) -> _Element | None:
    if not children:
        return None
    group = SubElement(notations, name)
    for child in dict.fromkeys(children):
        SubElement(group, child)
    return group
