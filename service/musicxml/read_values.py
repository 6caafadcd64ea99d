"""Numbers as MusicXML writes them, and the error that says where one is wrong.

What belongs here: text to number, with limits. What does not: what the numbers mean.
"""

from __future__ import annotations

from fractions import Fraction

from lxml.etree import _Element

from ..errors import ScoreError

LONGEST_NUMBER = 12
"""Digits and signs of the longest number taken seriously; real durations have five or six."""


def fault(code: str, message: str, advice: str, element: _Element, part: str, bar: str) -> ScoreError:
    """Return the error for `element`, saying part, bar and line."""
    line = f", line {element.sourceline}" if element.sourceline else ""
    return ScoreError(code, message, advice, f"part {part}, bar {bar}{line}", 422)


def quantity(text: str | None) -> Fraction:
    """Return the decimal number in `text`, exactly.

    Raises:
        ValueError: if it is no plain decimal number, or longer than any real one.
    """
    plain = (text or "").strip()
    if not plain or len(plain) > LONGEST_NUMBER or plain.strip("+-.0123456789"):
        raise ValueError(f"{plain[:LONGEST_NUMBER]!r} is not a number")
    return Fraction(plain)


def whole(text: str | None) -> int:
    """Return the whole number in `text`.

    Raises:
        ValueError: if it is none.
    """
    number = quantity(text)
    if number.denominator != 1:
        raise ValueError(f"{text!r} is not a whole number")
    return number.numerator
