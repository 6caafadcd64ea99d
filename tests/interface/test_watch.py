"""Watching a folder: a real folder, real saves."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import threading
import time
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from service.config.options import Options
from service.musicxml.file.container import open_document
from service.musicxml.write.seal import sealed
from service.usecases import watch
from service.usecases.annotate import annotate
from service.usecases.clean import clean
from service.usecases.files import write_file
from service.usecases.watch import Watcher, WatchResult
from tests.interface.running import ROOT

Watched = tuple[Path, list[WatchResult]]


@pytest.fixture
def watched(tmp_path: Path) -> Iterator[Watched]:
    """A folder that is watched, and what was seen there."""
    results: list[WatchResult] = []
    stop, ready = threading.Event(), threading.Event()
    watcher = Watcher(tmp_path, Options())

    thread = threading.Thread(target=lambda: [results.append(each) for each in watcher.run(stop, ready.set)])
    thread.start()
    assert ready.wait(10)
    yield tmp_path, results
    stop.set()
    thread.join(10)
    assert not thread.is_alive()


def copy_of(score: bytes) -> bytes:
    """The marked copy of a score: its marked XML with a seal behind it."""
    answer = annotate(score, Options())
    return answer.document.rebuild(sealed(answer.text, answer.document.surroundings))


def until(condition: Callable[[], object]) -> None:
    for _ in range(1000):
        if condition():
            return
        time.sleep(0.01)
    raise AssertionError("it never came")


def settle() -> None:
    """Long enough for another round of the watcher."""
    time.sleep(1.5)


def test_a_marked_copy_appears_beside_a_saved_score(watched: Watched, waltz: bytes, march: bytes) -> None:
    folder, results = watched
    for name, score in (("waltz.musicxml", waltz), ("march.mxl", march)):
        (folder / name).write_bytes(score)
    until(lambda: len(results) == 2)
    assert (folder / "waltz.marked.musicxml").read_bytes() == copy_of(waltz)
    assert (folder / "march.marked.mxl").read_bytes() == copy_of(march)
    assert clean((folder / "waltz.marked.musicxml").read_bytes()) == waltz
    assert (folder / "waltz.musicxml").read_bytes() == waltz
    settle()
    assert len(results) == 2, "it does not react to what it wrote"
    names = ["march.marked.mxl", "march.mxl", "waltz.marked.musicxml", "waltz.musicxml"]
    assert sorted(path.name for path in folder.iterdir()) == names


def test_each_save_counts_and_other_files_do_not(watched: Watched, waltz: bytes) -> None:
    folder, results = watched
    (folder / "below").mkdir()
    for name in ("notes.txt", ".waltz.xml", "~waltz.xml", "waltz.marked.musicxml", "waltz.marked-2.xml", "below/w.xml"):
        (folder / name).write_bytes(waltz)
    settle()
    assert results == []
    (folder / "air.xml").write_bytes(waltz)
    until(lambda: len(results) == 1)
    changed = waltz.replace(b"<work-title>", b"<work-title>Second ")
    (folder / "air.xml").write_bytes(changed)
    until(lambda: len(results) == 2)
    assert (folder / "air.marked.xml").read_bytes() == copy_of(changed)


def test_a_save_by_renaming_counts(watched: Watched, waltz: bytes) -> None:
    folder, results = watched
    write_file(str(folder / "air.xml"), waltz)
    until(lambda: len(results) == 1)
    assert results[0].copy == folder / "air.marked.xml"


def test_half_a_file_is_waited_for(watched: Watched, waltz: bytes, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(watch, "_SETTLED_SECONDS", 1.0)  # longer than a busy machine keeps the writer waiting
    folder, results = watched
    with (folder / "air.xml").open("wb") as file:
        for start in range(0, len(waltz), len(waltz) // 6):
            file.write(waltz[start : start + len(waltz) // 6])
            file.flush()
            time.sleep(0.06)
    until(lambda: any(each.copy for each in results))
    settle()
    assert (folder / "air.marked.xml").read_bytes() == copy_of(waltz)
    assert all(each.copy or "up to date" in each.message for each in results)


def test_a_fault_is_told_and_the_watch_goes_on(watched: Watched, waltz: bytes) -> None:
    folder, results = watched
    (folder / "bad.xml").write_bytes(b"%PDF-1.7")
    until(lambda: len(results) == 1)
    assert results[0].copy is None
    assert "PDF" in results[0].message
    (folder / "good.xml").write_bytes(waltz)
    until(lambda: len(results) == 2)
    assert not (folder / "bad.marked.xml").exists()


def _second(data: bytes) -> bytes:
    return data.replace(b"<work-title>", b"<work-title>Second ")


EDITS: dict[str, Callable[[bytes], bytes]] = {
    "our instructions dropped, as an editor does": lambda copy: re.sub(rb"<\?handframe [^?]*\?>", b"", copy),
    "another finger within our instructions": lambda copy: copy.replace(b"<fingering>4<", b"<fingering>3<", 1),
    "a remark": lambda copy: copy.replace(b"</score-partwise>", b"<!-- a remark --></score-partwise>"),
    "another title": _second,
    "the seal dropped": lambda copy: re.sub(rb"<\?handframe copy [^?]*\?>", b"", copy),
    "a line behind the seal": lambda copy: copy + b"\n",
    "something else": lambda copy: b"my own notes",
}


@pytest.mark.parametrize("edit", EDITS.values(), ids=EDITS)
def test_a_copy_that_somebody_worked_on_is_kept(tmp_path: Path, waltz: bytes, edit: Callable[[bytes], bytes]) -> None:
    score, copy = tmp_path / "air.xml", tmp_path / "air.marked.xml"
    score.write_bytes(waltz)
    watcher = Watcher(tmp_path, Options())
    assert watcher.mark(score).copy == copy
    assert "up to date" in watcher.mark(score).message
    theirs = edit(copy.read_bytes())
    assert theirs != copy.read_bytes()
    copy.write_bytes(theirs)
    score.write_bytes(waltz.replace(b"<work-title>", b"<work-title>Third "))
    for again in (watcher, Watcher(tmp_path, Options())):
        assert again.mark(score).copy in (tmp_path / "air.marked-2.xml", None)
        assert copy.read_bytes() == theirs
    assert Watcher(tmp_path, Options()).mark(score).message == "the copy is up to date"


def test_a_copy_without_a_single_mark_is_known_as_well(tmp_path: Path, waltz: bytes) -> None:
    score, copy = tmp_path / "air.xml", tmp_path / "air.marked.xml"
    rests = re.sub(rb"(?s)<pitch>.*?</pitch>", b"<rest/>", waltz)
    for text in (rests, _second(rests)):
        score.write_bytes(text)
        assert Watcher(tmp_path, Options()).mark(score).copy == copy
        assert clean(copy.read_bytes()) == text


TUNE = b"X:1\nT:Quay\nM:4/4\nL:1/4\nK:C\ne a c' d'|\n"


def test_copies_in_abc_are_known_as_ours_until_somebody_works_on_them(tmp_path: Path, waltz: bytes) -> None:
    score, copy = tmp_path / "quay.abc", tmp_path / "quay.marked.abc"
    watcher = Watcher(tmp_path, Options(notation="abc"))
    for text in (TUNE, TUNE.replace(b"Quay", b"Jetty")):
        score.write_bytes(text)
        assert watcher.mark(score).copy == copy
    assert b"Jetty" in copy.read_bytes()
    assert not watcher.concerns(copy)
    theirs = copy.read_bytes().replace(b"Jetty", b"Mole")
    copy.write_bytes(theirs)
    assert watcher.mark(score).copy == tmp_path / "quay.marked-2.abc"
    assert copy.read_bytes() == theirs
    (tmp_path / "waltz.musicxml").write_bytes(waltz)
    assert watcher.mark(tmp_path / "waltz.musicxml").copy == tmp_path / "waltz.marked.musicxml"


def test_an_archive_with_another_entry_changed_is_kept(tmp_path: Path, march: bytes) -> None:
    score, copy = tmp_path / "march.mxl", tmp_path / "march.marked.mxl"
    score.write_bytes(march)
    assert Watcher(tmp_path, Options()).mark(score).copy == copy
    with zipfile.ZipFile(copy, "a") as archive:
        archive.writestr("notes.txt", "my own notes")
    theirs = copy.read_bytes()
    score.write_bytes(with_comment(march))
    assert Watcher(tmp_path, Options()).mark(score).copy == tmp_path / "march.marked-2.mxl"
    assert copy.read_bytes() == theirs


def with_comment(march: bytes) -> bytes:
    document = open_document(march)
    return document.rebuild(document.working.replace(b"</score-partwise>", b"<!-- new --></score-partwise>"))


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "iso-8859-1"])
def test_a_seal_holds_in_every_encoding(tmp_path: Path, waltz: bytes, encoding: str) -> None:
    score, copy = tmp_path / "air.xml", tmp_path / "air.marked.xml"
    named = waltz.decode().replace("UTF-8", encoding.removesuffix("-sig"), 1)
    for title in ("First", "Second"):
        text = named.replace("<work-title>", f"<work-title>{title} ").encode(encoding, "xmlcharrefreplace")
        score.write_bytes(text)
        assert Watcher(tmp_path, Options()).mark(score).copy == copy
        assert clean(copy.read_bytes()) == text
        assert annotate(copy.read_bytes(), Options()).data == annotate(text, Options()).data


def test_copies_of_an_earlier_watch_are_replaced(tmp_path: Path, waltz: bytes) -> None:
    score = tmp_path / "air.xml"
    score.write_bytes(waltz)
    assert Watcher(tmp_path, Options()).mark(score).copy == tmp_path / "air.marked.xml"
    changed = waltz.replace(b"<work-title>", b"<work-title>Second ")
    score.write_bytes(changed)
    assert [result.copy for result in Watcher(tmp_path, Options()).existing()] == [tmp_path / "air.marked.xml"]
    assert (tmp_path / "air.marked.xml").read_bytes() == copy_of(changed)
    assert list(Watcher(tmp_path, Options()).existing()) == []


def test_a_copy_is_whole_or_not_there(tmp_path: Path, waltz: bytes, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "air.marked.xml"
    write_file(str(target), b"before")

    def fails(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", fails)
    score = tmp_path / "air.xml"
    score.write_bytes(waltz)
    target.unlink()
    result = Watcher(tmp_path, Options()).mark(score)
    assert (result.copy, result.message) == (None, "No space left on device")
    assert not target.exists()
    assert score.read_bytes() == waltz
    assert [path.name for path in tmp_path.iterdir()] == ["air.xml"]


def test_the_command(tmp_path: Path, waltz: bytes) -> None:
    (tmp_path / "old.xml").write_bytes(waltz)
    command = [sys.executable, "-m", "service.cli", "watch", str(tmp_path), "--existing", "--level", "all"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, cwd=ROOT) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == "old.marked.xml: marked copy of old.xml\n"
        assert process.stdout.readline().startswith("handframe watches ")
        (tmp_path / "new.xml").write_bytes(waltz)
        assert process.stdout.readline() == "new.marked.xml: marked copy of new.xml\n"
        process.terminate()
        assert process.wait(10) == 0
    nowhere = [*command[:4], str(tmp_path / "nowhere")]
    refused = subprocess.run(nowhere, capture_output=True, text=True, cwd=ROOT)
    assert refused.returncode == 2
    assert "no folder" in refused.stderr


@pytest.mark.parametrize("name", ["SIGINT", "SIGTERM"])
def test_a_burst_of_scores_can_be_stopped(name: str, tmp_path: Path, waltz: bytes) -> None:
    command = [sys.executable, "-m", "service.cli", "watch", str(tmp_path), "--level", "all"]
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, cwd=ROOT, env=environment
    ) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        assert process.stdout.readline().startswith("handframe watches ")
        for number in range(1500):
            (tmp_path / f"{number:04}.xml").write_bytes(waltz)
        assert "marked copy" in process.stdout.readline()
        process.send_signal(getattr(signal, name))
        pressed = time.monotonic()
        assert process.wait(10) == 0
        assert time.monotonic() - pressed < 3
        assert process.stderr.read() == ""
    copies = list(tmp_path.glob("*.marked.xml"))
    assert 0 < len(copies) < 1500, "it was stopped in the middle"
    assert len({copy.read_bytes() for copy in copies}) == 1, "each is whole"
    assert not list(tmp_path.glob(".*")), "no half copies"


def test_a_burst_does_not_wait_for_each_file(tmp_path: Path, waltz: bytes) -> None:
    """Files that have not changed for a while are read at once."""
    scores = [tmp_path / f"{number}.xml" for number in range(20)]
    for score in scores:
        score.write_bytes(b"%PDF-1.7")
    time.sleep(0.2)
    began = time.monotonic()
    for score in scores:
        Watcher(tmp_path, Options()).mark(score)
    assert time.monotonic() - began < 1.5, "not a tenth of a second for each"


@pytest.mark.parametrize("way", ["removed", "renamed"])
def test_a_folder_that_vanishes_is_said_and_picked_up_again(tmp_path: Path, waltz: bytes, way: str) -> None:
    folder, away = tmp_path / "scores", tmp_path / "away"
    folder.mkdir()
    results: list[WatchResult] = []
    stop, ready = threading.Event(), threading.Event()
    watcher = Watcher(folder, Options())
    thread = threading.Thread(target=lambda: [results.append(each) for each in watcher.run(stop, ready.set)])
    thread.start()
    assert ready.wait(10)
    if way == "removed":
        folder.rmdir()
    else:
        folder.rename(away)
    until(lambda: any("has gone" in each.message for each in results))
    if way == "removed":
        folder.mkdir()
    else:
        away.rename(folder)
    (folder / "at_once.xml").write_bytes(waltz)
    until(lambda: any("is back" in each.message for each in results))
    until(lambda: (folder / "at_once.marked.xml").exists())
    (folder / "later.xml").write_bytes(waltz)
    until(lambda: (folder / "later.marked.xml").exists())
    stop.set()
    thread.join(10)
    assert not thread.is_alive()
    assert [each.message for each in results if each.score == folder] == [
        "The folder has gone. Waiting for it to come back.",
        "The folder is back.",
    ]
