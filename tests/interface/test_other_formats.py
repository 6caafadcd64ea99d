"""Every format at every door: the same tune in each format gives the same plan at each command and address.

The files in `tests/other_formats` hold one tune that was invented for these tests. A parser gets content, and never a
name or an address.
"""

from __future__ import annotations

import base64
import io
import json
import subprocess
import sys
import zipfile
from pathlib import Path
from typing import Any
from urllib.parse import unquote

import pytest
from lxml import etree
from starlette.testclient import TestClient

from service.cli.main import Exit, main
from service.config.file_limits import DEFAULT_LIMITS
from service.config.options import read_options
from service.errors import ScoreError
from service.musicxml.formats.imported import import_scores
from service.musicxml.formats.known_formats import FORMATS, format_of
from service.usecases.annotate import annotate, review_score
from service.usecases.watch import Watcher
from tests.conftest import ROOT
from tests.schema import is_valid

FILES = Path(__file__).resolve().parents[1] / "other_formats"
TUNE = "landing_stage"
NAMES = {
    "musicxml": f"{TUNE}.musicxml",
    "mxl": f"{TUNE}.mxl",
    "timewise": f"{TUNE}.timewise.xml",
    "abc": f"{TUNE}.abc",
    "humdrum": f"{TUNE}.krn",
    "mei": f"{TUNE}.mei",
    "midi": f"{TUNE}.mid",
}
CONVERTED = {"timewise", "abc", "humdrum", "mei", "midi"}
ABC = (FILES / NAMES["abc"]).read_bytes()
KERN = (FILES / NAMES["humdrum"]).read_bytes()
every_format = pytest.mark.parametrize("kind", NAMES)


def content(kind: str) -> bytes:
    return (FILES / NAMES[kind]).read_bytes()


def fingerings(data: bytes) -> list[str]:
    """The digits of a marked score, in order, with the notes that they stand on."""
    if data[:2] == b"PK":
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            data = archive.read(f"{TUNE}.musicxml")
    root = etree.fromstring(data)
    return [
        f"{note.findtext('pitch/step')}{note.findtext('pitch/octave')}={finger.text}"
        for note in root.iter("note")
        for finger in note.iter("fingering")
    ]


@pytest.fixture(scope="module")
def expected() -> list[str]:
    """What the tune gets as MusicXML."""
    found = fingerings(annotate(content("musicxml"), read_options({"fingers": ["all"]})).data)
    assert len(found) == 18
    return found


def test_the_table_has_a_file_for_every_format() -> None:
    assert {format.name for format in FORMATS} | {"mxl"} == set(NAMES)


# -- every format at every door ----------------------------------------------------------------------------------------


