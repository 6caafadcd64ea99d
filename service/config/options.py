"""The options of every door: one model, read from text.

The names are the same on the command line, in a query and in JSON. What does not belong here: what the options do.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import Any

from rules import DEFAULT_LEVEL, INSTRUMENTS, LEVELS, Character, Fingers, Fixed, Level

from .. import errors
from ..naming import Language


class PrintedMarks(StrEnum):
    """What to do with fingerings that the part already has."""

    KEEP = "keep"
    REPLACE = "replace"
    IGNORE = "ignore"


@dataclass(frozen=True, slots=True)
class PinText:
    """A decision of the player as written: for a row of the plan (`n57`) or a range of bars (`b5-8`) of a part."""

    part: str | None
    row: int | None
    bars: tuple[str, str] | None
    fixed: Fixed
    text: str


@dataclass(frozen=True)
class Options:
    """How a score is to be worked on; the defaults are those of the documentation."""

    instrument: str = "violin"
    part: tuple[str, ...] = ()
    level: Level = DEFAULT_LEVEL
    printed: PrintedMarks = PrintedMarks.KEEP
    fingers: Fingers = Fingers.ESSENTIAL
    language: Language = Language.ENGLISH
    range_lines: bool = False
    shift_lines: bool = False
    measures: tuple[str, str] | None = None
    pin: tuple[PinText, ...] = ()
    character: Character = Character.FROM_THE_PART
    tempo: float | None = None
    positions: frozenset[int] | None = field(default=None)
    explain: bool = False

    @property
    def playing_level(self) -> Level:
        """The level with an explicit list of positions, if one was given."""
        return self.level if self.positions is None else self.level.with_positions(self.positions)


NAMES = tuple(Options.__dataclass_fields__)
REPEATABLE = frozenset({"part", "pin"})


def read_options(given: Mapping[str, Iterable[str]], base: Options | None = None) -> Options:
    """Return options from texts by name; what is not given keeps its default (or that of `base`).

    Raises:
        ScoreError: `bad-option`, naming the option, what was given and what is possible.
    """
    values: dict[str, Any] = {}
    for name, texts in given.items():
        if name not in NAMES:
            raise errors.unknown_option(name, NAMES)
        listed = [text.strip() for text in texts]
        if name not in REPEATABLE and len(listed) > 1:
            raise errors.bad_option(name, ", ".join(listed), "a single value")
        values[name] = tuple(map(_pin, listed)) if name == "pin" else _READERS[name](name, listed)
    return replace(base or Options(), **values)


def _one_of(choices: Mapping[str, Any]) -> Callable[[str, list[str]], Any]:
    def read(name: str, texts: list[str]) -> Any:
        key = texts[0].lower()
        if key not in choices:
            raise errors.bad_option(name, texts[0], "one of " + ", ".join(choices))
        return choices[key]

    return read


def _switch(name: str, texts: list[str]) -> bool:
    words = {"true": True, "1": True, "yes": True, "": True, "false": False, "0": False, "no": False}
    if texts[0].lower() not in words:
        raise errors.bad_option(name, texts[0], "true or false")
    return words[texts[0].lower()]


def _parts(_name: str, texts: list[str]) -> tuple[str, ...]:
    return tuple(text for text in texts if text)


def _positions(name: str, texts: list[str]) -> frozenset[int]:
    pieces = [piece for piece in re.split(r"[,\s]+", texts[0]) if piece]
    if not pieces or not all(piece.isascii() and piece.isdigit() and int(piece) <= 18 for piece in pieces):
        raise errors.bad_option(name, texts[0], "positions as numbers from 0 to 18, for example 1,3,5")
    return frozenset(map(int, pieces))


def _bars(name: str, texts: list[str]) -> tuple[str, str]:
    found = re.fullmatch(r"([^\s-]+)(?:-([^\s-]+))?", texts[0])
    if not found:
        raise errors.bad_option(name, texts[0], "a bar or a range of bars, for example 5-12")
    return found[1], found[2] or found[1]


def _tempo(name: str, texts: list[str]) -> float:
    try:
        value = float(texts[0])
    except ValueError:
        value = 0.0
    if not 10 <= value <= 400:
        raise errors.bad_option(name, texts[0], "quarter notes a minute, from 10 to 400")
    return value


_CHARACTERS = {"from-the-part": Character.FROM_THE_PART, "singing": Character.SINGING, "brilliant": Character.BRILLIANT}
_READERS: dict[str, Callable[[str, list[str]], Any]] = {
    "instrument": _one_of({name: name for name in INSTRUMENTS}),
    "part": _parts,
    "level": _one_of(LEVELS),
    "positions": _positions,
    "printed": _one_of({m.value: m for m in PrintedMarks}),
    "fingers": _one_of({f.value: f for f in Fingers}),
    "language": _one_of({w.value: w for w in Language}),
    "range_lines": _switch,
    "shift_lines": _switch,
    "explain": _switch,
    "measures": _bars,
    "character": _one_of(_CHARACTERS),
    "tempo": _tempo,
}

_PIN = re.compile(
    r"(?:(?P<part>[^@]+)@)?(?:n(?P<row>\d{1,7})|b(?P<first>[^\s:-]+)(?:-(?P<last>[^\s:-]+))?):(?P<what>.+)"
)
_PIN_HELP = "a decision such as n57:finger=2,string=3 (row of the plan) or b5-8:position=1 (bars), with PART@ before it"


def _pin(text: str) -> PinText:
    found = _PIN.fullmatch(text)
    if not found:
        raise errors.bad_option("pin", text, _PIN_HELP)
    said: dict[str, frozenset[int]] = {}
    for piece in found["what"].split(","):
        key, _, number = piece.strip().partition("=")
        limit = {"finger": 4, "string": 4, "position": 18}.get(key)
        if limit is None or not (number.isascii() and number.isdigit()) or int(number) > limit or key in said:
            raise errors.bad_option("pin", text, _PIN_HELP)
        said[key] = frozenset({int(number)})
    fixed = Fixed(said.get("finger"), said.get("string"), said.get("position"))
    bars = (found["first"], found["last"] or found["first"]) if found["first"] else None
    return PinText(found["part"], int(found["row"]) if found["row"] else None, bars, fixed, text)
