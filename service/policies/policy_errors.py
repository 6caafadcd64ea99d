"""What is wrong with a policy file, in words: the file, the line, the key, and what is possible."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Sequence
from difflib import get_close_matches
from typing import Any

from pydantic import ValidationError
from pydantic_core import ErrorDetails, PydanticCustomError

from ..config.field_types import BAD_VALUE
from ..errors import ScoreError

_FAULT = "policy_fault"
_HEADING = re.compile(r"\s*(\[\[?)\s*([^\]]+?)\s*\]")
_ASSIGNMENT = re.compile(r"""\s*((?:"[^"]*"|'[^']*'|[\w-]+)(?:\s*\.\s*(?:"[^"]*"|'[^']*'|[\w-]+))*)\s*=""")
_KEY = re.compile(r""""[^"]*"|'[^']*'|[\w-]+""")
_TABLES = ("folders", "exceptions", "tests")

Path = tuple[str | int, ...]


def fault(message: str, advice: str, at: Sequence[str] = (), code: str = "bad-policy") -> PydanticCustomError:
    """Return the error that a validator raises; `at` leads from the validated value to what is wrong in it."""
    return PydanticCustomError(_FAULT, "{message}", {"message": message, "advice": advice, "at": at, "code": code})


def unknown_name(what: str, name: str, known: Collection[str], at: Sequence[str] = ()) -> PydanticCustomError:
    """Return the error for a name that does not exist, with the nearest that does."""
    nearest = get_close_matches(name, known, n=1, cutoff=0.5)
    advice = f"Did you mean {nearest[0]}?" if nearest else f"There are: {', '.join(known) or 'none'}."
    return fault(f"there is no {what} {name!r}", advice, at, "unknown-key")


def wrong_word(word: Any, choices: Collection[str], at: Sequence[str] = ()) -> PydanticCustomError:
    """Return the error for a word that is not one of the choices, with the nearest that is."""
    return fault(f"{word!r} is not possible", _one_of(word, choices), at)


def _one_of(word: Any, choices: Collection[str]) -> str:
    nearest = get_close_matches(str(word), choices, n=1)
    return f"Write one of: {', '.join(choices)}." + (f" Did you mean {nearest[0]}?" if nearest else "")


def score_error(error: ValidationError, name: str, text: str) -> ScoreError:
    """Return the first error of a validation with the file, the line, the key and what is possible."""
    first = error.errors(include_url=False)[0]
    path, message, advice, code = _described(first)
    return policy_error(message, advice, name, code, key=_dotted(path), line=_line_of(text, path))


def policy_error(
    message: str, advice: str, name: str, code: str = "bad-policy", key: str = "", line: int | None = None
) -> ScoreError:
    """Return the error for a policy file."""
    where = f"policy {name}" + (f", line {line}" if line else "")
    return ScoreError(code, f"{key}: {message}." if key else f"{message}.", advice, where, 400)


def _described(error: ErrorDetails) -> tuple[Path, str, str, str]:
    """The path to what is wrong, the message, the advice and the code."""
    path, kind, value, context = error["loc"], error["type"], error["input"], error.get("ctx", {})
    if kind == _FAULT:
        return (*path, *context["at"]), context["message"], context["advice"], context["code"]
    if kind == BAD_VALUE:
        return path, f"{value!r} is not possible", _one_of(value, context["choices"]), "bad-policy"
    if path[-1] == "reason":
        return path[:-1], "a reason is missing", 'Write reason = "…": others will ask why.', "bad-policy"
    message, advice = _simple(str(path[-1]), kind, value)
    return path, message, advice, "bad-policy"


def _simple(key: str, kind: str, value: Any) -> tuple[str, str]:
    if kind == "missing":
        return "this key is missing", f'Write {key} = "…".'
    if kind == "bool_type":
        return f"{value!r} is neither true nor false", "Write true or false, without quotes."
    if kind == "list_type" and key in _TABLES:
        return f"{value!r} is not a list of tables", f"Write [[{key}]] before the keys of each."
    if kind == "list_type":
        return f"{value!r} is not a list", "Write it in square brackets."
    if kind in ("dict_type", "model_type"):
        return f"{value!r} is not a table", f"Write [{key}] and the keys below it."
    return f"{value!r} is not text", 'Write it in quotes, for example "P1".'


def _dotted(path: Path) -> str:
    return "".join(f"[{step}]" if isinstance(step, int) else f".{step}" for step in path).lstrip(".")


def _line_of(text: str, path: Path) -> int | None:
    """The line of a key; of a key that is not there or stands in an inline table, the line of what holds it."""
    lines: dict[Path, int] = {}
    for known, number in _key_lines(text):
        lines.setdefault(known, number)
    return next((lines[path[:end]] for end in range(len(path), 0, -1) if path[:end] in lines), None)


def _key_lines(text: str) -> Iterator[tuple[Path, int]]:
    """Every heading and key of a TOML text with its line."""
    table: Path = ()
    counts: dict[Path, int] = {}
    for number, line in enumerate(text.splitlines(), start=1):
        if heading := _HEADING.match(line):
            table = _resolved(_KEY.findall(heading[2]), counts, is_array=heading[1] == "[[")
            yield table, number
        elif assignment := _ASSIGNMENT.match(line):
            yield (*table, *(key.strip("\"'") for key in _KEY.findall(assignment[1]))), number


def _resolved(keys: list[str], counts: dict[Path, int], *, is_array: bool) -> Path:
    """The path of a heading; an array of tables on the way stands for its last table so far."""
    path: Path = ()
    for number, key in enumerate(keys, start=1):
        path = (*path, key.strip("\"'"))
        if is_array and number == len(keys):
            counts[path] = counts.get(path, -1) + 1
        if path in counts:
            path = (*path, counts[path])
    return path
