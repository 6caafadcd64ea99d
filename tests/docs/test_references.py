"""What documents and docstrings refer to is there: files, folders and names."""

from __future__ import annotations

import ast
import re
import tomllib
from functools import cache
from pathlib import Path

import pytest

from tests.conftest import ROOT

PLACES = ("rules", "service", "tests", "sample_scores")
PYTHON = [path for name in PLACES[:3] for path in sorted((ROOT / name).rglob("*.py"))]
PAPERS = sorted(
    path
    for path in [*ROOT.glob("*.md"), *(path for name in PLACES for path in (ROOT / name).rglob("*.md"))]
    if "node_modules" not in path.parts and path.name != "CHANGELOG.md"
)
"""Everything but the history, which names what was there at the time."""
_CODE = re.compile(r"`([^`\s]+)`")
_FILE = re.compile(r"[\w./-]+\.(?:py|md|js|yaml|toml|css)|[A-Za-z_][\w.-]*(?:/[\w.-]+)+/?")
_SEE = re.compile(r"\(see `([\w./]+)`")
_ADDRESS_OR_EXAMPLE = re.compile(r"^[/.]|^(?:scores|build|page|our_|catalogue|Documents)/|^handframe")


@cache
def files() -> tuple[str, ...]:
    """Every file and folder of the project, by its path from the root, with a stroke before it."""
    found = [path for name in PLACES for path in (ROOT / name).rglob("*") if "node_modules" not in path.parts]
    return tuple(f"/{path.relative_to(ROOT).as_posix()}" for path in [*found, *ROOT.iterdir()])


def is_there(name: str) -> bool:
    wanted = "/" + name.strip("/").removeprefix("./")
    return any(path.endswith((wanted, f"{wanted}.py")) for path in files())


@cache
def read(path: Path) -> tuple[tuple[str, ...], frozenset[str]]:
    """The docstrings of a module, and the names that it defines, assigns or imports."""
    texts, found = [], {path.stem, path.parent.name}
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef):
            texts.append(ast.get_docstring(node) or "")
        if isinstance(node, ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef):
            found.add(node.name)
        elif isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store):
            found.add(node.id)
        elif isinstance(node, ast.arg):
            found.add(node.arg)
        elif isinstance(node, ast.alias):
            found.add(node.asname or node.name)
    return tuple(texts), frozenset(found)


@cache
def names(package: Path = ROOT) -> frozenset[str]:
    """The modules and packages in a package, and whatever is defined, assigned or imported in one."""
    return frozenset().union(*(read(path)[1] for path in PYTHON if package in path.parents))


def missing_files(text: str) -> list[str]:
    named = [name for name in _CODE.findall(text) if _FILE.fullmatch(name) and not _ADDRESS_OR_EXAMPLE.match(name)]
    return [name for name in named if not is_there(name)]


def missing_names(text: str) -> list[str]:
    return [name for name in _SEE.findall(text) if not is_there(name) and name.split(".")[-1] not in names()]


@pytest.mark.parametrize("path", PAPERS, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_files_that_a_paper_names_are_there(path: Path) -> None:
    assert missing_files(path.read_text(encoding="utf-8")) == []


def test_what_docstrings_refer_to_is_there() -> None:
    texts = [(path.relative_to(ROOT).as_posix(), text) for path in PYTHON for text in read(path)[0]]
    assert [(path, name) for path, text in texts for name in (*missing_files(text), *missing_names(text))] == []


@pytest.mark.parametrize(
    "path",
    [path for path in PYTHON if path.name == "__init__.py" and "tests" not in path.parts],
    ids=lambda path: path.parent.relative_to(ROOT).as_posix(),
)
def test_what_a_package_says_of_itself_is_there(path: Path) -> None:
    """Names in its docstring are those of its modules, or stand in one of them."""
    text = read(path)[0][0]
    named = [name.removesuffix(".py").strip("/").split(".")[-1] for name in _CODE.findall(text)]
    assert [name for name in named if name not in names(path.parent) and not is_there(name)] == []


@pytest.mark.parametrize("package", ["rules", "service"])
def test_the_drawing_of_the_house_is_what_the_contracts_hold(package: str) -> None:
    contracts = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["importlinter"][
        "contracts"
    ]
    layers = next(contract["layers"] for contract in contracts if contract.get("containers") == [package])
    drawing = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").partition("```mermaid")[2].partition("```")[0]
    (row,) = [line for line in drawing.partition(f"subgraph {package} ")[2].splitlines() if "-->" in line][:1]
    assert row.strip().split(" --> ") == layers


def test_the_table_of_packages_is_complete() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").partition("| package |")[2].partition("\n\n")[0]
    named = {name.rstrip("/") for name in _CODE.findall(text)}
    packages = [path for name in ("rules", "service") for path in (ROOT / name).iterdir() if path.stem[0] not in "_."]
    assert [path.name for path in packages if path.relative_to(ROOT).as_posix() not in named] == []
    folders = [path.name for path in (ROOT / "tests").iterdir() if path.is_dir() and path.stem[0] not in "_."]
    assert [name for name in folders if name not in named] == []


def test_a_stale_reference_is_seen() -> None:
    assert missing_files("in `rules/hand/grips.py` and `nowhere.py`") == ["rules/hand/grips.py", "nowhere.py"]
    assert missing_files("in `hand/grip.py`, `POST /annotate`, `service/web`") == []
    assert missing_names("(see `no_such_name`), (see `grip`)") == ["no_such_name"]
