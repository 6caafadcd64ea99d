"""What the project offers at its front door, and that its version is told in one voice."""

from __future__ import annotations

import ast
import re
import tomllib
from pathlib import Path

import rules

ROOT = Path(__file__).resolve().parent.parent


def test_the_front_door_is_true_and_sorted() -> None:
    assert all(hasattr(rules, name) for name in rules.__all__)
    assert len(set(rules.__all__)) == len(rules.__all__)
    # Constants, then classes, then functions, each in alphabetical order: the order that ruff keeps (RUF022).
    kinds = [(0 if name.isupper() else 1 if name[0].isupper() else 2, name) for name in rules.__all__]
    assert kinds == sorted(kinds)


def test_the_front_door_lists_everything_that_it_imports() -> None:
    tree = ast.parse(Path(rules.__file__).read_text(encoding="utf-8"))
    brought_in = {
        alias.asname or alias.name
        for node in tree.body
        if isinstance(node, ast.ImportFrom) and node.level
        for alias in node.names
    }
    assert brought_in - {"annotations"} == set(rules.__all__)


def test_everything_offered_says_what_it_is() -> None:
    silent = [name for name in rules.__all__ if callable(thing := getattr(rules, name)) and not thing.__doc__]
    assert silent == []


def test_the_changelog_opens_with_the_version() -> None:
    version = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["version"]
    headings = re.findall(r"^## \[(.+?)\]", (ROOT / "CHANGELOG.md").read_text(encoding="utf-8"), re.MULTILINE)
    assert headings[0] == version
