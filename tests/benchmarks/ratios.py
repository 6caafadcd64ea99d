"""Time and memory as ratios to reference work in the same run: `python -m tests.benchmarks.ratios` prints the table.

The reference is lxml's own parse and serialise of the same bytes; for one file also music21's parse and write. The
fastest of several rounds counts, rounds of both sides taking turns, so that a busy machine slows both alike.
"""

from __future__ import annotations

import os
import platform
import resource
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path

from lxml import etree

from service.config.file_limits import DEFAULT_LIMITS
from service.config.garbage_collection import collect_less_often
from service.config.options import read_options
from service.usecases.annotate import annotate
from tests.benchmarks.scores import joined, quartet, repeated

# The largest part measured is larger than what the service accepts from a stranger.
WIDE = replace(DEFAULT_LIMITS, upload_bytes=10**8, unpacked_bytes=10**8)
README = Path(__file__).with_name("README.md")
SOLO = ["ferry_waltz", "reed_crossing", "evening_on_the_jetty", "boathouse_reel", "first_bench"]


@dataclass(frozen=True)
class Row:
    """One line of the table."""

    what: str
    notes: int
    ours: float
    reference: float
    unit: str = "ms"

    def text(self) -> str:
        """Return the line as Markdown."""
        per_note = f"{self.ours / self.notes * 1e6:.1f}" if self.notes else ""
        return (
            f"| {self.what} | {self.notes or ''} | {self.ours * 1e3:.1f} | {self.reference * 1e3:.1f} "
            f"| {self.ours / self.reference:.2f} | {per_note} |"
        )


def fastest(actions: list[Callable[[], object]], rounds: int) -> list[float]:
    """Return the fastest time in seconds of each action over alternating rounds."""
    best = [float("inf")] * len(actions)
    for _ in range(rounds):
        for index, action in enumerate(actions):
            start = time.perf_counter()
            action()
            best[index] = min(best[index], time.perf_counter() - start)
    return best


def lxml_round(data: bytes) -> None:
    """Parse and serialise as plainly as lxml can."""
    etree.tostring(etree.fromstring(data))


def against_lxml(what: str, data: bytes, level: str, rounds: int = 7) -> Row:
    """Measure annotate, bytes to bytes, against lxml."""
    options = read_options({"level": [level]})
    ours, reference = fastest([lambda: annotate(data, options), lambda: lxml_round(data)], rounds)
    return Row(f"{what}, level {level}", data.count(b"<note"), ours, reference)


def against_music21(data: bytes, tmp: Path) -> Row:
    """Measure annotate against music21's parse and write of the same file."""
    from music21 import converter

    source = tmp / "score.musicxml"
    source.write_bytes(data)

    def theirs() -> None:
        converter.parse(source, forceSource=True).write("musicxml", tmp / "written.musicxml")

    options = read_options({})
    (ours,) = fastest([lambda: annotate(data, options)], 5)
    (reference,) = fastest([theirs], 2)
    return Row("annotate against music21 parse + write", data.count(b"<note"), ours, reference)


def as_installed(tmp: Path) -> dict[str, str]:
    """Return an environment in which modules are compiled once, as those of an installed program are."""
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return kept | {"PYTHONPYCACHEPREFIX": str(tmp / "bytecode")}


def cold_start(arguments: list[str], tmp: Path) -> float:
    """Return the seconds that a fresh interpreter takes, best of five."""
    command, environment = [sys.executable, *arguments], as_installed(tmp)
    return fastest([lambda: subprocess.run(command, check=True, capture_output=True, env=environment)], 5)[0]


def peak_memory(data: bytes, tmp: Path) -> int:
    """Return the peak resident bytes of one annotation in a fresh process (Linux keeps them by address space)."""
    source = tmp / "large.musicxml"
    source.write_bytes(data)
    program = (
        "import sys; from service.usecases.annotate import annotate; from service.config.options import Options; "
        "annotate(open(sys.argv[1], 'rb').read(), Options()); "
        "print(next(line.split()[1] for line in open('/proc/self/status') if line.startswith('VmHWM')))"
    )
    run = subprocess.run([sys.executable, "-c", program, str(source)], check=True, capture_output=True, text=True)
    return int(run.stdout) * 1024


def page_row(notes: int) -> Row:
    """Measure the page's first picture, as it comes through the service, against annotate of a score of that length.

    It is other music each time: what is known is neither planned nor drawn again.
    """
    from fastapi.testclient import TestClient

    from service.config.settings import Settings
    from service.http.app import create_app

    with TestClient(create_app(Settings(planners=1)), base_url="http://127.0.0.1:8765") as client:
        scores = [joined(SOLO[first:] + SOLO[:first], notes) for first in range(len(SOLO))]
        unseen = iter(scores)

        def first_picture() -> None:
            form = {
                "score": ("part.musicxml", next(unseen)),
                "options": (None, "{}"),
                "layout": (None, "{}"),
            }
            with client.stream("POST", "/page/view", files=form) as answer:
                for line in answer.iter_lines():
                    if '"page"' in line[:40]:
                        return
                raise AssertionError(f"no picture in the answer ({answer.status_code})")

        options = read_options({})
        ours, reference = fastest([first_picture, lambda: annotate(scores[0], options)], len(scores))
    return Row("the page's first picture against annotate", scores[0].count(b"<note"), ours, reference)


