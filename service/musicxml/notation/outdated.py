"""Position and string words, their range lines and shift lines that a part already prints, to be written anew.

A trip through an editor takes away what tells that such marks are ours, so they are known by their form alone: the
very words that we write, with nothing else in their direction; dashed brackets that begin at the same moment as such
words, or later in their measure with no other words between; solid slides without text. Whatever shares a direction
with something else is left alone.
"""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Iterable, Iterator, Sequence
from copy import deepcopy
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple, TypeVar

from lxml.etree import _Element

from ...naming import is_own_word
from ..file.elements import ElementRemoval, Removable
from .values import quantity

_BESIDE = frozenset({"direction-type", "offset", "voice", "staff"})
_Moment = tuple[int, Fraction]
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Outdated:
    """What has to go together, a line from its start to its end; indices of the first and last measure it is in."""

    first: int
    last: int
    removals: tuple[ElementRemoval, ...]


class _Direction(NamedTuple):
    """`plain`: our words and one bracket at most, nothing else; `words`: ours are among it; `others`: other words."""

    element: _Element
    moment: _Moment
    plain: bool
    words: bool
    others: bool
    brackets: tuple[_Element, ...]


class _End(NamedTuple):
    """One element that may have to go, and the index of its measure."""

    element: _Element
    measure: int


def find_outdated(root: _Element, part: _Element) -> tuple[Outdated, ...]:
    """Return what one part of the document `root` prints in our own form."""
    directions: list[_Direction] = []
    slides: list[tuple[str, _End]] = []
    for index, measure in enumerate(part.iterchildren("measure")):
        now = Fraction(0)
        for child in measure:
            if child.tag == "direction":
                directions.append(_direction(child, index, now))
            elif child.tag == "note":
                slides.extend(_slides(child, index))
                if child.find("chord") is None and child.find("grace") is None:
                    now += _length(child, "duration")
            elif child.tag in ("backup", "forward"):
                now += _length(child, "duration") * (-1 if child.tag == "backup" else 1)
    groups = [*_words(directions), *_range_lines(directions), *_shift_lines(slides)]
    return _numbered(root, groups) if groups else ()


def without(root: _Element, outdated: Iterable[Outdated]) -> _Element:
    """Return a copy of the document `root` in which nothing of this stands any more."""
    copy = deepcopy(root)
    gone = [removal for each in outdated for removal in each.removals]
    for name in {removal.name for removal in gone}:
        elements = _elements(copy, name)
        for removal in gone:
            if removal.name == name:
                element = elements[removal.ordinal]
                parent = element.getparent()
                assert parent is not None, "only what stands in a measure is outdated"
                parent.remove(element)
    return copy


def _elements(root: _Element, name: Removable) -> list[_Element]:
    """Every element that is written `<name` in the text, whatever namespace it may be in."""
    return [element for element in root.iter(f"{{*}}{name}") if element.prefix is None]


def _numbered(root: _Element, groups: Sequence[Sequence[_End]]) -> tuple[Outdated, ...]:
    ordinals: dict[_Element, ElementRemoval] = {}
    names: tuple[Removable, ...] = ("direction", "slide")
    for name in names:
        for ordinal, element in enumerate(_elements(root, name)):
            ordinals[element] = ElementRemoval(name, ordinal)
    return tuple(
        Outdated(
            min(end.measure for end in group),
            max(end.measure for end in group),
            tuple(ordinals[end.element] for end in group),
        )
        for group in groups
    )


def _length(element: _Element, name: str) -> Fraction:
    try:
        return quantity(element.findtext(name) or "0")
    except ValueError:
        return Fraction(0)  # the reader says what is wrong with it; here only what stands together counts


def _direction(element: _Element, measure: int, now: Fraction) -> _Direction:
    plain, words, others = True, False, False
    brackets: list[_Element] = []
    for child in element.iterchildren("*"):
        plain = plain and child.tag in _BESIDE
        for mark in child.iterchildren("*"):
            if mark.tag == "bracket":
                brackets.append(mark)
            elif child.tag == "direction-type" and mark.tag == "words" and not len(mark) and is_own_word(mark.text):
                words = True
            else:
                plain, others = False, others or mark.tag == "words"
    plain = plain and len(brackets) <= 1 and (words or bool(brackets))
    return _Direction(element, (measure, now + _length(element, "offset")), plain, words, others, tuple(brackets))


def _words(directions: Iterable[_Direction]) -> Iterator[list[_End]]:
    for each in directions:
        if each.plain and not each.brackets:
            yield [_End(each.element, each.moment[0])]


def _under_our_words(directions: Sequence[_Direction]) -> set[_Element]:
    """Return the directions at the moment of our words or after them: some programs let a line begin a note late."""
    moments = {each.moment for each in directions if each.plain and each.words}
    found: set[_Element] = set()
    measure: int | None = None  # where the latest words stand, if they are ours
    for each in directions:
        if each.plain and each.words:
            measure = each.moment[0]
        elif each.others:
            measure = None
        if each.moment in moments or each.moment[0] == measure:
            found.add(each.element)
    return found


def _range_lines(directions: Sequence[_Direction]) -> Iterator[list[_End]]:
    """Yield the directions of every dashed bracket that begins with our words; one that shares any of them stays."""
    named = _under_our_words(directions)
    ends = [
        (bracket.get("number") or "1", bracket.get("type") or "", (bracket, each))
        for each in directions
        for bracket in each.brackets
    ]
    for line in _lines(ends):
        bracket, start = line[0]
        begins = bracket.get("type") == "start" and bracket.get("line-type") == "dashed" and start.element in named
        if begins and all(each.plain for _, each in line) and not any(each.words for _, each in line[1:]):
            yield [_End(each.element, each.moment[0]) for _, each in line]


def _slides(note: _Element, measure: int) -> Iterator[tuple[str, _End]]:
    """Yield the slides of a note with the voice it is in; the line that arrives before the one that leaves."""
    if note.find("notations/slide") is not None:
        voice = note.findtext("voice") or "1"
        found = note.findall("notations/slide")
        for slide in sorted(found, key=lambda slide: slide.get("type") == "start"):
            yield voice, _End(slide, measure)


def _shift_lines(slides: Iterable[tuple[str, _End]]) -> Iterator[list[_End]]:
    """Yield both ends of every solid line without text; an end alone is a line of its own."""
    ends = (
        (f"{voice} {end.element.get('number') or '1'}", end.element.get("type") or "", end) for voice, end in slides
    )
    for line in _lines(ends):
        if all(_is_plain_slide(end.element) for end in line):
            yield line


def _lines(ends: Iterable[tuple[str, str, T]]) -> list[list[T]]:
    """Put together, by key and type, what begins, continues and stops one line."""
    running: defaultdict[str, deque[list[T]]] = defaultdict(deque)
    lines: list[list[T]] = []
    for key, edge, end in ends:
        if edge == "start" or not running[key]:
            lines.append([end])
            if edge == "start":
                running[key].append(lines[-1])
            continue
        # Where one line stops and the next starts, an editor may write the start first: the oldest goes on.
        running[key][0].append(end)
        if edge == "stop":
            running[key].popleft()
    return lines


def _is_plain_slide(slide: _Element) -> bool:
    return slide.get("line-type", "solid") == "solid" and not len(slide) and not (slide.text or "").strip()
