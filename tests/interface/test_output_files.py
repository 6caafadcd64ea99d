"""Where the commands write to: nothing that stands there is lost, and half a file is never left or called done."""

from __future__ import annotations

import os
import pty
import resource
import signal
import stat
import subprocess
import sys
import threading
import tty
from collections.abc import Callable
from pathlib import Path

import pytest

from service.cli.main import Exit, main
from service.config.options import Options
from service.usecases.annotate import annotate
from service.usecases.files import Output, open_output
from tests.interface.running import ROOT

CLI = [sys.executable, "-m", "service.cli"]
FULL = "/dev/full"
Arguments = Callable[[Path, str], list[str]]
WRITERS: dict[str, Arguments] = {
    "annotate": lambda score, to: ["annotate", str(score), "-o", to],
    "plan": lambda score, to: ["annotate", str(score), "--plan", to],
    "clean": lambda score, to: ["clean", str(score), "-o", to],
    "review": lambda score, to: ["review", str(score), "--format", "json", "-o", to],
    "baseline": lambda score, to: ["review", str(score), "--write-baseline", to],
    "chart": lambda score, to: ["chart", "-o", to],
    "practice": lambda score, to: ["practice", str(score), "--level", "all", "-o", to],
}
QUICK = ("clean", "help")
"""Commands that start at once. All write through `service/usecases/files.py`, so these hold most of it."""
READERS = {name: WRITERS[name] for name in WRITERS if name != "chart"}


@pytest.fixture
def score(tmp_path: Path, waltz: bytes) -> Path:
    path = tmp_path / "waltz.musicxml"
    path.write_bytes(waltz)
    return path


@pytest.fixture(params=list(WRITERS))
def writes(request: pytest.FixtureRequest) -> Arguments:
    return WRITERS[request.param]


@pytest.fixture(params=list(READERS))
def reads(request: pytest.FixtureRequest) -> Arguments:
    return READERS[request.param]


def test_a_fifo_is_written_to_and_stays(writes: Arguments, score: Path, tmp_path: Path) -> None:
    fifo, read = tmp_path / "fifo", []
    os.mkfifo(fifo)
    reader = threading.Thread(target=lambda: read.append(fifo.read_bytes()), daemon=True)
    reader.start()
    assert main(writes(score, str(fifo))) in (Exit.CLEAN, Exit.FINDINGS)
    reader.join(10)
    assert stat.S_ISFIFO(fifo.stat().st_mode)
    assert read
    assert read[0]


def test_a_device_is_written_to_and_stays(score: Path, waltz: bytes) -> None:
    ours, theirs = pty.openpty()
    tty.setraw(theirs)
    name, read = os.ttyname(theirs), bytearray()
    before = os.stat(name)
    marked = annotate(waltz, Options()).data

    def collect() -> None:
        while len(read) < len(marked):
            read.extend(os.read(ours, 4096))

    reader = threading.Thread(target=collect, daemon=True)
    reader.start()
    assert main(["annotate", str(score), "-o", name]) == Exit.CLEAN
    reader.join(10)
    after = os.stat(name)
    os.close(theirs)
    os.close(ours)
    assert bytes(read) == marked
    assert (after.st_ino, after.st_rdev) == (before.st_ino, before.st_rdev)
    assert main(["annotate", str(score), "-o", os.devnull]) == Exit.CLEAN
    assert stat.S_ISCHR(os.stat(os.devnull).st_mode)


def test_an_open_descriptor_goes_on_where_it_is(score: Path, tmp_path: Path, waltz: bytes) -> None:
    target = tmp_path / "both"
    with target.open("wb") as file:
        file.write(b"before\n")
        file.flush()
        command = [*CLI, "clean", str(score), "-o", "/dev/stdout"]
        subprocess.run(command, stdout=file, check=True, cwd=ROOT)
    assert target.read_bytes() == b"before\n" + waltz


