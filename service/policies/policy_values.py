"""The values of a policy file, checked one by one: a fault names the file, the key, the line and what is possible."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from difflib import get_close_matches
from typing import Any

from rules import DEFAULT_LEVEL, LEVELS, Level, ShiftKind

from ..errors import ScoreError


@dataclass(frozen=True, slots=True)
class Place:
    """A policy file: its name, and its text to find lines in (empty where there is none)."""

    name: str
    text: str = ""

    def fault(self, key: str, what: str, advice: str, code: str = "bad-policy") -> ScoreError:
        """Return the error for a key, with the line on which the key first stands."""
        line = self._line(key)
        where = f"policy {self.name}" + (f", line {line}" if line else "")
        return ScoreError(code, f"{key}: {what}." if key else f"{what}.", advice, where, 400)

    def _line(self, key: str) -> int | None:
        last = re.sub(r"\[\d+\]", "", key).rpartition(".")[2]
        if not last:
            return None
        found = re.search(rf"(?m)^[^#\n]*(?<![\w-]){re.escape(last)}(?![\w-])", self.text)
        return self.text.count("\n", 0, found.start()) + 1 if found else None

    def text_value(self, key: str, value: Any) -> str:
        """Return a text."""
        if not isinstance(value, str):
            raise self.fault(key, f"{value!r} is no text", 'Write it in quotes, for example "P1".')
        return value

    def switch(self, key: str, value: Any) -> bool:
        """Return true or false."""
        if not isinstance(value, bool):
            raise self.fault(key, f"{value!r} is neither true nor false", "Write true or false, without quotes.")
        return value

    def one_of(self, key: str, value: Any, choices: tuple[str, ...]) -> str:
        """Return a text that is one of the choices."""
        if value not in choices:
            nearest = get_close_matches(str(value), choices, n=1)
            hint = f" Did you mean {nearest[0]}?" if nearest else ""
            raise self.fault(key, f"{value!r} is not possible", f"Write one of: {', '.join(choices)}.{hint}")
        return str(value)

    def table(self, key: str, value: Any) -> Mapping[str, Any]:
        """Return a table."""
        if not isinstance(value, Mapping):
            raise self.fault(key, f"{value!r} is no table", f"Write [{key}] and the keys below it.")
        return value

    def tables(self, key: str, value: Any) -> list[Mapping[str, Any]]:
        """Return a list of tables."""
        if not isinstance(value, list) or not all(isinstance(one, Mapping) for one in value):
            raise self.fault(key, "this is no list of tables", f"Write [[{key}]] before the keys of each.")
        return value

    def listed(self, key: str, value: Any) -> list[Any]:
        """Return a list."""
        if not isinstance(value, list):
            raise self.fault(key, f"{value!r} is no list", "Write it in square brackets.")
        return value

    def reason(self, key: str, given: Mapping[str, Any]) -> str:
        """Return the reason, without which no decision of a house is taken."""
        reason = given.get("reason", "")
        if not isinstance(reason, str) or not reason.strip():
            raise self.fault(key, "a reason is missing", 'Write reason = "…": others will ask why.')
        return reason.strip()


def unknown_key(place: Place, path: str, name: str, known: tuple[str, ...], what: str) -> ScoreError:
    """Return the error for something that does not exist, with the nearest that does."""
    nearest = get_close_matches(name, known, n=1, cutoff=0.5)
    hint = f"Did you mean {nearest[0]}?" if nearest else f"There are: {', '.join(known) or 'none'}."
    return place.fault(path, f"there is no {what} {name!r}", hint, "unknown-key")


def level_from(place: Place, body: Mapping[str, Any]) -> Level:
    """Return the level, with the positions and kinds of shift that the policy names."""
    level = LEVELS[place.one_of("level", body.get("level", DEFAULT_LEVEL.name), tuple(LEVELS))]
    if "positions" in body:
        positions = place.listed("positions", body["positions"])
        try:
            level = level.with_positions(frozenset(positions))
        except (TypeError, ValueError) as fault:
            advice = "Write a list of numbers, for example [1, 3]."
            raise place.fault("positions", f"{positions!r} is not possible ({fault})", advice) from None
    if "shifts" in body:
        kinds = tuple(kind.value for kind in ShiftKind)
        names = [place.one_of("shifts", name, kinds) for name in place.listed("shifts", body["shifts"])]
        level = replace(level, shifts=frozenset(map(ShiftKind, names)))
    return level
