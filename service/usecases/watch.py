"""Watching a folder: when a score is saved there, a marked copy appears beside it.

For editors that can only save. The score itself is never touched, and what we write is never taken for a score. A
copy is written whole or not at all, and sealed: only a copy whose seal is intact is replaced. Any other file of that
name is somebody's work; it is kept, and the new copy gets another name.
"""

from __future__ import annotations

import os
import stat
import time
from collections.abc import Callable, Generator, Iterator
from contextlib import closing
from dataclasses import dataclass
from itertools import count
from pathlib import Path
from threading import Event

from watchfiles import Change, watch

from ..config.file_limits import DEFAULT_LIMITS, Limits
from ..config.options import Options
from ..errors import ScoreError, said
from ..messages.faults import our_fault, system_reason
from ..messages.message import Wording
from ..musicxml.formats.known_formats import ABC, ENDINGS, MUSICXML
from .annotate import annotate
from .files import write_file
from .marked_copy import is_untouched, sealed_copy

MARKED = ".marked"
_STEP_MILLISECONDS = 300
_SETTLED_SECONDS = 0.1
_CLOCK_SECONDS = 2.0  # by which the clock of another machine may be behind, or a file system rounds
_ATTEMPTS = 50  # times that a file may still be growing when it is looked at


@dataclass(frozen=True, slots=True)
class WatchResult:
    """What became of one saved score: the copy that was written, or why there is none."""

    score: Path
    copy: Path | None
    message: str = ""


class Watcher:
    """Marks the scores of one folder, not of those below it."""

    def __init__(self, folder: Path, options: Options, limits: Limits = DEFAULT_LIMITS) -> None:
        self._folder = folder.resolve()
        self._options, self._limits = options, limits

    def concerns(self, path: Path) -> bool:
        """Whether a path is a score to be marked: not hidden, not in a folder below, not one of our copies."""
        return (
            path.parent == self._folder
            and path.suffix.lower() in ENDINGS
            and not path.name.startswith((".", "~"))
            and not _is_copy(path)
        )

    def existing(self) -> Iterator[WatchResult]:
        """Mark what is there already, unless its copy is newer."""
        for path in sorted(self._folder.iterdir()):
            if self.concerns(path) and path.is_file():
                copy = _copy_name(path, 1, self._notation(path))
                if not copy.exists() or copy.stat().st_mtime_ns < path.stat().st_mtime_ns:
                    yield self.mark(path)

    def run(self, stop: Event, begun: Callable[[], None] = lambda: None) -> Iterator[WatchResult]:
        """Mark each score as it is saved, until `stop` is set; `begun` is called when nothing is missed any more.

        A folder that vanishes is waited for.
        """
        gone_since = None
        while not stop.is_set():
            with closing(self._changes(stop)) as rounds:
                for paths in rounds:
                    begun()
                    if gone_since is not None:
                        yield WatchResult(self._folder, None, "The folder is back.")
                        paths, gone_since = paths | self._saved_since(gone_since), None
                    yield from self._marked(paths, stop)
            if gone_since is None and not stop.is_set():
                gone_since = time.time()
                yield WatchResult(self._folder, None, "The folder has gone. Waiting for it to come back.")
            stop.wait(_STEP_MILLISECONDS / 1000)

    def _marked(self, paths: set[Path], stop: Event) -> Iterator[WatchResult]:
        for path in sorted(paths):
            if stop.is_set():
                return
            if path.is_file():
                yield self.mark(path)

    def _changes(self, stop: Event) -> Generator[set[Path], None, None]:
        """Yield what was saved since the last look, at least three times a second, while the folder exists."""
        place = _place(self._folder)
        if place is None:
            return
        try:
            for changes in watch(
                self._folder,
                watch_filter=lambda change, name: change is not Change.deleted and self.concerns(Path(name)),
                stop_event=stop,
                step=_STEP_MILLISECONDS // 3,
                debounce=_STEP_MILLISECONDS * 4,
                rust_timeout=_STEP_MILLISECONDS,
                yield_on_timeout=True,
                recursive=False,
                raise_interrupt=True,
            ):
                yield {Path(name) for _, name in changes}
                if _place(self._folder) != place:
                    return
        except FileNotFoundError:
            return

    def _saved_since(self, moment: float) -> set[Path]:
        try:
            paths = [path for path in self._folder.iterdir() if self.concerns(path)]
            return {path for path in paths if path.stat().st_mtime >= moment - _CLOCK_SECONDS}
        except OSError:
            return set()

    def mark(self, score: Path) -> WatchResult:
        """Write the marked copy of one score; an error becomes the message of the result."""
        wording = Wording(self._options.language)
        try:
            options = self._options.model_copy(update={"notation": self._notation(score)})
            answer = annotate(_settled(score), options, self._limits, name=score.name)
            made = sealed_copy(answer)
            copy = self._free_copy(score, made)
            if copy is None:
                return WatchResult(score, None, wording.text(said("the copy is up to date")))
            write_file(str(copy), made)
        except ScoreError as error:
            return WatchResult(score, None, wording.error(error))
        except OSError as error:
            return WatchResult(score, None, wording.text(system_reason(error)))
        except Exception as fault:
            return WatchResult(score, None, wording.text(our_fault(fault)))
        return WatchResult(score, copy, " ".join(map(wording.text, answer.remarks)))

    def _notation(self, score: Path) -> str:
        """The notation of the copy: what is no ABC cannot become ABC."""
        return self._options.notation if score.suffix.lower() in ABC.endings else MUSICXML.name

    def _free_copy(self, score: Path, made: bytes) -> Path | None:
        """The first name that is free or ours to replace; None if the copy stands there already."""
        for number in count(1):
            copy = _copy_name(score, number, self._notation(score))
            if not os.path.lexists(copy):
                return copy
            if not copy.is_file():
                continue
            there = copy.read_bytes()
            if there == made:
                return None
            if is_untouched(there, self._limits):
                return copy
        raise AssertionError


def _place(folder: Path) -> tuple[int, int] | None:
    """The identity of a folder, so that a new one of the same name is noticed; None if there is none."""
    try:
        there = folder.stat()
    except OSError:
        return None
    return (there.st_dev, there.st_ino) if stat.S_ISDIR(there.st_mode) else None


def _copy_name(score: Path, number: int, notation: str) -> Path:
    if (
        notation == MUSICXML.name and score.suffix.lower() not in MUSICXML.endings
    ):  # beside air.musicxml there may be air.abc
        score = score.with_name(f"{score.name}.musicxml")
    return score.with_name(f"{score.stem}{MARKED}{'' if number == 1 else f'-{number}'}{score.suffix}")


def _is_copy(path: Path) -> bool:
    ending = path.stem.rpartition(MARKED)
    return ending[1] == MARKED and (not ending[2] or ending[2].removeprefix("-").isdecimal())


def _settled(path: Path) -> bytes:
    """The content of a file that may still be written to: it is read once it has not changed for a moment."""
    data = b""
    for _ in range(_ATTEMPTS):
        before = path.stat()
        age = time.time() - before.st_mtime
        if not age >= _SETTLED_SECONDS:  # also in the future, where clocks differ
            time.sleep(_SETTLED_SECONDS)
        data = path.read_bytes()
        after = path.stat()
        if (after.st_size, after.st_mtime_ns) == (before.st_size, before.st_mtime_ns) and len(data) == after.st_size:
            break
    return data