@every_format
def test_the_command_annotate(
    kind: str, expected: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    score = tmp_path / NAMES[kind]
    score.write_bytes(content(kind))
    assert main(["annotate", str(score), "--fingers", "all"]) == Exit.CLEAN
    (marked,) = (path for path in tmp_path.iterdir() if path != score)
    assert marked.suffix == (score.suffix if kind in ("mxl", "timewise") else ".musicxml")
    assert fingerings(marked.read_bytes()) == expected
    if kind != "mxl":
        assert is_valid(marked.read_bytes())
    said = capsys.readouterr().err
    assert said.count("MusicXML") == (kind in CONVERTED and kind != "midi")
    assert ("MIDI" in said) == (kind == "midi")


@every_format
def test_the_address_annotate(kind: str, expected: list[str], client: TestClient) -> None:
    answer = client.post(f"/annotate?fingers=all&filename={NAMES[kind]}", content=content(kind))
    assert answer.status_code == 200, answer.text
    assert fingerings(answer.content) == expected
    assert ("handframe-remarks" in answer.headers) == (kind != "musicxml")
    ending = ".mxl" if kind == "mxl" else ".xml" if kind == "timewise" else ".musicxml"
    assert answer.headers["content-disposition"].endswith(f'.marked{ending}"')
    assert client.post("/annotate?fingers=all", content=content(kind)).content == answer.content, (
        "the name is not needed"
    )


@every_format
def test_the_command_review(kind: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    tune = ["--tune", "1"] if kind == "abc" else []
    assert main(["review", str(FILES / NAMES[kind]), "--format", "json", *tune]) == Exit.CLEAN
    (file,) = json.loads(capsys.readouterr().out)["files"]
    (part,) = file["parts"]
    assert (part["name"], len(part["plan"])) == ("Violin", 18)


@every_format
def test_the_address_review(kind: str, client: TestClient) -> None:
    query = "?tune=1" if kind == "abc" else ""
    answer = client.post(f"/review{query}", content=content(kind))
    assert answer.status_code == 200, answer.text
    (part,) = answer.json()["parts"]
    assert [row["pitch"] for row in part["plan"]][:4] == ["D4", "F#4", "A4", "D5"]
    assert len(part["plan"]) == 18


@every_format
def test_the_command_practice(kind: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    sheet = tmp_path / "sheet.musicxml"
    assert main(["practice", str(FILES / NAMES[kind]), "-o", str(sheet)]) == Exit.CLEAN
    assert is_valid(sheet.read_bytes())
    assert (b"Landing Stage" in sheet.read_bytes()) == (kind != "midi")


@every_format
def test_the_address_practice(kind: str, client: TestClient) -> None:
    answer = client.post("/practice", content=content(kind))
    assert answer.status_code == 200, answer.text
    assert is_valid(answer.content)
    assert (b"Landing Stage" in answer.content) == (kind != "midi")


@every_format
def test_the_page(kind: str, client: TestClient) -> None:
    data = content(kind)
    facts = client.post("/page/open", files={"score": (NAMES[kind], data)}).json()
    assert facts["title"] == ("" if kind == "midi" else "Landing Stage")
    assert facts["composer"] == ""
    assert bool(facts["converted"]) == (kind in CONVERTED)
    assert bool(facts["remarks"]) == (kind != "musicxml")
    assert [tune["number"] for tune in facts["tunes"]] == (["1", "2"] if kind == "abc" else [])
    if facts["converted"]:
        data = base64.b64decode(facts["converted"])
    stream = client.post("/page/view", files={"score": ("score.musicxml", data)}, data={"options": "{}"})
    kinds: list[Any] = [json.loads(line)["type"] for line in stream.text.splitlines()]
    assert kinds == ["page", "plan", "review"]


@every_format
def test_the_watched_folder(kind: str, expected: list[str], tmp_path: Path) -> None:
    score = tmp_path / NAMES[kind]
    score.write_bytes(content(kind))
    watcher = Watcher(tmp_path, read_options({"fingers": ["all"]}))
    (seen,) = watcher.existing()
    assert seen.copy is not None, seen.message
    assert fingerings(seen.copy.read_bytes()) == expected
    assert not list(watcher.existing()), "a copy is not taken for a score"
    assert watcher.mark(score).copy is None, "and is up to date"


@pytest.mark.parametrize("kind", sorted(CONVERTED))
def test_the_address_clean_takes_what_carries_our_marks_only(kind: str, client: TestClient) -> None:
    answer = client.post("/clean", content=content(kind))
    assert answer.status_code == 415
    assert answer.json()["advice"]


# -- telling formats ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("data", "name", "kind"), [
    (ABC, "song.abc", "abc"),
    (ABC, "-", "abc"),
    (b"\xef\xbb\xbf" + ABC, "-", "abc"),
    (b"%abc-2.1\n% a remark\nX: 12\nK:C\nC", "-", "abc"),
    (b"T: no number", "song.abc", "abc"),
    (KERN, "song.krn", "humdrum"),
    (b"!!!COM: nobody\n" + KERN, "-", "humdrum"),
    (content("mei"), "song.xml", "mei"),
    (content("mei").decode().replace("UTF-8", "UTF-16").encode("utf-16"), "-", "mei"),
    (content("midi"), "song.dat", "midi"),
    (b"<score-partwise/>", "song.abc", "musicxml"),
    (b"PK\x03\x04", "song.krn", "musicxml"),
    (b"plain words", "notes.txt", "musicxml"),
])  # fmt: skip
def test_formats_are_told_by_beginning_and_ending(data: bytes, name: str, kind: str) -> None:
    assert format_of(data, name).name == kind


def test_musicxml_passes_untouched() -> None:
    (score,) = import_scores(b"<score-partwise/>", "a.musicxml", DEFAULT_LIMITS)
    assert score.data == b"<score-partwise/>"


def test_the_same_file_is_converted_once() -> None:
    data = (FILES / NAMES["humdrum"]).read_bytes()
    (first,) = import_scores(data, NAMES["humdrum"], DEFAULT_LIMITS)
    (again,) = import_scores(data, NAMES["humdrum"], DEFAULT_LIMITS)
    (other,) = import_scores(data + b"!! another remark\n", NAMES["humdrum"], DEFAULT_LIMITS)
    assert again.data is first.data
    assert other.data is not first.data


def test_music21_is_loaded_only_for_its_formats() -> None:
    code = "import sys, service.cli.main; service.cli.main.main(sys.argv[1:]); sys.exit('music21' in sys.modules)"
    scores = [str(FILES / NAMES[name]) for name in ("musicxml", "abc", "timewise")]
    done = subprocess.run([sys.executable, "-c", code, "review", *scores], capture_output=True, check=False)
    assert done.returncode == 0, done.stderr


def test_a_folder_in_every_format_is_reviewed_as_a_whole(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["review", str(FILES), "--format", "summary"]) == Exit.CLEAN
    assert "7 files, 8 parts" in capsys.readouterr().out


# -- collections -------------------------------------------------------------------------------------------------------


def test_a_tune_is_chosen_by_its_number(client: TestClient) -> None:
    answer = client.post("/annotate?tune=2", content=ABC)
    assert b"Slack Tide" in answer.content
    assert "tune 2 (Slack Tide)" in unquote(answer.headers["handframe-remarks"])
    first = unquote(client.post("/annotate", content=ABC).headers["handframe-remarks"])
    assert "2 tunes; this is tune 1 (Landing Stage)" in first


def test_a_review_takes_every_tune() -> None:
    parts = review_score(ABC, read_options({}))
    assert [part.passage.part for part in parts] == ["X1P1", "X2P1"]


@pytest.mark.parametrize(("query", "kind", "code"), [
    ("tune=3", "abc", "unknown-tune"),
    ("tune=all", "abc", "several-scores"),
    ("tune=1", "humdrum", "no-collection"),
    ("notation=abc", "midi", "not-from-abc"),
    ("notation=abc&printed=replace", "abc", "bad-option"),
    ("tune=first", "abc", "bad-option"),
])  # fmt: skip
def test_what_cannot_be_done_is_said(query: str, kind: str, code: str, client: TestClient) -> None:
    problem = client.post(f"/annotate?{query}", content=content(kind)).json()
    assert problem["code"] == code
    assert problem["advice"]


# -- what cannot be read -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("data", "name"), [
    (b"X:1\nK:C\n", "empty.abc"),
    (b"X:1\nK:C\nC2 \xff\x01 |", "broken.abc"),
    (b"X:1\nM:3/0\nK:C\nC2|", "metre.abc"),
    (b"**kern\n*-\n", "empty.krn"),
    (b"MThd\0\0\0\x06\0\0\0\0\0\0", "empty.mid"),
    (b"MThd", "cut.mid"),
    (b'<mei xmlns="http://www.music-encoding.org/ns/mei"/>', "empty.mei"),
])  # fmt: skip
def test_a_file_without_music_is_refused(data: bytes, name: str) -> None:
    with pytest.raises(ScoreError, match="could not be turned into MusicXML") as refused:
        import_scores(data, name, DEFAULT_LIMITS)
    assert refused.value.code == "not-converted"


