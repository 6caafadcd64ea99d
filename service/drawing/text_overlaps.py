"""Texts of an engraved picture that lie over each other, by their boxes.

The engraver gives texts room above the staff, not beside each other. Widths are estimates: a letter is taken to be as
wide as in a wide serif face, so that no font a reader has is wider by much. A word that lies over a digit is lifted;
two words need more room between their notes, which only a new layout gives (see `sheet_page`).
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import combinations
from math import ceil

from lxml import etree

LETTER_WIDTH = 0.6
"""Average width of a letter as a part of the size of the font (DejaVu Serif Italic: 0.58 for "3rd pos.")."""
_ASCENT, _DESCENT = 0.75, 0.2
_WORD = 4
"""Letters from which a text is a word: two of them are not to stand one above the other either, a line apart."""
_SVG = "{http://www.w3.org/2000/svg}svg"
_GROUP = "{http://www.w3.org/2000/svg}g"
_LINE = re.compile(r"M(\S+) (\S+) L\S+ (\S+)$")
_BOLD = 25.0
"""By how much half a bold digit is wider than estimated, with the stroke of a stem."""
_HIGHEST_LIFT = 700.0
"""A digit is never lifted further than this: about the height of a staff. What is further away is another voice."""
_COLUMN = 120.0
"""Twice the distance between the middles of texts that stand above each other."""
_TEXT = "{http://www.w3.org/2000/svg}text"


@dataclass(frozen=True, slots=True)
class Box:
    """Where a text stands, in the units of the picture."""

    text: str
    element: etree._Element
    left: float
    top: float
    right: float
    bottom: float

    @property
    def is_word(self) -> bool:
        """True for the name of a position, not for digits and numerals."""
        return len(self.text) >= _WORD

    def covers(self, other: Box) -> bool:
        """True if the boxes share an area, or two words stand one above the other with less than a line between."""
        beside = self.left < other.right and other.left < self.right
        between = max(self.top, other.top) - min(self.bottom, other.bottom)
        return beside and between < (self.bottom - self.top if self.is_word and other.is_word else 0.0)


def overlaps(picture: str) -> Iterator[tuple[Box, Box]]:
    """Yield the pairs of texts of a picture that lie over each other."""
    yield from _overlaps(etree.fromstring(picture))


def texts_lifted(picture: str) -> str:
    """Return the picture with digits lifted off stems, with what stands above them, and words lifted off digits."""
    root = etree.fromstring(picture)
    moved = _lift(_off_stems(root))
    moved |= _lift(_off_digits(root))
    moved |= _lift(_off_words(root))
    if not moved:
        return picture
    _make_room(root)
    return etree.tostring(root, encoding="unicode")


def _make_room(root: etree._Element) -> None:
    """Make the picture higher if a text has been lifted over its edge; the drawing is an element of its own in it."""
    above = -min((box.top for box in _boxes(root)), default=0.0)
    inner = root.find(f".//{_SVG}[@viewBox]")
    if above <= 0 or inner is None:
        return
    _, _, width, height = map(float, (root.get("viewBox") or "").split())
    scale = height / float((inner.get("viewBox") or "").split()[3])
    more = ceil(above * scale)
    root.set("viewBox", f"0 {-more} {width:g} {height + more:g}")
    for name, value in (("width", width), ("height", height)):
        inner.set(name, f"{value:g}")
    inner.set("overflow", "visible")


def _lift(lifts: Mapping[etree._Element, float]) -> bool:
    for element, lift in lifts.items():
        element.set("y", f"{float(element.get('y', '0')) - lift:g}")
    return bool(lifts)


def _off_digits(root: etree._Element) -> dict[etree._Element, float]:
    """How far each word has to be lifted so that it lies over no digit."""
    lifts: dict[etree._Element, float] = {}
    for one, other in _overlaps(root):
        if one.is_word != other.is_word:
            word, digit = (one, other) if one.is_word else (other, one)
            lifts[word.element] = max(lifts.get(word.element, 0.0), word.bottom - digit.top)
    return lifts


def _off_words(root: etree._Element) -> dict[etree._Element, float]:
    """How far the second of two words has to be lifted to stand clear above the first."""
    lifts: dict[etree._Element, float] = {}
    for one, other in _overlaps(root):
        if one.is_word and other.is_word and one.bottom > other.top and other.bottom > one.top:
            lifts[other.element] = max(lifts.get(other.element, 0.0), other.bottom - one.top)
    return lifts


def _off_stems(root: etree._Element) -> dict[etree._Element, float]:
    """How far each digit has to be lifted so that no stem runs into it, and the numerals above it with it."""
    paths = (path.get("d", "") for group in root.iter(_GROUP) if group.get("class") == "stem" for path in group)
    stems = [tuple(map(float, found.groups())) for path in paths if (found := _LINE.match(path))]
    digits = [box for box in _boxes(root) if not box.is_word]
    lifts: dict[etree._Element, float] = {}
    for box in digits:
        middle, half = (box.left + box.right) / 2, (box.right - box.left) / len(box.text) / 2 + _BOLD
        for x, one, other in stems:
            top, bottom = min(one, other), max(one, other)
            if abs(x - middle) < half and top < box.bottom and box.top < bottom and box.bottom - top < _HIGHEST_LIFT:
                lifts[box.element] = max(lifts.get(box.element, 0.0), box.bottom - top)
    for box in digits:
        for below in digits:
            above = box.bottom <= below.top + (below.bottom - below.top) / 2
            if above and below.element in lifts and abs(box.left + box.right - below.left - below.right) < _COLUMN:
                lifts[box.element] = max(lifts.get(box.element, 0.0), lifts[below.element])
    return lifts


def _overlaps(root: etree._Element) -> Iterator[tuple[Box, Box]]:
    boxes = sorted(_boxes(root), key=lambda box: box.left)
    for one, other in combinations(boxes, 2):
        if one.covers(other):
            yield one, other


def _boxes(root: etree._Element) -> Iterator[Box]:
    for element in root.iter(_TEXT):
        text = "".join(map(str, element.itertext())).strip()
        sizes = [float(each.get("font-size", "0px")[:-2]) for each in element.iter() if each.get("font-size")]
        size = max(sizes, default=0.0)
        if text and size and element.get("x") and text.isascii():
            width = size * LETTER_WIDTH * len(text)
            x, y = float(element.get("x", "0")), float(element.get("y", "0"))
            left = x - width / 2 if element.get("text-anchor") == "middle" else x
            yield Box(text, element, left, y - size * _ASCENT, left + width, y + size * _DESCENT)


__all__ = ["Box", "overlaps", "texts_lifted"]
