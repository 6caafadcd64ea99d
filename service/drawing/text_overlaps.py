"""Texts of an engraved picture that lie over each other, by their boxes.

The engraver gives texts room above the staff, not beside each other. Widths are estimates: a letter is taken to be as
wide as in a wide serif face, so that no font a reader has is wider by much. A word that lies over a digit is lifted;
two words need more room between their notes, which only a new layout gives (see `sheet_page`).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

from lxml import etree

LETTER_WIDTH = 0.6
"""Average width of a letter as a part of the size of the font (DejaVu Serif Italic: 0.58 for "3rd pos.")."""
_ASCENT, _DESCENT = 0.75, 0.2
_WORD = 4
"""Letters from which a text is a word: two of them are not to stand one above the other either, a line apart."""
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


def words_lifted(picture: str) -> str:
    """Return the picture with each word that lies over a digit lifted as far as it takes."""
    root = etree.fromstring(picture)
    lifts: dict[etree._Element, float] = {}
    for one, other in _overlaps(root):
        if one.is_word != other.is_word:
            word, digit = (one, other) if one.is_word else (other, one)
            lifts[word.element] = max(lifts.get(word.element, 0.0), word.bottom - digit.top)
    for element, lift in lifts.items():
        element.set("y", f"{float(element.get('y', '0')) - lift:g}")
    return etree.tostring(root, encoding="unicode") if lifts else picture


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


__all__ = ["Box", "overlaps", "words_lifted"]
