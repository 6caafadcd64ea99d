"""The command `watch`: a marked copy beside every score that is saved in a folder."""

from __future__ import annotations

import argparse
import signal
import sys
from collections.abc import Callable
from pathlib import Path
from threading import Event
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from ..config.options import Options
    from ..usecases.watch import Seen

_FAILED = 2


def add_watch(
    commands: Any,
    add_options: Callable[[argparse.ArgumentParser], None],
    options: Callable[[argparse.Namespace], Options],
) -> None:
    """Add the command to the command line."""
    watch = commands.add_parser("watch", help="write a marked copy beside every score that is saved in a folder")
    watch.add_argument("folder", help="folder to watch; folders below it are not")
    watch.add_argument("--existing", action="store_true", help="also mark what is there already and has no newer copy")
    add_options(watch)
    watch.set_defaults(run=lambda given: _watch(given, options(given)))


def _watch(given: argparse.Namespace, options: Options) -> int:
    from ..usecases.watch import Watcher

    folder = Path(given.folder)
    if not folder.is_dir():
        print(
            f"handframe: {given.folder}: This is no folder. Name the folder that scores are saved in.", file=sys.stderr
        )
        return _FAILED
    stop = Event()
    for name in ("SIGINT", "SIGTERM"):
        signal.signal(getattr(signal, name), lambda *_: stop.set())
    watcher = Watcher(folder, options)
    told = Event()

    def begun() -> None:
        if not told.is_set():
            told.set()
            print(f"handframe watches {given.folder} (stop with Ctrl-C)", flush=True)

    if given.existing:
        for seen in watcher.existing():
            _tell(seen)
    for seen in watcher.run(stop, begun):
        _tell(seen)
    return 0


def _tell(seen: Seen) -> None:
    if seen.copy is not None:
        print(f"{seen.copy.name}: marked copy of {seen.score.name}", flush=True)
    else:
        print(f"handframe: {seen.score.name}: {seen.told}", file=sys.stderr, flush=True)
