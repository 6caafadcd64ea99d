"""The command `watch`: a marked copy beside every score that is saved in a folder."""

from __future__ import annotations

import argparse
import signal
import sys
from pathlib import Path
from threading import Event
from typing import TYPE_CHECKING

from .option_flags import add_option_flags, options_from

if TYPE_CHECKING:
    from ..config.options import Options
    from ..usecases.watch import Seen, Watcher

_FAILED = 2


def add_arguments(watch: argparse.ArgumentParser) -> None:
    """Add the arguments of the command."""
    watch.add_argument("folder", help="folder to watch; folders below it are not")
    watch.add_argument("--existing", action="store_true", help="also mark what is there already and has no newer copy")
    add_option_flags(watch)
    watch.set_defaults(run=lambda given: _watch(given, options_from(given)))


def _watch(given: argparse.Namespace, options: Options) -> int:
    from ..usecases.watch import Watcher

    folder = Path(given.folder)
    if not folder.is_dir():
        print(
            f"handframe: {given.folder}: This is no folder. Name the folder that scores are saved in.", file=sys.stderr
        )
        return _FAILED
    signal.signal(signal.SIGTERM, signal.default_int_handler)
    try:
        _mark_all(Watcher(folder, options), given)
    except KeyboardInterrupt:
        return 0  # this is how a watch ends; a copy is whole or not there whenever that happens
    return 0


def _mark_all(watcher: Watcher, given: argparse.Namespace) -> None:
    told = Event()

    def begun() -> None:
        if not told.is_set():
            told.set()
            print(f"handframe watches {given.folder} (stop with Ctrl-C)", flush=True)

    if given.existing:
        for seen in watcher.existing():
            _tell(seen)
    for seen in watcher.run(Event(), begun):
        _tell(seen)


def _tell(seen: Seen) -> None:
    if seen.copy is not None:
        print(f"{seen.copy.name}: marked copy of {seen.score.name}", flush=True)
    else:
        print(f"handframe: {seen.score.name}: {seen.told}", file=sys.stderr, flush=True)
