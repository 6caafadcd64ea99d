"""What one note prints beside its pitch: fingers, strings, slurs, ornaments, harmonics."""

from __future__ import annotations

import re
from collections.abc import Callable

from lxml.etree import _Element

from rules import Printed, Sign, Technique

_FINGER = re.compile(r"([0-4oO°º])(?:\s*[-–—]\s*[0-4])?")
"""One finger, or a substitution: of "1-2" the first finger takes the note."""
_OPEN_SIGNS = "oO°º"


class Marks:
    """The marks on one note. `slurs` holds (type, number); `harmonic` is "base", "touching", "sounding" or "".

    `printed_signs` are the names of elements for the bow and of ornaments.
    Defaults are shared by all and only replaced, never changed: most notes print one mark or none.
    """

    fingers: tuple[int, ...] = ()
    strings: tuple[int, ...] = ()
    techniques: frozenset[Technique] = frozenset()
    slurs: tuple[tuple[str, str], ...] = ()
    tie_start = False
    tie_stop = False
    new_stroke = False
    fermata = False
    breath = False
    dynamic = ""
    harmonic = ""
    diamond = False
    unread: tuple[str, ...] = ()
    digits = 0
    signs: tuple[str, ...] = ()
    ad_libitum = False
    printed_signs: tuple[str, ...] = ()

    @property
    def prints(self) -> bool:
        """True if anything is printed for the left hand, whether it can be read or not."""
        return bool(self.fingers or self.strings or self.unread)

    @property
    def printed(self) -> Printed:
        """The printed fingers and strings, and what could not be read."""
        fingers = tuple(dict.fromkeys(self.fingers))
        rivals = self.digits > 1 and len(fingers) > 1
        return Printed(fingers, tuple(dict.fromkeys(self.strings)), self.unread, rivals, self.signs)

    def copy(self) -> Marks:
        """Return marks of its own with the same values, which may be changed."""
        marks = Marks()
        marks.__dict__.update(self.__dict__)
        return marks

    def add(self, technique: Technique) -> None:
        """Note one more technique."""
        self.techniques = self.techniques | {technique}


NO_MARKS = Marks()
AD_LIBITUM = "ad libitum"
"""What the editorial `<level>` of a note says that is left to the player.

MusicXML 4.0: the element tells the editorial status of its parent in words.
"""
SIGNS = {
    "staccato": Sign.STACCATO,
    "staccatissimo": Sign.STACCATISSIMO,
    "spiccato": Sign.SPICCATO,
    "tenuto": Sign.TENUTO,
    "detached-legato": Sign.PORTATO,
    "accent": Sign.ACCENT,
    "strong-accent": Sign.STRONG_ACCENT,
    "trill-mark": Sign.TRILL,
    "shake": Sign.TRILL,
    "turn": Sign.TURN,
    "inverted-turn": Sign.INVERTED_TURN,
    "mordent": Sign.MORDENT,
    "inverted-mordent": Sign.INVERTED_MORDENT,
    "tremolo 1": Sign.TREMOLO_1,
    "tremolo 2": Sign.TREMOLO_2,
    "tremolo 3": Sign.TREMOLO_3,
    "fermata": Sign.FERMATA,
    "up-bow": Sign.UP_BOW,
    "down-bow": Sign.DOWN_BOW,
}
"""The signs that a sheet prints again, by the names of their elements (a tremolo of one note with its strokes)."""
_Reader = Callable[[_Element, Marks], None]


def _slur(element: _Element, marks: Marks) -> None:
    kind = element.get("type")
    if kind in ("start", "stop"):
        marks.slurs = (*marks.slurs, (kind, element.get("number") or "1"))


def _tied(element: _Element, marks: Marks) -> None:
    kind = element.get("type")
    marks.tie_start = marks.tie_start or kind in ("start", "continue")
    marks.tie_stop = marks.tie_stop or kind in ("stop", "continue")


def _slide(_: _Element, marks: Marks) -> None:
    marks.add(Technique.GLISSANDO)


def _fermata(_: _Element, marks: Marks) -> None:
    marks.fermata = True
    marks.printed_signs = (*marks.printed_signs, "fermata")


def _dynamics(element: _Element, marks: Marks) -> None:
    for child in element.iterchildren(tag="*"):
        marks.dynamic = str(child.tag)


def _articulations(element: _Element, marks: Marks) -> None:
    for child in element:
        if child.tag in ("breath-mark", "caesura"):
            marks.breath = True
        marks.printed_signs = (*marks.printed_signs, str(child.tag))