UNREAD = {
    "%PDF-1.7": ("a PDF", b"%PDF-1.7\n"),
    "picture": ("a picture", b"\x89PNG\r\n\x1a\n"),
    "recording": ("a recording", b"RIFF\0\0\0\0WAVEfmt "),
    ".sib": (".sib", b"\x0fSIBELIUS\0\0"),
    ".mus": (".mus", b"ENIGMA BINARY FILE\0"),
    ".nwc": (".nwc", b"[NoteWorthy ArtWare]"),
    "LilyPond": ("LilyPond", b'\\version "2.24.1"\n\\relative c\' { c4 }'),
    "MNX": ("MNX", b'{"mnx": {"version": 1}}'),
    ".mscx": (".mscx", b'<?xml version="1.0"?><museScore version="3.02"/>'),
    ".capx": (".capx", b'<score xmlns="http://www.whc.de/capella"/>'),
    "drawing": ("a drawing", b'<svg xmlns="http://www.w3.org/2000/svg"/>'),
}


@pytest.mark.parametrize("kind", UNREAD)
def test_formats_that_are_not_read_are_named_with_what_to_do(kind: str, client: TestClient) -> None:
    named, data = UNREAD[kind]
    answer = client.post("/annotate", content=data)
    problem = answer.json()
    assert answer.status_code == 415
    assert named in problem["detail"]
    assert "MusicXML" in problem["advice"]


@pytest.mark.parametrize(
    ("entry", "named"), [("a.mscx", ".mscz"), ("score.dat", ".musx"), ("Content/score.gpif", ".gp")]
)
def test_archives_of_other_programs_are_named(entry: str, named: str, client: TestClient) -> None:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        archive.writestr(entry, "x")
    problem = client.post("/annotate", content=buffer.getvalue()).json()
    assert (problem["code"], named in problem["detail"]) == ("no-container", True)


# -- bounds ------------------------------------------------------------------------------------------------------------


def _midi(delta: bytes) -> bytes:
    track = delta + b"\x90\x40\x40" + delta + b"\x80\x40\0" + b"\0\xff\x2f\0"
    return b"MThd\0\0\0\x06\0\0\0\x01\0\x01" + b"MTrk" + len(track).to_bytes(4, "big") + track


