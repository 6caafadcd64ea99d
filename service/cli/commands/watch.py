"""The command `watch`: a marked copy beside every score that is saved in a folder."""

from __future__ import annotations

import argparse
import signal
import sys
from pathlib import Path
from threading import Event
from typing import TYPE_CHECKING

from ...usecases.files import printable_name
from ..exit_codes import Exit
from ..option_flags import add_option_flags, options_from

if TYPE_CHECKING:
    from ...config.options import Options
    from ...usecases.watch import Watcher, WatchResult


def add_arguments(watch: argparse.ArgumentParser) -> None:
    """Add the arguments of the command."""
    watch.add_argument("folder", help="folder to watch; folders below it are not")
    watch.add_argument("--existing", action="store_true", help="also mark what is there already and has no newer copy")
    add_option_flags(watch)
    watch.set_defaults(run=lambda arguments: _watch(arguments, options_from(arguments)))


def _watch(arguments: argparse.Namespace, options: Options) -> int:
    from ...usecases.watch import Watcher

    folder = Path(arguments.folder)
    if not (arguments.folder and folder.is_dir()):
        name = printable_name(arguments.folder) or "''"
        print(f"handframe: {name}: This is no folder. Name the folder that scores are saved in.", file=sys.stderr)
        return Exit.FAILED
    signal.signal(signal.SIGTERM, signal.default_int_handler)
    try:
        _mark_all(Watcher(folder, options), arguments)
    except KeyboardInterrupt:
        return 0  # the normal end of a watch; copies are written whole or not at all
    return 0


def _mark_all(watcher: Watcher, arguments: argparse.Namespace) -> None:
    announced = Event()

    def begun() -> None:
        if not announced.is_set():
            announced.set()
            print(f"handframe watches {arguments.folder} (stop with Ctrl-C)", flush=True)

    if arguments.existing:
        for result in watcher.existing():
            _print_result(result)
    for result in watcher.run(Event(), begun):
        _print_result(result)


def _print_result(result: WatchResult) -> None:
    if result.copy is not None:
        print(f"{printable_name(result.copy.name)}: marked copy of {printable_name(result.score.name)}", flush=True)
    if result.message:
        print(f"handframe: {printable_name(result.score.name)}: {result.message}", file=sys.stderr, flush=True)
