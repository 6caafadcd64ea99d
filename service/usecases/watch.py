"""Watching a folder: when a score is saved there, a marked copy appears beside it.

For editors that can only save. The score itself is never touched, and what we write is never taken for a score. A
copy is written whole or not at all. A copy that somebody else changed since is kept, and a new one gets another name: a
copy is ours to replace only if this watcher wrote it, or if it still holds our marks as they were written.
What does not belong here: how a score is marked (see `annotate`), the command line.
"""

from __future__ import annotations

import hashlib
import time
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from threading import Event

from watchfiles import Change, watch

from ..config.limits import DEFAULT_LIMITS, Limits
from ..config.options import Options
from ..errors import ScoreError
from .annotate import annotate
from .clean import clean
from .files import write_file

SCORES = frozenset({".musicxml", ".xml", ".mxl"})
MARKED = ".marked"
_STEP_MILLISECONDS = 300
_SETTLED_SECONDS = 0.1
_ATTEMPTS = 50  # times that a file may still be growing when it is looked at


@dataclass(frozen=True, slots=True)
class Seen:
    """What became of one saved score: the copy that was written, or why there is none."""

    score: Path
    copy: Path | None
    told: str = ""


class Watcher:
    """Marks the scores of one folder, not of those below it."""

    def __init__(self, folder: Path, options: Options, limits: Limits = DEFAULT_LIMITS) -> None:
        self._folder = folder.resolve()
        self._options, self._limits = options, limits
        self._written: dict[Path, str] = {}

    def concerns(self, path: Path) -> bool:
        """Whether a path is a score to be marked: not hidden, not in a folder below, not one of our copies."""
        return (
            path.parent == self._folder
            and path.suffix.lower() in SCORES
            and not path.name.startswith((".", "~"))
            and not _is_copy(path)
        )

    def existing(self) -> Iterator[Seen]:
        """Mark what is there already, unless its copy is newer."""
        for path in sorted(self._folder.iterdir()):
            if self.concerns(path) and path.is_file():
                copy = _copy_name(path, 1)
                if not copy.exists() or copy.stat().st_mtime_ns < path.stat().st_mtime_ns:
                    yield self.mark(path)

    def run(self, stop: Event, begun: Callable[[], None] = lambda: None) -> Iterator[Seen]:
        """Mark each score as it is saved, until `stop` is set; `begun` is called when nothing is missed any more."""
        for changes in watch(
            self._folder,
            watch_filter=lambda change, name: change is not Change.deleted and self.concerns(Path(name)),
            stop_event=stop,
            step=_STEP_MILLISECONDS // 3,
            debounce=_STEP_MILLISECONDS * 4,
            rust_timeout=_STEP_MILLISECONDS,
            yield_on_timeout=True,
            recursive=False,
            raise_interrupt=False,
        ):
            begun()
            for path in _paths(changes):
                if path.is_file():
                    yield self.mark(path)

    def mark(self, score: Path) -> Seen:
        """Write the marked copy of one score; a fault is told, never raised."""
        try:
            data = _settled(score)
            answer = annotate(data, self._options, self._limits).data
            copy = self._free_copy(score, answer)
            if copy is None:
                return Seen(score, None, "the copy is up to date")
            write_file(str(copy), answer)
        except ScoreError as error:
            return Seen(score, None, str(error))
        except OSError as error:
            return Seen(score, None, error.strerror or type(error).__name__)
        self._written[copy] = _digest(answer)
        return Seen(score, copy)

    def _free_copy(self, score: Path, answer: bytes) -> Path | None:
        """The first name that is free or ours to replace; None if the copy stands there already."""
        number = 1
        while True:
            copy = _copy_name(score, number)
            if not copy.exists():
                return copy
            there = copy.read_bytes()
            if there == answer:
                self._written[copy] = _digest(there)
                return None
            if self._written.get(copy) == _digest(there) or self._holds_marks(there):
                return copy
            number += 1

    def _holds_marks(self, data: bytes) -> bool:
        """Whether a copy is still as it was written: an editor drops our instructions when it saves."""
        try:
            return clean(data, self._limits) != data
        except ScoreError:
            return False


def _copy_name(score: Path, number: int) -> Path:
    return score.with_name(f"{score.stem}{MARKED}{'' if number == 1 else f'-{number}'}{score.suffix}")


def _is_copy(path: Path) -> bool:
    ending = path.stem.rpartition(MARKED)
    return ending[1] == MARKED and (not ending[2] or ending[2].removeprefix("-").isdecimal())


def _paths(changes: Iterable[tuple[Change, str]]) -> list[Path]:
    return sorted({Path(name) for _, name in changes})


def _settled(path: Path) -> bytes:
    """The content of a file that somebody may still be writing: it is read when it stops changing."""
    before = path.stat()
    for _ in range(_ATTEMPTS):
        time.sleep(_SETTLED_SECONDS)
        data = path.read_bytes()
        after = path.stat()
        if (after.st_size, after.st_mtime_ns) == (before.st_size, before.st_mtime_ns) and len(data) == after.st_size:
            break
        before = after
    return data


def _digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()