_REST = '<mei xmlns="http://www.music-encoding.org/ns/mei"><multiRest num="{}"/></mei>'


@pytest.mark.parametrize(("data", "name"), [
    (_midi(b"\xff\xff\xff\x7f"), "endless.mid"),
    (_REST.format(999_999_999).encode(), "endless.mei"),
    (b"X:1\nM:4/4\nL:1/4\nK:C\nC|Z1000000000|C|\n", "endless.abc"),
    (b"X:1\nM:4/4\nL:1/4\nK:C\nC1000000000|C|\n", "endless_note.abc"),
])  # fmt: skip
def test_small_files_that_would_grow_without_end_are_refused_at_once(data: bytes, name: str) -> None:
    with pytest.raises(ScoreError, match="could not be turned into MusicXML"):
        import_scores(data, name, DEFAULT_LIMITS)


IN_LITTLE_MEMORY = """
from service.config.file_limits import Limits
from service.errors import ScoreError
from service.musicxml.formats.imported import import_scores
bars = b"".join(b"=%d\\n4g\\n4a\\n4b\\n4cc\\n" % bar for bar in range(4000))
data = b"**kern\\n*M4/4\\n" + bars + b"*-\\n"
try:
    import_scores(data, "long.krn", Limits(conversion_bytes=20_000_000))
except ScoreError as error:
    print(error.code, len(bytearray(50_000_000)))
"""


def test_the_memory_of_a_conversion_is_bounded() -> None:
    """In a process of its own: one that has worked a while has room left. The bound holds for that time alone."""
    done = subprocess.run(
        [sys.executable, "-c", IN_LITTLE_MEMORY], capture_output=True, text=True, timeout=120, cwd=ROOT
    )
    assert done.stdout == "not-converted 50000000\n", done.stderr


def test_other_formats_have_a_limit_of_their_own() -> None:
    with pytest.raises(ScoreError) as refused:
        import_scores(KERN + b"!!\n" * 400_000, "long.krn", DEFAULT_LIMITS)
    assert refused.value.code == "too-large"


@pytest.mark.parametrize("entity", ['<!ENTITY x SYSTEM "file:///etc/passwd">', '<!ENTITY x "a">'])
def test_entities_in_mei_are_refused(entity: str, client: TestClient) -> None:
    text = content("mei").decode().replace("<mei ", f"<!DOCTYPE mei [{entity}]><mei ", 1).replace("Landing", "&x;")
    answer = client.post("/annotate", content=text.encode())
    assert (answer.status_code, answer.json()["code"]) == (400, "entities-declared")


# -- content is never a place ------------------------------------------------------------------------------------------


def _places(folder: Path) -> list[str]:
    """Texts that name a file that is there, one that is not, a folder, and addresses."""
    there = folder / "there.abc"
    there.write_bytes(ABC)
    (folder / "there.krn").write_bytes(KERN)
    paths = [there, folder / "there.krn", folder / "missing.abc", folder / "missing.krn", folder]
    return [*map(str, paths), there.as_uri(), (folder / "missing.abc").as_uri(), "http://127.0.0.1:9/there.abc"]


def _converted(data: bytes, name: str) -> bytes:
    return import_scores(data, name, DEFAULT_LIMITS)[0].data


@pytest.mark.parametrize("name", ["q.abc", "q.krn"])
@pytest.mark.parametrize("before", ["", "**kern\n", "humdrum:", "%%abc-include "])
def test_a_text_that_looks_like_a_path_is_a_text(name: str, before: str, tmp_path: Path) -> None:
    told = set()
    for place in _places(tmp_path):
        with pytest.raises(ScoreError) as refused:
            _converted((before + place).encode(), name)
        told.add(str(refused.value))
    assert len(told) == 1, "the same answer whatever stands on the disk"


@pytest.mark.parametrize("kind", ["abc", "humdrum", "mei", "midi"])
def test_no_file_and_no_address_is_opened(kind: str, tmp_path: Path) -> None:
    _converted(content(kind), NAMES[kind])  # music21 is imported now
    asked: list[str] = []
    listening = True  # a hook stays for as long as the interpreter
    sys.addaudithook(lambda event, values: _note(asked, event, values) if listening else None)
    begins = {"abc": "", "humdrum": "", "mei": '<mei xmlns="http://www.music-encoding.org/ns/mei">', "midi": "MThd"}
    for place in _places(tmp_path):
        with pytest.raises(ScoreError):
            _converted((begins[kind] + place).encode(), NAMES[kind])
    _converted(content(kind), NAMES[kind])
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
