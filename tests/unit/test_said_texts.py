"""No text for people is plain: errors, help and lines of commands go through a function that can be translated."""

from __future__ import annotations

import argparse
import ast
import inspect
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from service.cli.arguments import OF_ARGPARSE
from service.cli.command_language import command_language, language_of_locale
from service.language import Language
from tests.conftest import ROOT

ERRORS = {"ScoreError": (1, 2, 3), "RequestError": (1, 2), "bad_option": (2,), "no_abc": (0,), "fault": (1, 2)}
"""Calls that make an error, and which of their arguments are read by people."""
TEXTS = {"help", "description", "title", "metavar"}
"""Arguments of argparse that are read by people."""
_NEVER = (
    "'required' is an", "mutually exclusive", "conflict", "must start with", "dest= is", "unexpected option",
    "cannot have multiple subparser", "cannot merge", "not callable", "not defined", "unknown parser", "can't open",
    'argument "-"', "one of the arguments", "not allowed with", "at most one", "expected %s",
)  # fmt: skip
"""What argparse says to programmers, or of kinds of arguments that no command has."""


def plain(node: ast.expr) -> bool:
    """Whether an expression is a text with at least two words that no language but English has."""
    if isinstance(node, ast.JoinedStr):
        text = " ".join(each.value for each in node.values if isinstance(each, ast.Constant))
    elif isinstance(node, ast.Constant) and isinstance(node.value, str):
        text = node.value
    elif isinstance(node, ast.IfExp):
        return plain(node.body) or plain(node.orelse)
    elif isinstance(node, ast.BinOp):
        return plain(node.left) or plain(node.right)
    else:
        return False
    return len(re.findall(r"[A-Za-z]{2,}", text)) >= 2


def plain_texts(source: str) -> Iterator[str]:
    """Yield the plain texts of a module that people would read."""
    for call in ast.walk(ast.parse(source)):
        if not isinstance(call, ast.Call):
            continue
        name = call.func.attr if isinstance(call.func, ast.Attribute) else getattr(call.func, "id", "")
        shown = [call.args[at] for at in ERRORS.get(name, ()) if at < len(call.args)]
        shown += [each.value for each in call.keywords if each.arg in TEXTS and name.startswith(("add_", "Parser"))]
        if name == "print" or (name == "write" and "std" in ast.dump(call.func)):
            shown += call.args[:1]
        yield from (ast.unparse(each) for each in shown if plain(each))


@pytest.mark.parametrize("path", sorted((ROOT / "service").rglob("*.py")), ids=lambda path: path.stem)
def test_no_module_shows_plain_english(path: Path) -> None:
    assert list(plain_texts(path.read_text(encoding="utf-8"))) == []


def test_plain_english_is_found() -> None:
    wrong = 'raise ScoreError("x", f"The file {name} is bad.", said("Send it again."), None)\nprint("It is done.")'
    assert len(list(plain_texts(wrong))) == 2
    assert list(plain_texts('add_argument("x", help="two words")')) == ["'two words'"]
    assert list(plain_texts('add_argument("x", help=said("two words"))')) == []


def test_everything_that_argparse_says_to_users_can_be_translated() -> None:
    calls = [call for call in ast.walk(ast.parse(inspect.getsource(argparse))) if isinstance(call, ast.Call)]
    said = {
        text.value
        for call in calls
        if isinstance(call.func, ast.Name) and call.func.id in ("_", "ngettext")
        for text in call.args
        if isinstance(text, ast.Constant) and isinstance(text.value, str)
    }
    assert len(said) > 20
    assert {text for text in said if not any(each in text for each in _NEVER)} <= set(map(str, OF_ARGPARSE))


@pytest.mark.parametrize(
    ("environment", "language"),
    [
        ({}, "en-GB"),
        ({"LANG": "C.UTF-8", "LANGUAGE": "de"}, "en-GB"),
        ({"LANG": "de_AT.UTF-8"}, "de"),
        ({"LANG": "de_DE.UTF-8", "LC_ALL": "fr_CA.UTF-8"}, "fr"),
        ({"LANG": "de_DE.UTF-8", "LC_MESSAGES": "it_IT@euro"}, "it"),
        ({"LANG": "pt_BR.UTF-8", "LANGUAGE": "pt:es"}, "es"),
        ({"LANG": "en_US.UTF-8"}, "en-US"),
        ({"LANG": "en_AU.UTF-8"}, "en-GB"),
        ({"LANG": "pt_BR.UTF-8"}, "en-GB"),
    ],
)
def test_the_language_is_that_of_the_locale(environment: dict[str, str], language: str) -> None:
    assert language_of_locale(environment) is Language(language)


def test_a_language_that_is_named_goes_before_that_of_the_locale(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LC_ALL", "fr_FR.UTF-8")
    assert command_language(["review", "--language", "de", "x"]) is Language.GERMAN
    assert command_language(["review", "--language=IT"]) is Language.ITALIAN
    assert command_language(["review", "--language", "klingon"]) is Language.FRENCH
    assert command_language(["review"]) is Language.FRENCH
