"""A decision of the player as a text: `n57:finger=2,string=3` for a row of the plan, `b5-8:position=1` for bars."""

from __future__ import annotations

import re
from dataclasses import dataclass

from rules import HIGHEST_POSITION, Constraint

from ..errors import said
from .field_types import TextValue

PATTERN = r"^([^@]+@)?(n\d{1,7}|b[^\s:-]+(-[^\s:-]+)?):.+$"
_PIN = re.compile(
    r"(?:(?P<part>[^@]+)@)?(?:n(?P<row>\d{1,7})|b(?P<first>[^\s:-]+)(?:-(?P<last>[^\s:-]+))?):(?P<what>.+)"
)
_HIGHEST = {"finger": 4, "string": 4, "position": HIGHEST_POSITION}


@dataclass(frozen=True, slots=True)
class PinText:
    """A decision as written: for a row of the plan or a range of bars, of one part or of all."""

    part: str | None
    row: int | None
    bars: tuple[str, str] | None
    constraint: Constraint
    text: str


def read_pin(text: str) -> PinText:
    """Return the decision that a text writes down.

    Raises:
        ValueError: if the text is not a decision.
    """
    match = _PIN.fullmatch(text)
    if not match:
        raise ValueError(text)
    numbers: dict[str, frozenset[int]] = {}
    for piece in match["what"].split(","):
        key, _, digits = piece.strip().partition("=")
        highest = _HIGHEST.get(key, -1)
        if not (digits.isascii() and digits.isdigit()) or int(digits) > highest or key in numbers:
            raise ValueError(text)
        numbers[key] = frozenset({int(digits)})
    constraint = Constraint(numbers.get("finger"), numbers.get("string"), numbers.get("position"))
    bars = (match["first"], match["last"] or match["first"]) if match["first"] else None
    return PinText(match["part"], int(match["row"]) if match["row"] else None, bars, constraint, text)


PIN = TextValue(
    read_pin,
    lambda pin: str(pin.text),
    pattern=PATTERN,
    expected=said(
        "a decision such as n57:finger=2,string=3 (row of the plan) or b5-8:position=1 (bars), "
        "with PART@ before it for one part"
    ),
)
