"""Cuts a long part into pieces, since the engraver's time grows faster than the number of bars.

A piece begins with the clef, key and divisions in force. It is cut where no tie, slur, hairpin or bracket is open if
there is such a bar line near; else where the fewest are.
"""

from __future__ import annotations

from collections.abc import Sequence
from copy import deepcopy
from itertools import pairwise

from lxml import etree

_IN_FORCE = ("divisions", "key", "time", "staves", "clef", "staff-details", "transpose")
"""Attributes that hold until they change, in the order of the schema (W3C MusicXML 4.0, attributes)."""
_PAIRS = ("tie", "slur", "wedge", "bracket", "dashes")
_WINDOW = 0.2
"""How far from its full length, as a part of it, a piece may be cut."""


def pieces(root: etree._Element, bars: int, first: int | None = None) -> list[str]:
    """Cut the score of one part into scores of about `bars` measures each; a short one comes back as it is.

    The measures are taken out of the score.

    The first piece has about `first` measures if that is given: it is there sooner.

    Raises:
        ValueError: if a piece were to have no measure.
    """
    if min(bars, first or bars) < 1:
        raise ValueError(f"a piece has at least one measure, not {min(bars, first or bars)}")
    part = root.find("part")
    measures = [] if part is None else list(part.iterchildren("measure"))
    if len(measures) <= (first or bars) * (1 + _WINDOW):
        return [etree.tostring(root, encoding="unicode")]
    found = []
    state: dict[tuple[str, str | None], etree._Element] = {}
    for start, end in pairwise(_cuts(next(root.iterchildren("part")), bars, first)):
        before = dict(state)
        _take_up(state, measures[start:end])
        found.append(etree.tostring(_piece(root, measures[start:end], before), encoding="unicode"))
    return found


def piece_count(part: etree._Element, bars: int, first: int) -> int:
    """Return into how many pieces a `<part>` is cut."""
    return len(_cuts(part, bars, first)) - 1


def bars_for_first_cut(first: int) -> int:
    """Return how many bars of a part tell where its first piece ends: with so many it is cut there as well."""
    return int(first * (1 + _WINDOW)) + 2


def cut_out(root: etree._Element, first: int, end: int, lines: Sequence[int]) -> str:
    """Return the measures of a score from `first` to before `end` as a score; `lines` are those at which lines begin.

    Both count from 0, `lines` within the piece.
    """
    measures = list(next(root.iterchildren("part")).iterchildren("measure"))
    state: dict[tuple[str, str | None], etree._Element] = {}
    _take_up(state, measures[:first])
    state = {key: element for key, element in state.items() if _is_in_every_line(element)}
    piece = _piece(root, [deepcopy(measure) for measure in measures[first:end]], state)
    own = list(next(piece.iterchildren("part")))
    for line in lines:
        own[line].insert(0, etree.Element("print", {"new-system": "yes"}))
    return etree.tostring(piece, encoding="unicode")


def _is_in_every_line(element: etree._Element) -> bool:
    """Whether a line of music has room for it: only the first has for a hidden time signature, a key without a sign."""
    return element.tag != "time" and (element.tag != "key" or (element.findtext("fifths") or "0").strip() != "0")


def _cuts(part: etree._Element, bars: int, first: int | None) -> list[int]:
    """The measures at which pieces begin, and the number of measures."""
    open_after = _open_after(part)
    found = [0]
    while found[-1] < len(open_after):
        found.append(_cut(open_after, found[-1], bars if found[-1] else first or bars))
    return found


def _cut(open_after: list[int], start: int, bars: int) -> int:
    """Where a piece ends: the first measure after it."""
    count = len(open_after)
    if count - start <= bars * (1 + _WINDOW):
        return count
    earliest, latest = start + max(1, round(bars * (1 - _WINDOW))), start + max(1, round(bars * (1 + _WINDOW)))
    wanted = start + bars
    return min(range(earliest, latest + 1), key=lambda end: (open_after[end - 1], abs(end - wanted)))


def _open_after(part: etree._Element) -> list[int]:
    """How many ties, slurs and lines are open at the end of each measure."""
    found: list[int] = []
    count = 0
    for element in part.iter("measure", *_PAIRS):
        if element.tag == "measure":
            found.append(count)
            continue
        kind = element.get("type")
        if kind in {"start", "crescendo", "diminuendo"}:
            count += 1
        elif kind == "stop":
            count -= 1
    return [max(open_before, 0) for open_before in (*found[1:], count)]


def _piece(
    root: etree._Element, measures: list[etree._Element], state: dict[tuple[str, str | None], etree._Element]
) -> etree._Element:
    """A score like another, with these measures, which leave the score they are in."""
    piece = _alike(root)
    piece.extend(deepcopy(child) for child in root.iterchildren() if child.tag != "part")
    part = _alike(next(root.iterchildren("part")))
    piece.append(part)
    part.extend(measures)
    if state:
        attributes = etree.Element("attributes")
        for tag in _IN_FORCE:
            attributes.extend(deepcopy(element) for (name, _), element in state.items() if name == tag)
        for time in attributes.iterchildren("time"):
            time.set("print-object", "no")
        part[0].insert(0, attributes)
    return piece


def _alike(element: etree._Element) -> etree._Element:
    """An element of the same name with the same attributes, and nothing in it."""
    made = etree.Element(element.tag)
    for name, value in element.attrib.items():
        made.set(name, value)
    return made


def _take_up(state: dict[tuple[str, str | None], etree._Element], measures: list[etree._Element]) -> None:
    """Record what is in force after some measures."""
    for measure in measures:
        for attributes in measure.iterchildren("attributes"):
            for element in attributes.iterchildren(*_IN_FORCE):
                state[str(element.tag), element.get("number")] = element
