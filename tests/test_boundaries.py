"""The two boundaries of the house, and what every file has to keep to.

The import contracts (`make check`) see imports; these tests see the rest: calls that touch the outside, names, lengths.
"""

from __future__ import annotations

import ast
import sys
from collections import Counter
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
RULES = sorted((ROOT / "rules").rglob("*.py"))
SERVICE = sorted((ROOT / "service").rglob("*.py"))
TESTS = sorted((ROOT / "tests").rglob("*.py"))
WRITTEN = (".py", ".md", ".toml", ".yaml", ".yml", ".js", ".ts", ".json", ".css", ".html", ".sh", "")
LONGEST = 450
MOST_MODULES = 12
CATALOGUE = "rules/check/catalogue"

OUTSIDE_CALLS = {"open", "print", "input", "exec", "eval", "compile", "breakpoint", "__import__"}
OUTSIDE_MODULES = {
    "asyncio", "builtins", "datetime", "glob", "importlib", "io", "logging", "multiprocessing", "os", "pathlib",
    "random", "secrets", "shutil", "socket", "subprocess", "sys", "tempfile", "threading", "time", "urllib", "uuid",
    "warnings",
}  # fmt: skip
DISCOVERY = "rules/check/catalogue/__init__.py"
"""The one file that may import by name: it finds the rules, so that a new one needs no list."""
INSIDE_PACKAGES = {"numpy", "rules"}
VAGUE_NAMES = {"common", "helper", "helpers", "manager", "managers", "misc", "util", "utils"}


def shown(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def looks_inside(path: Path) -> bool:
    """True for the tests that mirror single modules of rules, and for the fitting of its weights."""
    return path.relative_to(ROOT).parts[1] in {"unit", "reference", "benchmarks"}


def imported(tree: ast.AST) -> list[tuple[int, str]]:
    """Return line and full name of every absolute import, wherever in the file it stands."""
    names: list[tuple[int, str]] = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names += [(node.lineno, alias.name) for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and not node.level:
            names.append((node.lineno, node.module or ""))
    return names


def impure(tree: ast.AST) -> list[str]:
    """Return what in `tree` touches the outside: calls, modules, and numpy's random numbers and files."""
    faults: list[str] = []
    for line, name in imported(tree):
        package = name.partition(".")[0]
        known = package in sys.stdlib_module_names or package in INSIDE_PACKAGES
        if package in OUTSIDE_MODULES or not known or name.startswith("numpy.random"):
            faults.append(f"line {line} imports {name}")
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in OUTSIDE_CALLS:
            faults.append(f"line {node.lineno} calls {node.func.id}()")
        elif isinstance(node, ast.Attribute) and node.attr in {"random", "tofile", "fromfile", "savez", "read_text"}:
            faults.append(f"line {node.lineno} uses .{node.attr}")
    return faults


def past_the_front_door(tree: ast.AST) -> list[str]:
    """Return the imports that reach behind the front door of `rules`."""
    return [f"line {line} imports {name}" for line, name in imported(tree) if name.startswith("rules.")]


def parsed(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def test_rules_touch_nothing_outside() -> None:
    faults = [(shown(path), fault) for path in RULES for fault in impure(parsed(path))]
    allowed = [(name, fault) for name, fault in faults if name == DISCOVERY and fault.endswith(" imports importlib")]
    assert len(allowed) == 1
    assert faults == allowed


def test_the_outside_uses_the_front_door_of_rules() -> None:
    outside = SERVICE + [path for path in TESTS if not looks_inside(path)]
    assert [(shown(path), fault) for path in outside for fault in past_the_front_door(parsed(path))] == []


@pytest.mark.parametrize(
    "source",
    [
        "open('x')",
        "def f():\n    import time",
        "from random import choice",
        "import lxml.etree",
        "from service import annotate",
        "import numpy as np\nnp.random.default_rng()",
        "print(1)",
    ],
)
def test_the_purity_check_sees_what_it_must(source: str) -> None:
    assert impure(ast.parse(source))


@pytest.mark.parametrize("source", ["from rules.hand import Stop", "def f():\n    import rules.hand"])
def test_the_front_door_check_sees_what_it_must(source: str) -> None:
    assert past_the_front_door(ast.parse(source))
    assert not past_the_front_door(ast.parse("from rules import Pitch"))


def test_no_file_is_too_long_to_read() -> None:
    lengths = {shown(path): len(path.read_text(encoding="utf-8").splitlines()) for path in RULES + SERVICE + TESTS}
    assert {name: length for name, length in lengths.items() if length > LONGEST} == {}, (
        "cut where there are two subjects"
    )


def test_no_folder_holds_more_than_a_dozen_modules() -> None:
    """The rules of the catalogue aside, of which each is a module."""
    modules = Counter(shown(path.parent) for path in RULES + SERVICE if path.stem not in ("__init__", "__main__"))
    assert modules.pop(CATALOGUE) > MOST_MODULES
    assert {folder: count for folder, count in modules.items() if count > MOST_MODULES} == {}


def test_no_file_has_a_vague_name() -> None:
    parts = {shown(path): {Path(part).stem for part in Path(shown(path)).parts} for path in RULES + SERVICE + TESTS}
    assert [name for name, words in parts.items() if words & VAGUE_NAMES] == []


def project_files() -> list[Path]:
    """Return the written files of the project: the packages, the tests, the samples and what lies at the top."""
    folders = [
        path for name in ("rules", "service", "tests", "sample_scores", ".ci") for path in (ROOT / name).rglob("*")
    ]
    return sorted(
        path
        for path in [*folders, *ROOT.iterdir()]
        if path.is_file()
        and path.suffix in WRITTEN
        and not {"__pycache__", "node_modules"} & set(path.parts)
        and path != Path(__file__)
    )


def test_no_file_knows_the_machine_it_was_written_on() -> None:
    # Built from halves, so that this file does not find itself when it moves.
    places = ("/wo" + "rk/", "/ho" + "me/", "/ro" + "ot/", "/Us" + "ers/", "../sha" + "red")
    found = [
        f"{shown(path)}: {place}"
        for path in project_files()
        for place in places
        if place in path.read_text(encoding="utf-8", errors="replace")
    ]
    assert found == []