def folder_rows(tmp: Path) -> list[Row]:
    """Measure a check of 200 files with one process and with two, against lxml's parse of the same files."""
    folder = tmp / "catalogue"
    folder.mkdir()
    pieces = [repeated(name, 300) for name in SOLO]
    for index in range(200):
        (folder / f"{index:03}.musicxml").write_bytes(pieces[index % len(pieces)])

    def parsed() -> None:
        for path in sorted(folder.iterdir()):
            etree.fromstring(path.read_bytes())

    def checked(jobs: int) -> Callable[[], object]:
        command = [
            sys.executable,
            "-m",
            "service.cli",
            "review",
            str(folder),
            "--format",
            "summary",
            "--jobs",
            str(jobs),
        ]
        return lambda: subprocess.run(command, check=False, capture_output=True, env=as_installed(tmp))

    one, two, reference = fastest([checked(1), checked(2), parsed], 2)
    notes = sum(pieces[index % len(pieces)].count(b"<note") for index in range(200))
    return [
        Row("review of 200 files, one process, against lxml's parse", notes, one, reference),
        Row("review of 200 files, two processes, against lxml's parse", notes, two, reference),
    ]


def transitions(level: str) -> str:
    """Return what the search alone takes for one way from a grip to the next, in nanoseconds."""
    from rules import LEVELS, VIOLIN, cheapest_route
    from service.musicxml.file.container import open_document
    from service.musicxml.read.reader import read_part

    passage = read_part(open_document(joined(SOLO, 2000)).root, "P1", VIOLIN).passage
    options = cheapest_route(passage, LEVELS[level]).options
    ways = sum(len(a.grips) * len(b.grips) for a, b in pairwise(options))
    (seconds,) = fastest([lambda: cheapest_route(passage, LEVELS[level])], 7)
    return f"{seconds / ways * 1e9:.0f} ns a way ({ways:,} ways of {len(options):,} events) at level {level}"


def measure(tmp: Path) -> str:
    """Return the whole table as Markdown."""
    collect_less_often()  # as the programs do
    solo = joined(SOLO, 2000)
    rows = [
        against_lxml("a part of 200 notes", joined(SOLO, 200), "first-and-third", 15),
        against_lxml("a solo part of 2,000 notes", solo, "first-and-third"),
        against_lxml("a solo part of 2,000 notes", solo, "all"),
        against_lxml("double stops, 1,000 notes", repeated("two_oars", 1000), "first-and-third"),
        against_lxml("double stops, 1,000 notes", repeated("two_oars", 1000), "all"),
        against_lxml("slurs, 1,000 notes", repeated("ferry_waltz", 1000), "first-and-third"),
        against_lxml("a quartet, both violins planned", quartet(), "first-and-third"),
        against_lxml("a quartet, both violins planned", quartet(), "all"),
        against_music21(joined(SOLO, 1000), tmp),
        page_row(2000),
        *folder_rows(tmp),
    ]
    short, long = joined(SOLO, 1000), joined(SOLO, 100000)
    options = read_options({})
    (small,) = fastest([lambda: annotate(short, options)], 7)
    (large,) = fastest([lambda: annotate(long, options, WIDE)], 2)
    largest = joined(SOLO, 29000)
    growth = (large / long.count(b"<note")) / (small / short.count(b"<note"))
    command = ["-m", "service.cli", "clean", str(tmp / "score.musicxml"), "-o", str(tmp / "cleaned.musicxml")]
    start, lxml_start = cold_start(command, tmp), cold_start(["-c", "import lxml.etree"], tmp)
    lines = [
        "| what | notes | ours, ms | reference, ms | ratio | µs a note |",
        "|---|---|---|---|---|---|",
        *(row.text() for row in rows),
        f"| cold start of `handframe clean` against `import lxml.etree` | | {start * 1e3:.0f} | {lxml_start * 1e3:.0f} "
        f"| {start / lxml_start:.2f} | |",
        "",
        f"Time a note, {long.count(b'<note'):,} notes against {short.count(b'<note'):,}: {growth:.3f}.",
        f"Peak memory of the largest part accepted ({largest.count(b'<note'):,} notes, {len(largest) / 1e6:.1f} MB): "
        f"{peak_memory(largest, tmp) / 2**20:.0f} MiB.",
        f"The search alone, tables warm: {transitions('first-and-third')}; {transitions('all')}.",
        "",
        f"Machine: {os.cpu_count()} cores, {platform.machine()}, Python {platform.python_version()}, "
        f"{resource.getpagesize()}-byte pages.",
    ]
    return "\n".join(lines)
