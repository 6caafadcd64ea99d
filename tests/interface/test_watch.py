"""Watching a folder: a real folder, real saves."""

from __future__ import annotations

import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from service.config.options import Options
from service.usecases.annotate import annotate
from service.usecases.files import write_file
from service.usecases.watch import Seen, Watcher
from tests.interface.running import ROOT

Watched = tuple[Path, list[Seen]]


@pytest.fixture
def watched(tmp_path: Path) -> Iterator[Watched]:
    """A folder that is watched, and what was seen there."""
    seen: list[Seen] = []
    stop, ready = threading.Event(), threading.Event()
    watcher = Watcher(tmp_path, Options())

    thread = threading.Thread(target=lambda: [seen.append(each) for each in watcher.run(stop, ready.set)])
    thread.start()
    assert ready.wait(10)
    yield tmp_path, seen
    stop.set()
    thread.join(10)
    assert not thread.is_alive()


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
    folder, seen = watched
    for name, score in (("waltz.musicxml", waltz), ("march.mxl", march)):
        (folder / name).write_bytes(score)
    until(lambda: len(seen) == 2)
    assert (folder / "waltz.marked.musicxml").read_bytes() == annotate(waltz, Options()).data
    assert (folder / "march.marked.mxl").read_bytes() == annotate(march, Options()).data
    assert (folder / "waltz.musicxml").read_bytes() == waltz
    settle()
    assert len(seen) == 2, "it does not react to what it wrote"
    names = ["march.marked.mxl", "march.mxl", "waltz.marked.musicxml", "waltz.musicxml"]
    assert sorted(path.name for path in folder.iterdir()) == names


def test_each_save_counts_and_other_files_do_not(watched: Watched, waltz: bytes) -> None:
    folder, seen = watched
    (folder / "below").mkdir()
    for name in ("notes.txt", ".waltz.xml", "~waltz.xml", "waltz.marked.musicxml", "waltz.marked-2.xml", "below/w.xml"):
        (folder / name).write_bytes(waltz)
    settle()
    assert seen == []
    (folder / "air.xml").write_bytes(waltz)
    until(lambda: len(seen) == 1)
    changed = waltz.replace(b"<work-title>", b"<work-title>Second ")
    (folder / "air.xml").write_bytes(changed)
    until(lambda: len(seen) == 2)
    assert (folder / "air.marked.xml").read_bytes() == annotate(changed, Options()).data


def test_a_save_by_renaming_counts(watched: Watched, waltz: bytes) -> None:
    folder, seen = watched
    write_file(str(folder / "air.xml"), waltz)
    until(lambda: len(seen) == 1)
    assert seen[0].copy == folder / "air.marked.xml"


def test_half_a_file_is_waited_for(watched: Watched, waltz: bytes) -> None:
    folder, seen = watched
    with (folder / "air.xml").open("wb") as file:
        for start in range(0, len(waltz), len(waltz) // 6):
            file.write(waltz[start : start + len(waltz) // 6])
            file.flush()
            time.sleep(0.06)
    until(lambda: any(each.copy for each in seen))
    settle()
    assert (folder / "air.marked.xml").read_bytes() == annotate(waltz, Options()).data
    assert all(each.copy or "up to date" in each.told for each in seen)


def test_a_fault_is_told_and_the_watch_goes_on(watched: Watched, waltz: bytes) -> None:
    folder, seen = watched
    (folder / "bad.xml").write_bytes(b"%PDF-1.7")
    until(lambda: len(seen) == 1)
    assert seen[0].copy is None
    assert "PDF" in seen[0].told
    (folder / "good.xml").write_bytes(waltz)
    until(lambda: len(seen) == 2)
    assert not (folder / "bad.marked.xml").exists()


def test_a_copy_that_somebody_worked_on_is_kept(tmp_path: Path, waltz: bytes) -> None:
    score, copy = tmp_path / "air.xml", tmp_path / "air.marked.xml"
    score.write_bytes(waltz)
    watcher = Watcher(tmp_path, Options())
    assert watcher.mark(score).copy == copy
    assert "up to date" in watcher.mark(score).told
    theirs = copy.read_bytes().replace(b"<?handframe begin?>", b"").replace(b"<?handframe end?>", b"")
    copy.write_bytes(theirs)
    score.write_bytes(waltz.replace(b"<work-title>", b"<work-title>Second "))
    for again in (watcher, Watcher(tmp_path, Options())):
        assert again.mark(score).copy in (tmp_path / "air.marked-2.xml", None)
        assert copy.read_bytes() == theirs
    assert Watcher(tmp_path, Options()).mark(score).told == "the copy is up to date"


def test_copies_of_an_earlier_watch_are_replaced(tmp_path: Path, waltz: bytes) -> None:
    score = tmp_path / "air.xml"
    score.write_bytes(waltz)
    assert Watcher(tmp_path, Options()).mark(score).copy == tmp_path / "air.marked.xml"
    changed = waltz.replace(b"<work-title>", b"<work-title>Second ")
    score.write_bytes(changed)
    assert [seen.copy for seen in Watcher(tmp_path, Options()).existing()] == [tmp_path / "air.marked.xml"]
    assert (tmp_path / "air.marked.xml").read_bytes() == annotate(changed, Options()).data
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
    seen = Watcher(tmp_path, Options()).mark(score)
    assert (seen.copy, seen.told) == (None, "No space left on device")
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