def _ornaments(element: _Element, marks: Marks) -> None:
    for child in element:
        technique = _ORNAMENTS.get(child.tag)
        if technique and child.get("type") not in _NOT_BINDING.get(child.tag, ()):
            marks.add(technique)
        name = str(child.tag)
        if name == "tremolo" and child.get("type") in (None, "single"):
            name = f"tremolo {(child.text or '').strip()}"
        marks.printed_signs = (*marks.printed_signs, name)


def _technical(element: _Element, marks: Marks) -> None:
    for child in element.iterchildren(tag="*"):
        reader = _TECHNICAL.get(child.tag)
        if reader:
            reader(child, marks)
        elif child.tag not in _OF_THE_BOW:
            text = " ".join((child.text or "").split())
            marks.unread = (*marks.unread, text if child.tag == "other-technical" and text else str(child.tag))


def _fingering(element: _Element, marks: Marks) -> None:
    if element.get("substitution") == "yes":
        return
    text = " ".join((element.text or "").split())
    bare = text.strip("()[]")
    alternatives = re.sub(r"\s*([-–—])\s*", r"\1", bare).replace("/", " ").replace(",", " ").split()
    for alternative in alternatives or [""]:
        found = _FINGER.fullmatch(alternative)
        if not found:
            marks.unread = (*marks.unread, alternative)
            continue
        sign = found[1]
        if sign in _OPEN_SIGNS or sign == "0":
            marks.signs = (*marks.signs, "0" if sign == "0" else "o")
        marks.fingers = (*marks.fingers, 0 if sign in _OPEN_SIGNS else int(sign))
    if element.get("alternate") != "yes" and bare == text and len(alternatives) == 1:
        marks.digits += 1


def _open_string(_: _Element, marks: Marks) -> None:
    marks.fingers = (*marks.fingers, 0)
    marks.signs = (*marks.signs, "open-string")


def _violin_string(element: _Element, marks: Marks) -> None:
    text = (element.text or "").strip()
    if text.isdecimal() and len(text) < 3 and int(text) > 0:
        marks.strings = (*marks.strings, int(text))
    else:
        marks.unread = (*marks.unread, f"string {text}".strip())


def _harmonic(element: _Element, marks: Marks) -> None:
    tags = {child.tag for child in element}
    artificial = "artificial" in tags
    marks.add(Technique.ARTIFICIAL_HARMONIC if artificial else Technique.NATURAL_HARMONIC)
    if artificial:
        found = (kind for kind in ("base", "touching", "sounding") if f"{kind}-pitch" in tags)
        marks.harmonic = next(found, "base")


def _stopped(_: _Element, marks: Marks) -> None:
    marks.add(Technique.LEFT_PIZZICATO)


def _bow(element: _Element, marks: Marks) -> None:
    marks.new_stroke = True
    marks.printed_signs = (*marks.printed_signs, str(element.tag))


_ORNAMENTS: dict[object, Technique] = {
    "trill-mark": Technique.TRILL,
    "shake": Technique.TRILL,
    "wavy-line": Technique.TRILL,
    "mordent": Technique.MORDENT,
    "inverted-mordent": Technique.MORDENT,
    "turn": Technique.TURN,
    "delayed-turn": Technique.TURN,
    "inverted-turn": Technique.TURN,
    "delayed-inverted-turn": Technique.TURN,
    "vertical-turn": Technique.TURN,
    "inverted-vertical-turn": Technique.TURN,
    "haydn": Technique.TURN,
    "tremolo": Technique.TREMOLO,
}
_NOT_BINDING: dict[object, tuple[str | None, ...]] = {
    # What goes on over other notes is drawn for the eye; a tied note is trilled with the one before it.
    "wavy-line": ("continue", "stop"),
    # On one note the tremolo is the bow's; only between two notes ("start", "stop") it concerns the left hand.
    "tremolo": (None, "single", "unmeasured"),
}
_TECHNICAL: dict[object, _Reader] = {
    "fingering": _fingering,
    "string": _violin_string,
    "open-string": _open_string,
    "harmonic": _harmonic,
    "stopped": _stopped,
    "up-bow": _bow,
    "down-bow": _bow,
}
_OF_THE_BOW = frozenset({"snap-pizzicato"})
"""Marks that are for the right hand alone."""
_NOTATIONS: dict[object, _Reader] = {
    "slur": _slur,
    "tied": _tied,
    "slide": _slide,
    "glissando": _slide,
    "fermata": _fermata,
    "dynamics": _dynamics,
    "articulations": _articulations,
    "ornaments": _ornaments,
    "technical": _technical,
}


def read_marks(note: _Element) -> Marks:
    """Return what all `<notations>` of a `<note>` print together; many exporters write more than one."""
    marks = Marks()
    for notations in note.iterchildren("notations"):
        for element in notations:
            reader = _NOTATIONS.get(element.tag)
            if reader:
                reader(element, marks)
    return marks