def test_a_symbolic_link_is_followed(writes: Arguments, score: Path, tmp_path: Path) -> None:
    (tmp_path / "elsewhere").mkdir()
    target, link = tmp_path / "elsewhere" / "target", tmp_path / "link"
    link.symlink_to("elsewhere/target")
    for before in (None, b"before"):  # to nothing yet, and to a file
        if before is not None:
            target.write_bytes(before)
        assert main(writes(score, str(link))) in (Exit.CLEAN, Exit.FINDINGS)
        assert link.is_symlink()
        assert target.read_bytes() not in (b"", b"before")
    assert [path.name for path in target.parent.iterdir()] == ["target"]


@pytest.mark.parametrize("mode", [0o600, 0o640, 0o664])
def test_the_mode_stays(writes: Arguments, score: Path, tmp_path: Path, mode: int) -> None:
    target = tmp_path / "target"
    target.write_bytes(b"before")
    target.chmod(mode)
    assert main(writes(score, str(target))) in (Exit.CLEAN, Exit.FINDINGS)
    assert stat.S_IMODE(target.stat().st_mode) == mode
    assert target.read_bytes() != b"before"


@pytest.mark.parametrize("kind", ["name", "other spelling", "symbolic link", "hard link"])
def test_the_score_itself_is_not_written_over(
    reads: Arguments, score: Path, waltz: bytes, kind: str, capsys: pytest.CaptureFixture[str]
) -> None:
    other = score.with_name("other.musicxml")
    if kind == "symbolic link":
        other.symlink_to(score)
    elif kind == "hard link":
        os.link(score, other)
    name = {"name": str(score), "other spelling": f"{score.parent}/./{score.name}"}.get(kind, str(other))
    assert main(reads(score, name)) == Exit.FAILED
    assert f"{name} is a file that is read" in capsys.readouterr().err
    assert score.read_bytes() == waltz
    assert (score.stat().st_nlink == 2) == (kind == "hard link")


def test_standard_input_is_not_written_over(score: Path, waltz: bytes) -> None:
    with score.open("rb") as file:
        command = [*CLI, "annotate", "-", "-o", str(score)]
        done = subprocess.run(command, stdin=file, capture_output=True, text=True, check=False, cwd=ROOT)
    assert done.returncode == Exit.FAILED
    assert score.read_bytes() == waltz


def test_a_marked_copy_that_somebody_worked_on_is_kept(score: Path, capsys: pytest.CaptureFixture[str]) -> None:
    copy = score.with_name("waltz.marked.musicxml")
    assert main(["annotate", str(score)]) == Exit.CLEAN
    assert main(["annotate", str(score), "--level", "all"]) == Exit.CLEAN, "nobody has touched it"
    for changed in (copy.read_bytes().replace(b"<fingering>", b"<fingering>4", 1), b"something else", b""):
        copy.write_bytes(changed)
        assert main(["annotate", str(score)]) == Exit.FAILED
        assert "was changed since handframe wrote it" in capsys.readouterr().err
        assert copy.read_bytes() == changed
    assert main(["annotate", str(score), "-o", str(copy)]) == Exit.CLEAN, "it was named"


