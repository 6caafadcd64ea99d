"""Numbers as MusicXML writes them, and the error that says where one is wrong."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from functools import lru_cache
from math import lcm
from typing import cast

from lxml.etree import XPath, _Element

from ...errors import ScoreError, said

_DIVISIONS = XPath("measure/attributes/divisions")
LONGEST_NUMBER = 12
"""Digits and signs of the longest number taken seriously; real durations have five or six."""
MOST_TICKS = 10**15
"""Ticks to a quarter; times are floating-point numbers later, which are exact up to about this size."""

NOTE_VALUES = {
    "maxima": Fraction(32), "long": Fraction(16), "breve": Fraction(8), "whole": Fraction(4), "half": Fraction(2),
    "quarter": Fraction(1), "eighth": Fraction(1, 2), "16th": Fraction(1, 4), "32nd": Fraction(1, 8),
    "64th": Fraction(1, 16), "128th": Fraction(1, 32), "256th": Fraction(1, 64), "512th": Fraction(1, 128),
    "1024th": Fraction(1, 256),
}  # fmt: skip
"""Note values in quarter notes, by the names that MusicXML gives them."""


def fault(code: str, message: str, advice: str, element: _Element, part: str, bar: str) -> ScoreError:
    """Return the error for `element`, saying part, bar and line."""
    where = said("part {part}, bar {bar}", part=part, bar=bar)
    if element.sourceline:
        where = said("part {part}, bar {bar}, line {line}", part=part, bar=bar, line=str(element.sourceline))
    return ScoreError(code, message, advice, where, 422)


def reason_of(fault: ValueError) -> str:
    """Return what a reader found wrong, as a sentence that can be translated if it gave one."""
    reason = fault.args[0] if fault.args else ""
    return reason if isinstance(reason, str) else str(reason)


@lru_cache(maxsize=1024)
def quantity(text: str | None) -> Fraction:
    """Return the decimal number in `text`, exactly.

    Raises:
        ValueError: if it is no plain decimal number, or longer than any real one.
    """
    plain = (text or "").strip()
    if not plain or len(plain) > LONGEST_NUMBER or plain.strip("+-.0123456789"):
        raise ValueError(said("{value} is not a number", value=repr(plain[:LONGEST_NUMBER])))
    return Fraction(plain)


def whole(text: str | None) -> int:
    """Return the whole number in `text`.

    Raises:
        ValueError: if it is none.
    """
    number = quantity(text)
    if number.denominator != 1:
        raise ValueError(said("{value} is not a whole number", value=repr(text)))
    return number.numerator


def written_divisions(part: _Element) -> list[_Element]:
    """Return every `<divisions>` of a part, in order."""
    return cast("list[_Element]", _DIVISIONS(part))


def ticks_per_quarter(part: _Element) -> int:
    """Return the smallest number of ticks to a quarter that holds every `<divisions>` of the part.

    Raises:
        ScoreError: if there are so many different divisions that there is no such number of a sensible size.
    """
    ticks = 1
    for divisions in written_divisions(part):
        try:
            value = quantity(divisions.text)
        except ValueError:
            continue  # reported where the attributes are read
        if value > 0:
            ticks = lcm(ticks, value.numerator)
        if ticks > MOST_TICKS:
            raise ScoreError(
                "bad-attributes",
                said("The divisions change between values that have no sensible common multiple."),
                said("Use the same divisions throughout the part."),
                said("part {part}, line {sourceline}", part=str(part.get("id")), sourceline=str(divisions.sourceline)),
            )
    return ticks


def note_value(children: Mapping[str, _Element]) -> Fraction:
    """Return the length in quarter notes that type and dot among the children of a note stand for; 0 without a type."""
    kind = children.get("type")
    quarters = NOTE_VALUES.get((kind.text or "").strip(), Fraction(0)) if kind is not None else Fraction(0)
    return quarters * (Fraction(3, 2) if "dot" in children else 1)
