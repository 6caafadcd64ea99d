"""The examples of the guides, run as they are printed against a running service: shell, Python and JavaScript."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from lxml import etree

from tests.interface.running import ROOT, Running, running

GUIDE = (ROOT / "service" / "http" / "README.md").read_text(encoding="utf-8")
README = (ROOT / "README.md").read_text(encoding="utf-8")
_PORT = "8765"


def example(language: str, number: int, text: str = GUIDE) -> str:
    """An example of a guide, by its language and its place among those."""
    return re.findall(rf"```{language}\n(.*?)```", text, re.DOTALL)[number]


@pytest.fixture(scope="module")
def service() -> Iterator[Running]:
    with running("--planners", "1") as started:
        yield started


@pytest.fixture
def folder(tmp_path: Path, sample_scores: dict[str, Path]) -> Path:
    """A folder with the scores that the examples name."""
    shutil.copy(sample_scores["ferry_waltz"], tmp_path / "waltz.musicxml")
    shutil.copy(sample_scores["pier_march"], tmp_path / "waltz.mxl")
    return tmp_path


def run(command: list[str], folder: Path) -> str:
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True, timeout=120, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout


def at(text: str, service: Running) -> str:
    return text.replace(f":{_PORT}", f":{service.port}")


def is_marked(path: Path) -> bool:
    return next(etree.parse(path).iter("fingering"), None) is not None


@pytest.mark.skipif(shutil.which("curl") is None, reason="no curl")
def test_the_examples_for_the_shell(service: Running, folder: Path) -> None:
    run(["sh", "-ec", at(example("sh", 0), service)], folder)
    assert is_marked(folder / "waltz.marked.musicxml")
    assert (folder / "waltz.marked.mxl").read_bytes()[:2] == b"PK"


@pytest.mark.skipif(shutil.which("curl") is None, reason="no curl")
def test_the_example_of_the_front_page(service: Running, folder: Path) -> None:
    shell = next(each for each in re.findall(r"```sh\n(.*?)```", README, re.DOTALL) if "curl" in each)
    run(["sh", "-ec", at(shell.replace("handframe serve &\n", ""), service)], folder)
    assert is_marked(folder / "marked.musicxml")


def test_the_example_with_the_standard_library(service: Running, folder: Path) -> None:
    told = run([sys.executable, "-c", at(example("python", 0), service)], folder)
    assert "proposals; needs level" in told
    assert is_marked(folder / "waltz.marked.musicxml")


def test_the_example_with_the_client(service: Running, folder: Path) -> None:
    (folder / "catalogue").mkdir()
    shutil.copy(folder / "waltz.musicxml", folder / "catalogue")
    code = f"import sys; sys.path.insert(0, {str(ROOT)!r})\n" + at(example("python", 1), service)
    told = run([sys.executable, "-c", code], folder)
    assert is_marked(folder / "waltz.marked.musicxml")
    assert "waltz.musicxml: 1 parts" in told


@pytest.mark.skipif(shutil.which("node") is None, reason="no node")
def test_the_example_in_javascript(service: Running, folder: Path) -> None:
    around = (
        'import { readFileSync, writeFileSync } from "node:fs";\n'
        'const file = readFileSync("waltz.musicxml");\n'
        'const show = async (blob) => writeFileSync("shown.musicxml", Buffer.from(await blob.arrayBuffer()));\n'
        "const report = (detail) => { throw new Error(detail); };\n"
    )
    (folder / "example.mjs").write_text(around + at(example("js", 0), service))
    run(["node", "example.mjs"], folder)
    assert is_marked(folder / "shown.musicxml")