def test_a_marked_copy_in_abc_that_somebody_worked_on_is_kept(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    tune, copy = tmp_path / "quay.abc", tmp_path / "quay.marked.abc"
    tune.write_bytes(b"X:1\nT:Quay\nM:4/4\nL:1/4\nK:C\ne a c' d'|\n")
    command = ["annotate", str(tune), "--notation", "abc"]
    assert main(command) == Exit.CLEAN
    assert main([*command, "--level", "all"]) == Exit.CLEAN, "nobody has touched it"
    changed = copy.read_bytes().replace(b"Quay", b"Jetty")
    copy.write_bytes(changed)
    assert main(command) == Exit.FAILED
    assert "was changed since handframe wrote it" in capsys.readouterr().err
    assert copy.read_bytes() == changed


def test_the_copy_beside_a_score_is_cleaned_to_the_score(score: Path, waltz: bytes) -> None:
    assert main(["annotate", str(score)]) == Exit.CLEAN
    copy = score.with_name("waltz.marked.musicxml")
    assert main(["clean", str(copy), "--in-place"]) == Exit.CLEAN
    assert copy.read_bytes() == waltz


def test_in_place_replaces_the_score_and_clean_gives_it_back(score: Path, waltz: bytes) -> None:
    score.chmod(0o600)
    link = score.with_name("link.musicxml")
    link.symlink_to(score.name)
    assert main(["annotate", str(link), "--in-place"]) == Exit.CLEAN
    assert link.is_symlink()
    assert score.read_bytes() == annotate(waltz, Options()).data
    assert stat.S_IMODE(score.stat().st_mode) == 0o600
    assert main(["clean", str(link), "--in-place"]) == Exit.CLEAN
    assert score.read_bytes() == waltz


@pytest.mark.parametrize("command", ["annotate", "clean"])
@pytest.mark.parametrize("arguments", [["-"], ["SCORE", "-o", "other.musicxml"]])
def test_in_place_needs_a_file_and_nothing_else(
    command: str, arguments: list[str], score: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    given = [str(score) if each == "SCORE" else each for each in arguments]
    assert main([command, *given, "--in-place"]) == Exit.FAILED
    assert "either --in-place with the name of a score, or -o" in capsys.readouterr().err


def test_two_outputs_are_two_files(score: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = str(tmp_path / "both")
    for command in (
        ["annotate", str(score), "-o", target, "--plan", target],
        ["review", str(score), "-o", target, "--write-baseline", f"{tmp_path}/./both"],
    ):
        assert main(command) == Exit.FAILED
        assert "Two outputs would be written" in capsys.readouterr().err
    assert not Path(target).exists()


def test_a_report_does_not_replace_what_it_is_made_from(score: Path, tmp_path: Path) -> None:
    policy, accepted = tmp_path / "house.toml", tmp_path / "accepted.txt"
    policy.write_text('level = "first"\n')
    review = ["review", str(score), "--policy", str(policy)]
    assert main([*review, "--write-baseline", str(accepted)]) == Exit.CLEAN
    kept = accepted.read_bytes()
    assert main([*review, "-o", str(policy)]) == Exit.FAILED
    assert main([*review, "--baseline", str(accepted), "-o", str(accepted)]) == Exit.FAILED
    assert main([*review, "--baseline", str(accepted), "--write-baseline", str(accepted)]) == Exit.CLEAN
    assert accepted.read_bytes() == kept, "a baseline may be written anew"


@pytest.mark.parametrize(("name", "told"), [(".", "Is a directory"), ("", "name of the output is empty")])
def test_what_is_no_file_is_refused(
    writes: Arguments, score: Path, name: str, told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(writes(score, name)) == Exit.FAILED
    error = capsys.readouterr().err
    assert told in error
    assert len(error.splitlines()) == 1


def test_a_full_disk_is_told_by_the_name_that_was_given(
    writes: Arguments, score: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(writes(score, FULL)) == Exit.FAILED
    assert f"{FULL}: No space left on device" in capsys.readouterr().err


def each_of(*names: str) -> list[object]:
    """The names as parameters of a test; what is not quick is long."""
    return [pytest.param(name, marks=() if name in QUICK else pytest.mark.long) for name in names]


def limited() -> None:
    """A disk on which 2,000 bytes are left."""
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (2000, 2000))


def run(arguments: list[str], unbuffered: bool = False, **options: object) -> subprocess.CompletedProcess[str]:
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONUNBUFFERED": "1" if unbuffered else ""}
    done = subprocess.run(
        [*CLI, *arguments],
        stderr=subprocess.PIPE,
        text=True,
        check=False,
        cwd=ROOT,
        env=environment,
        **options,  # type: ignore[call-overload]
    )
    assert "Traceback" not in done.stderr
    assert "ignored" not in done.stderr, "the interpreter has nothing to add"
    return done  # type: ignore[no-any-return]


@pytest.mark.parametrize("unbuffered", [False, True])
@pytest.mark.parametrize("name", each_of("annotate", "clean", "review", "chart", "practice"))
def test_a_short_write_to_standard_output_is_an_error(name: str, unbuffered: bool, score: Path, tmp_path: Path) -> None:
    with (tmp_path / "out").open("wb") as out:
        done = run(WRITERS[name](score, "-"), unbuffered, stdout=out, preexec_fn=limited)
    assert done.returncode == Exit.FAILED
    assert "standard output: File too large" in done.stderr


def test_a_signal_that_comes_with_the_new_file_leaves_none(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Python handles a signal as soon as the call that made the file returns."""
    real = os.open

    def interrupted(name: str, *how: int) -> int:
        os.close(real(name, *how))
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "open", interrupted)
    with pytest.raises(KeyboardInterrupt), open_output(str(tmp_path / "out.musicxml")):
        pass
    monkeypatch.undo()
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("name", each_of("annotate", "clean", "review", "chart", "practice"))
def test_a_failed_write_leaves_what_was_there_and_nothing_else(name: str, score: Path, tmp_path: Path) -> None:
    folder = tmp_path / "out"
    folder.mkdir()
    target = folder / "target"
    for before in (None, b"before"):
        if before is not None:
            target.write_bytes(before)
        done = run(WRITERS[name](score, str(target)), stdout=subprocess.DEVNULL, preexec_fn=limited)
        assert done.returncode == Exit.FAILED
        assert f"{target}: File too large" in done.stderr
        assert [path.read_bytes() for path in folder.iterdir()] == ([] if before is None else [before])


@pytest.mark.parametrize("unbuffered", [False, True])
@pytest.mark.parametrize("name", each_of(*WRITERS, "help"))
def test_a_full_or_closed_standard_output_is_an_error(name: str, unbuffered: bool, score: Path) -> None:
    arguments = ["--help"] if name == "help" else WRITERS[name](score, "-")
    with open(FULL, "wb") as full:
        done = run(arguments, unbuffered, stdout=full)
    assert (done.returncode, "standard output: No space left" in done.stderr) == (Exit.FAILED, True)
    reader, writer = os.pipe()
    os.close(reader)
    done = run(arguments, unbuffered, stdout=writer)
    os.close(writer)
    assert (done.returncode, "standard output: Broken pipe" in done.stderr) == (Exit.FAILED, True)


def test_every_byte_arrives_where_a_stream_takes_a_few_at_a_time() -> None:
    class Slow:
        taken = b""

        def write(self, data: memoryview) -> int:
            self.taken += data[:7]
            return len(data[:7])

        def flush(self) -> None:
            """Nothing is kept back."""

    slow = Slow()
    Output(slow).write(bytes(range(100)))
    assert slow.taken == bytes(range(100))


@pytest.mark.parametrize(
    ("name", "target", "told"),
    [
        ("practice", "p.mxl", "ends in .musicxml"),
        ("practice", "x.pdf", "ends in .musicxml"),
        ("annotate", "x.pdf", "ends in .musicxml"),
        ("clean", "x.html", "ends in .musicxml"),
        ("chart", "x.png", "ends in .svg"),
    ],
)
def test_the_ending_says_what_is_in_the_file(
    name: str, target: str, told: str, score: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(WRITERS[name](score, str(tmp_path / target))) == Exit.FAILED
    assert told in capsys.readouterr().err
    assert not (tmp_path / target).exists()


def test_a_format_and_an_ending_that_disagree_are_refused(
    score: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for form, target in (("page", "p.musicxml"), ("musicxml", "p.html")):
        assert main(["practice", str(score), "--format", form, "-o", str(tmp_path / target)]) == Exit.FAILED
        assert "Give the output a name that ends in" in capsys.readouterr().err
