"""Whether a card fits on one page: from the heights of its pictures and estimates of its text."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from math import ceil
from typing import Any

from rules import Sheet

_HEIGHT_MILLIMETRES = {"a4": 297 - 28, "letter": 279 - 28}
"""Of a page within its margins."""
WIDTH_MILLIMETRES = {"a4": 180, "letter": 186}
"""The same across."""
HALF = 0.49
"""Width of an exercise of which two stand beside each other, as a part of the line."""
_HEAD, _HEADING, _LINE, _BETWEEN = 30.0, 11.0, 3.7, 1.0
"""Millimetres of the title with all below it, of a heading with its text, of a line of text, between exercises."""
_LETTERS = 98
"""Letters on a line of small text as wide as the page."""
_SPARE = 3
"""Millimetres that the estimates may be short of."""
_HEADING_LETTERS = 80
"""Letters on a line of a heading."""
_TITLE_LETTERS, _TITLE_LINE = 50, 6.1
"""Letters on a line of the title, and its millimetres."""
_REMARK_MARGIN = 0.3
"""Room above and below a remark, in lines."""
_BOX = re.compile(r'viewBox="0 \S+ (\d+) (\d+)"')


def fits_page(sheet: Sheet, sections: Sequence[Mapping[str, Any]], paper: str) -> bool:
    """Return True if the card fits on a page of this paper; one for several pieces if each fits on its own page."""
    return not ends_of_full_pages(sheet, sections, paper)


def ends_of_full_pages(sheet: Sheet, sections: Sequence[Mapping[str, Any]], paper: str) -> list[int]:
    """Return the last section (by its number, from 0) of each page that has too much on it.

    The head stands on the first page, and the remarks on the last.
    """
    return [max(end - 1, 0) for _, end, room in _rooms(sheet, sections, paper) if room < 0]


def room_between(sheet: Sheet, sections: Sequence[Mapping[str, Any]], paper: str) -> list[float]:
    """Return for each section how many millimetres there are to put above each exercise, so that its page is filled."""
    found: list[float] = []
    for start, end, room in _rooms(sheet, sections, paper):
        rows = sum(len(section["exercises"]) for section in sections[start:end])
        found += [max(room, 0.0) / max(rows, 1)] * (end - start)
    return found


def _rooms(sheet: Sheet, sections: Sequence[Mapping[str, Any]], paper: str) -> Iterator[tuple[int, int, float]]:
    """Yield for each page its first section, the one behind its last, and the height that is left."""
    starts = [0, *(number for number, section in enumerate(sections) if number and section["new_page"])]
    for start, end in zip(starts, [*starts[1:], len(sections)], strict=True):
        height = _head(sheet) if not start else 0.0
        height += _sections(sections[start:end], paper)
        height += _remarks(sheet) if end == len(sections) else 0.0
        yield start, end, _HEIGHT_MILLIMETRES[paper] - _SPARE - height


def _head(sheet: Sheet) -> float:
    height = _HEAD + _TITLE_LINE * (ceil(len(sheet.title) / _TITLE_LETTERS) - 1) + _LINE * 1.3 * bool(sheet.pupil)
    return height + _LINE * 1.1 * ceil(len(sheet.note) / _LETTERS)


def _remarks(sheet: Sheet) -> float:
    return _LINE * sum(ceil(len(remark) / _LETTERS) + _REMARK_MARGIN for remark in sheet.remarks)


def _sections(sections: Sequence[Mapping[str, Any]], paper: str) -> float:
    height = 0.0
    for section in sections:
        height += _HEADING + _LINE * 1.1 * max(0, ceil(len(section["text"]) / _LETTERS) - 1)
        height += _LINE * 1.4 * max(0, ceil(len(section["heading"]) / _HEADING_LETTERS) - 1)
        beside = 0.0
        for exercise in section["exercises"]:
            here = _exercise(exercise, WIDTH_MILLIMETRES[paper])
            if exercise["is_half"] and beside:
                here, beside = max(0.0, here - beside), 0.0
            elif exercise["is_half"]:
                beside = here
            else:
                beside = 0.0
            height += here
    return height


def _exercise(exercise: Mapping[str, Any], width: float) -> float:
    """Millimetres of an exercise with its text."""
    share = HALF if exercise["is_half"] else 1.0
    text = f"{exercise['title']} {exercise['text']} {exercise['tempo']}"
    music = 0.0
    for picture in exercise["pictures"]:
        box = _BOX.search(picture)
        if box:
            music += width * share * int(box[2]) / int(box[1])
    return _BETWEEN + _LINE * ceil(len(text) / (_LETTERS * share)) + music


__all__ = ["HALF", "WIDTH_MILLIMETRES", "ends_of_full_pages", "fits_page", "room_between"]
