"""ABC and Humdrum kern in: converted by music21, which nobody pays for who sends MusicXML."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from service.cli.main import Exit, main
from service.config.options import read_options
from service.errors import ScoreError
from service.musicxml.import_formats import other_format, to_musicxml
from service.usecases.annotate import annotate, review_score
from tests.schema import is_valid

ABC = b"X:1\nT:Oar Song\nM:4/4\nL:1/4\nK:D\nD E F G|A B c d|e f g a|b4|\n"
KERN = b"**kern\n*clefG2\n*k[f#]\n*M4/4\n=1\n4g\n4a\n4b\n4cc\n=2\n1dd\n==\n*-\n"


@pytest.mark.parametrize(("data", "name", "kind"), [
    (ABC, "song.abc", "abc"),
    (ABC, "-", "abc"),
    (b"%abc-2.1\n% a remark\nX: 12\nK:C\nC", "-", "abc"),
    (KERN, "song.krn", "humdrum"),
    (b"!!!COM: nobody\n" + KERN, "-", "humdrum"),
    (b"<score-partwise/>", "song.abc", None),
    (b"PK\x03\x04", "song.krn", None),
    (b"plain words", "notes.txt", None),
])  # fmt: skip
def test_formats_are_told_by_beginning_and_ending(data: bytes, name: str, kind: str | None) -> None:
    assert other_format(data, name) == kind


@pytest.mark.parametrize(("data", "name", "pitches"), [
    (ABC, "song.abc", ["D4", "E4", "F#4", "G4"]),
    (KERN, "song.krn", ["G4", "A4", "B4", "C5"]),
])  # fmt: skip
def test_notes_come_through_and_the_answer_is_valid_musicxml(data: bytes, name: str, pitches: list[str]) -> None:
    score = to_musicxml(data, name)
    (part,) = review_score(score, read_options({"part": ["P1"]}))
    assert [note.pitch.name for note in part.passage.notes[:4]] == pitches
    assert is_valid(annotate(score, read_options({"part": ["P1"]})).data)
    assert to_musicxml(data, name) == score, "the same file gives the same score"


def test_musicxml_passes_untouched() -> None:
    assert to_musicxml(b"<score-partwise/>", "a.musicxml") == b"<score-partwise/>"


@pytest.mark.parametrize(("data", "name"), [(b"X:1\nK:C\n", "empty.abc"), (b"**kern\n*-\n", "empty.krn")])
def test_a_file_without_notes_is_refused(data: bytes, name: str) -> None:
    with pytest.raises(ScoreError, match="could not be turned into MusicXML"):
        to_musicxml(data, name)


def test_music21_is_loaded_only_for_these_formats(sample_scores: dict[str, Path], tmp_path: Path) -> None:
    code = "import sys, service.cli.main; service.cli.main.main(sys.argv[1:]); sys.exit('music21' in sys.modules)"
    score = str(sample_scores["first_bench"])
    done = subprocess.run([sys.executable, "-c", code, "review", score], capture_output=True, check=False)
    assert done.returncode == 0, done.stderr


def test_review_takes_them_like_any_score(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "song.abc").write_bytes(ABC)
    (tmp_path / "song.krn").write_bytes(KERN)
    assert main(["review", str(tmp_path), "--format", "summary"]) == Exit.CLEAN
    assert "2 files, 2 parts" in capsys.readouterr().out


@pytest.mark.parametrize(("data", "name"), [(ABC, "song.abc"), (KERN, "song.krn")])
def test_annotate_and_practice_take_them_and_give_musicxml(data: bytes, name: str, tmp_path: Path) -> None:
    song = tmp_path / name
    song.write_bytes(data)
    assert main(["annotate", str(song)]) == Exit.CLEAN
    assert is_valid((tmp_path / "song.marked.musicxml").read_bytes())
    assert main(["practice", str(song), "--level", "first-and-third"]) == Exit.CLEAN
    assert is_valid((tmp_path / "song.practice.musicxml").read_bytes())


def _places(folder: Path) -> list[str]:
    """Texts that name a file that is there, one that is not, a folder, and addresses."""
    there = folder / "there.abc"
    there.write_bytes(ABC)
    (folder / "there.krn").write_bytes(KERN)
    paths = [there, folder / "there.krn", folder / "missing.abc", folder / "missing.krn", folder]
    return [*map(str, paths), there.as_uri(), (folder / "missing.abc").as_uri(), "http://127.0.0.1:9/there.abc"]


@pytest.mark.parametrize("name", ["q.abc", "q.krn"])
@pytest.mark.parametrize("before", ["", "X:1\n", "**kern\n", "humdrum:"])
def test_a_text_that_looks_like_a_path_is_a_text(name: str, before: str, tmp_path: Path) -> None:
    told = set()
    for place in _places(tmp_path):
        with pytest.raises(ScoreError) as refused:
            to_musicxml((before + place).encode(), name)
        told.add(str(refused.value))
    assert len(told) == 1, "the same answer whatever stands on the disk"


@pytest.mark.parametrize("name", ["q.abc", "q.krn"])
def test_no_file_and_no_address_is_opened(name: str, tmp_path: Path) -> None:
    to_musicxml(ABC if name == "q.abc" else KERN, name)  # music21 is imported now
    asked: list[str] = []
    listening = True  # a hook stays for as long as the interpreter
    sys.addaudithook(lambda event, values: _note(asked, event, values) if listening else None)
    for place in _places(tmp_path):
        with pytest.raises(ScoreError):
            to_musicxml(place.encode(), name)
    listening = False
    assert [each for each in asked if str(tmp_path) in each or "socket" in each] == [
        str(tmp_path / "there.abc"),
        str(tmp_path / "there.krn"),
    ], "written by this test, and never read"


def _note(asked: list[str], event: str, values: tuple[object, ...]) -> None:
    if event == "open" and isinstance(values[0], str | Path):
        asked.append(str(values[0]))
    elif event.startswith("socket.connect"):
        asked.append(event)


def test_the_page_and_the_command_line_answer_alike(
    client: TestClient, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    score, told = tmp_path / "q.abc", set()
    for place in _places(tmp_path):
        score.write_text(place)
        assert main(["annotate", str(score)]) == Exit.FAILED
        told.add(capsys.readouterr().err)
        answer = client.post("/page/open", files={"score": ("q.abc", place.encode())})
        told.add(f"{answer.status_code} {answer.json()['detail']}")
    assert len(told) == 2
    assert not any("Error" in each or "Exception" in each for each in told)
