"""What is wrong with a policy file, in words: the file, the line, the key, and what is possible."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Sequence
from difflib import get_close_matches
from typing import Any

from pydantic import ValidationError
from pydantic_core import ErrorDetails, PydanticCustomError

from ..config.field_types import BAD_VALUE
from ..errors import ScoreError, Sentence, said

_FAULT = "policy_fault"
_HEADING = re.compile(r"\s*(\[\[?)\s*([^\]]+?)\s*\]")
_ASSIGNMENT = re.compile(r"""\s*((?:"[^"]*"|'[^']*'|[\w-]+)(?:\s*\.\s*(?:"[^"]*"|'[^']*'|[\w-]+))*)\s*=""")
_KEY = re.compile(r""""[^"]*"|'[^']*'|[\w-]+""")
_TABLES = ("folders", "exceptions", "tests")

Path = tuple[str | int, ...]


def fault(message: Sentence, advice: Sentence, at: Sequence[str] = (), code: str = "bad-policy") -> PydanticCustomError:
    """Return the error that a validator raises; `at` leads from the validated value to what is wrong in it."""
    return PydanticCustomError(_FAULT, "{message}", {"message": message, "advice": advice, "at": at, "code": code})


def unknown_name(message: Sentence, name: str, known: Collection[str], at: Sequence[str] = ()) -> PydanticCustomError:
    """Return the error for a name that does not exist, with the nearest that does."""
    return fault(message, nearest_name(name, known), at, "unknown-key")


def nearest_name(name: str, known: Collection[str]) -> Sentence:
    """Return the advice for a name that does not exist: the nearest that does, or all of them."""
    nearest = get_close_matches(name, known, n=1, cutoff=0.5)
    if nearest:
        return said("Did you mean {nearest}?", nearest=nearest[0])
    return said("There are: {known}.", known=", ".join(known) or said("none"))


def wrong_word(word: Any, choices: Collection[str], at: Sequence[str] = ()) -> PydanticCustomError:
    """Return the error for a word that is not one of the choices, with the nearest that is."""
    return fault(not_possible(word), _one_of(word, choices), at)


def not_possible(value: Any) -> Sentence:
    """Return the message for a value that is not possible."""
    return said("{value} is not possible", value=repr(value))


def _one_of(word: Any, choices: Collection[str]) -> Sentence:
    nearest, listed = get_close_matches(str(word), choices, n=1), ", ".join(choices)
    if nearest:
        return said("Write one of: {choices}. Did you mean {nearest}?", choices=listed, nearest=nearest[0])
    return said("Write one of: {choices}.", choices=listed)


def score_error(error: ValidationError, name: str, text: str) -> ScoreError:
    """Return the first error of a validation with the file, the line, the key and what is possible."""
    first = error.errors(include_url=False)[0]
    path, message, advice, code = _described(first)
    return policy_error(message, advice, name, code, key=_dotted(path), line=_line_of(text, path))


def policy_error(
    message: Sentence, advice: Sentence, name: str, code: str = "bad-policy", key: str = "", line: int | None = None
) -> ScoreError:
    """Return the error for a policy file."""
    where = (
        said("policy {policy}, line {line}", policy=name, line=line) if line else said("policy {policy}", policy=name)
    )
    what = said("{key}: {message}.", key=key, message=message) if key else said("{message}.", message=message)
    return ScoreError(code, what, advice, where, 400)


def _described(error: ErrorDetails) -> tuple[Path, Sentence, Sentence, str]:
    """The path to what is wrong, the message, the advice and the code."""
    path, kind, value, context = error["loc"], error["type"], error["input"], error.get("ctx", {})
    if kind == _FAULT:
        return (*path, *context["at"]), context["message"], context["advice"], context["code"]
    if kind == BAD_VALUE:
        return path, not_possible(value), _one_of(value, context["choices"]), "bad-policy"
    if path[-1] == "reason":
        advice = said("Write {line}: others will ask why.", line='reason = "…"')
        return path[:-1], said("a reason is missing"), advice, "bad-policy"
    message, advice = _simple(str(path[-1]), kind, value)
    return path, message, advice, "bad-policy"


def _simple(key: str, kind: str, value: Any) -> tuple[Sentence, Sentence]:
    shown = repr(value)
    if kind == "missing":
        return said("this key is missing"), said("Write {line}.", line=f'{key} = "…"')
    if kind == "bool_type":
        return said("{value} is neither true nor false", value=shown), said("Write true or false, without quotes.")
    if kind == "list_type" and key in _TABLES:
        advice = said("Write {heading} before the keys of each.", heading=f"[[{key}]]")
        return said("{value} is not a list of tables", value=shown), advice
    if kind == "list_type":
        return said("{value} is not a list", value=shown), said("Write it in square brackets.")
    if kind in ("dict_type", "model_type"):
        advice = said("Write {heading} and the keys below it.", heading=f"[{key}]")
        return said("{value} is not a table", value=shown), advice
    return said("{value} is not text", value=shown), said("Write it in quotes, for example {example}.", example='"P1"')


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
