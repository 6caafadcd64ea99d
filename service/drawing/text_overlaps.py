"""Texts of an engraved picture that lie over each other, by their boxes.

The engraver gives texts room above the staff, not beside each other, and lets slurs run through digits. Widths are
estimates: a letter is taken to be as wide as in a wide serif face, so that no font a reader has is wider by much.
A word that lies over a digit is lifted, and so is a digit under a slur or a stem. Two words need more room between
their notes, which only a new layout gives (see `sheet_page`).
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import combinations, pairwise
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
_CURVES = frozenset({"slur", "tie"})
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
_STEP = 60.0
"""A curve is looked at in points about as far apart: a third of the width of a digit."""
_BESIDE_EACH_OTHER = 250.0
"""From one digit to the next: note heads of a unison or a second stand about 210 apart, successive notes further."""
_BESIDE_CURVE = 20.0
"""Room between a digit and a slur: about the stroke of a stem."""
_SPAN = "{http://www.w3.org/2000/svg}tspan"
_USE = "{http://www.w3.org/2000/svg}use"
_PLACE = re.compile(r"translate\((-?\d+), (-?\d+)\)")
_SIGNS = {"notehead": (212.0, 90.0), "accid": (180.0, 250.0)}
"""Width and half the height of a note head and of an accidental."""
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

    def shares_area(self, other: Box, between: float = 0.0) -> bool:
        """True if the boxes share an area, or stand one above the other with less than so much between."""
        beside = self.left < other.right and other.left < self.right
        return beside and max(self.top, other.top) - min(self.bottom, other.bottom) < between

    def covers(self, other: Box) -> bool:
        """True if the boxes share an area, or two words stand one above the other with less than a line between."""
        return self.shares_area(other, self.bottom - self.top if self.is_word and other.is_word else 0.0)


def overlaps(picture: str) -> Iterator[tuple[Box, Box]]:
    """Yield the pairs of texts of a picture that lie over each other."""
    yield from _overlaps(etree.fromstring(picture))


def texts_lifted(picture: str) -> str:
    """Return the picture with digits lifted off stems and slurs, with what stands above them, and words off digits."""
    root = etree.fromstring(picture)
    moved = _lift(_off_stems(root))
    moved |= _lift(_off_each_other(root))
    moved |= _lift(_off_curves(root))
    moved |= _lift(_off_signs(root))
    moved |= _lift(_off_each(root))
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
        element.set("y", f"{float(element.get('y', '0')) - ceil(lift):g}")  # a whole unit clear of rounding
    return bool(lifts)


def _off_each(root: etree._Element) -> dict[etree._Element, float]:
    """How far each word has to be lifted to lie over no digit and no other word; the lowest word is placed first."""
    boxes = list(_boxes(root))
    placed = [replace(box, left=box.left - _BOLD, right=box.right + _BOLD) for box in boxes if not box.is_word]
    lifts: dict[etree._Element, float] = {}
    for word in sorted((box for box in boxes if box.is_word), key=lambda box: (-box.bottom, box.left)):
        here = word
        while below := [box for box in placed if here.shares_area(box)]:
            lift = float(ceil(max(lifts.get(word.element, 0.0), word.bottom - min(box.top for box in below))))
            lifts[word.element] = lift
            here = replace(word, top=word.top - lift, bottom=word.bottom - lift)
        placed.append(here)
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
    return _with_those_above(digits, lifts)


def _off_each_other(root: etree._Element) -> dict[etree._Element, float]:
    """How far the left one of two digits of a chord has to be lifted that stand side by side, like one number."""
    digits = sorted((box for box in _boxes(root) if box.text.isdecimal()), key=lambda box: (box.bottom, box.left))
    return {
        one.element: one.bottom - one.top
        for one, other in pairwise(digits)
        if one.bottom == other.bottom and other.right - one.right < _BESIDE_EACH_OTHER
    }


def _off_curves(root: etree._Element) -> dict[etree._Element, float]:
    """How far each text has to be lifted to stand above the slur or tie that runs into it, and what is above it."""
    edges = [edge for group in root.iter(_GROUP) if group.get("class") in _CURVES for edge in _edges(group)]
    edges = [edge for edge in edges if _is_arch(edge)]
    boxes = list(_boxes(root))
    lifts: dict[etree._Element, float] = {}
    for box in boxes:
        left, right = box.left - _BESIDE_CURVE, box.right + _BESIDE_CURVE
        for edge in edges:
            heights = [y for x, y in edge if left <= x <= right]
            if heights and min(heights) - _BESIDE_CURVE < box.bottom and box.top < max(heights) + _BESIDE_CURVE:
                lift = box.bottom + _BESIDE_CURVE - min(heights)
                lifts[box.element] = max(lifts.get(box.element, 0.0), lift)
    return _with_those_above(boxes, lifts)


def _is_arch(edge: Sequence[tuple[float, float]]) -> bool:
    """Whether a curve lies above its notes: its middle is higher than its ends."""
    return edge[len(edge) // 2][1] < (edge[0][1] + edge[-1][1]) / 2


def _off_signs(root: etree._Element) -> dict[etree._Element, float]:
    """How far each word has to be lifted so that no note or accidental that stands lower reaches into it."""
    words = [box for box in _boxes(root) if box.is_word]
    signs = list(_signs(root)) if words else []
    lifts: dict[etree._Element, float] = {}
    for word in words:
        middle = (word.top + word.bottom) / 2
        for left, right, top, bottom in signs:
            if left < word.right and word.left < right and top < word.bottom and middle < (top + bottom) / 2:
                lifts[word.element] = max(lifts.get(word.element, 0.0), word.bottom - top)
    return lifts


def _signs(root: etree._Element) -> Iterator[tuple[float, float, float, float]]:
    """Left, right, top and bottom of every note head and accidental."""
    for group in root.iter(_GROUP):
        size = _SIGNS.get(group.get("class") or "")
        for sign in group.iterchildren(_USE) if size else ():
            if size and (found := _PLACE.match(sign.get("transform") or "")):
                x, y = map(float, found.groups())
                yield x, x + size[0], y - size[1], y + size[1]


def _edges(group: etree._Element) -> Iterator[list[tuple[float, float]]]:
    """The edges of a slur as points: each is a Bézier curve, and the next one begins where it ends."""
    for path in group:
        numbers = [float(number) for number in _NUMBER.findall(path.get("d", ""))]
        points = list(zip(numbers[::2], numbers[1::2], strict=False))
        for start in range(0, len(points) - 3, 3):
            curve = points[start : start + 4]
            steps = ceil(abs(curve[3][0] - curve[0][0]) / _STEP) + 1
            (x0, y0), (x1, y1), (x2, y2), (x3, y3) = curve
            yield [
                (a * x0 + b * x1 + c * x2 + d * x3, a * y0 + b * y1 + c * y2 + d * y3) for a, b, c, d in _shares(steps)
            ]


@lru_cache(maxsize=256)
def _shares(steps: int) -> tuple[tuple[float, float, float, float], ...]:
    """How much each of the four points of a cubic Bézier curve counts, at the ends of so many steps along it."""
    places = [(step / steps, 1 - step / steps) for step in range(steps + 1)]
    return tuple((rest**3, 3 * rest**2 * place, 3 * rest * place**2, place**3) for place, rest in places)


def _with_those_above(digits: Sequence[Box], lifts: dict[etree._Element, float]) -> dict[etree._Element, float]:
    """The lifts, and those of the numerals that stand above what is lifted."""
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
        spans = [(float(each.get("font-size", "0px")[:-2]), each.text or "") for each in element.iter(_SPAN)]
        width = sum(size * LETTER_WIDTH * len(letters.strip()) for size, letters in spans)
        # The note of a tempo mark has a font and size of its own; the letters tell how high the text is.
        size = max((size for size, letters in spans if letters.strip() and letters.isascii()), default=0.0)
        if size and element.get("x"):
            x, y = float(element.get("x", "0")), float(element.get("y", "0"))
            left = x - width / 2 if element.get("text-anchor") == "middle" else x
            yield Box(text, element, left, y - size * _ASCENT, left + width, y + size * _DESCENT)


__all__ = ["Box", "overlaps", "texts_lifted"]
