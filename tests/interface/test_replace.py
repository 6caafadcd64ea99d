"""A score that went through an editor with the marks for one level is marked for another: `printed=replace`."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from service.cli.main import Exit, main

_INSTRUCTION = re.compile(rb"<\?handframe [^?]*\?>")
REEL = "boathouse_reel"
STALE = (b"pos.</words>", b"<bracket", b"<slide")


@pytest.fixture
def edited(sample_scores: dict[str, Path], tmp_path: Path) -> Path:
    """The reel with marks up to fifth position and every kind of line, none of which can be told to be ours."""
    path = tmp_path / "edited.musicxml"
    lines = ["--level", "to-fifth", "--range-lines", "--shift-lines"]
    lines += ["--pin", "b2-2:position=3", "--pin", "b6-6:position=4"]
    assert main(["annotate", str(sample_scores[REEL]), "-o", str(path), *lines]) == Exit.CLEAN
    path.write_bytes(_INSTRUCTION.sub(b"", path.read_bytes()))
    assert all(path.read_bytes().count(stale) >= 2 for stale in STALE)
    return path


def test_no_word_and_no_line_of_the_other_level_stays(edited: Path, tmp_path: Path) -> None:
    marked, back = tmp_path / "marked.musicxml", tmp_path / "back.musicxml"
    main(["annotate", str(edited), "-o", str(marked), "--level", "first", "--printed", "replace"])
    assert not any(stale in marked.read_bytes() for stale in STALE)
    assert b"Lively</words>" in marked.read_bytes()
    assert main(["clean", str(marked), "-o", str(back)]) == Exit.CLEAN
    assert back.read_bytes() == edited.read_bytes()


def test_kept_they_stay(edited: Path, tmp_path: Path) -> None:
    marked = tmp_path / "marked.musicxml"
    main(["annotate", str(edited), "-o", str(marked), "--level", "first"])
    assert all(marked.read_bytes().count(stale) >= 2 for stale in STALE)


def test_only_the_bars_that_are_marked_lose_theirs(edited: Path, tmp_path: Path) -> None:
    """A line that runs out of these bars stays whole."""
    marked = tmp_path / "marked.musicxml"
    bar = next(
        number
        for number, inside in re.findall(rb'(?s)<measure number="(\d+)"(.*?)</measure>', edited.read_bytes())
        if STALE[0] in inside
    ).decode()
    options = ["--level", "first", "--printed", "replace", "--measures", bar]
    main(["annotate", str(edited), "-o", str(marked), *options])
    before, after = edited.read_bytes(), marked.read_bytes()
    assert after.count(STALE[0]) == before.count(STALE[0]) - 1
    for kind in (b"bracket", b"slide"):
        assert after.count(b'<%b type="start"' % kind) == after.count(b'<%b type="stop"' % kind)


@pytest.mark.parametrize("printed", ["keep", "replace"])
def test_a_review_is_bound_by_the_words_only_if_they_are_kept(
    client: TestClient, edited: Path, sample_scores: dict[str, Path], printed: str
) -> None:
    def plan(path: Path, **options: str) -> list[tuple[int, int]]:
        answer = client.post("/review", params={"level": "first", **options}, content=path.read_bytes())
        (part,) = json.loads(answer.text)["parts"]
        return [(row["finger"], row["string"]) for row in part["plan"]]

    assert (plan(edited, printed=printed) == plan(sample_scores[REEL])) == (printed == "replace")
