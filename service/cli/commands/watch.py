"""The command `watch`: a marked copy beside every score that is saved in a folder."""

from __future__ import annotations

import argparse
import signal
import sys
from pathlib import Path
from threading import Event
from typing import TYPE_CHECKING

from ...errors import ScoreError, said
from ...messages.commands import COPY, WATCHES
from ...messages.message import Wording
from ...usecases.files import printable_name
from ..option_flags import add_option_flags, options_from

if TYPE_CHECKING:
    from ...config.options import Options
    from ...usecases.watch import Watcher, WatchResult


def add_arguments(watch: argparse.ArgumentParser) -> None:
    """Add the arguments of the command."""
    watch.add_argument("folder", metavar=said("folder"), help=said("folder to watch; folders below it are not"))
    watch.add_argument(
        "--existing", action="store_true", help=said("also mark what is there already and has no newer copy")
    )
    add_option_flags(watch)
    watch.set_defaults(run=lambda arguments: _watch(arguments, options_from(arguments)))


def _watch(arguments: argparse.Namespace, options: Options) -> int:
    from ...usecases.watch import Watcher

    folder = Path(arguments.folder)
    if not (arguments.folder and folder.is_dir()):
        name = printable_name(arguments.folder) or "''"
        message = said("{folder} is no folder.", folder=name)
        raise ScoreError("no-folder", message, said("Name the folder that scores are saved in."))
    signal.signal(signal.SIGTERM, signal.default_int_handler)
    try:
        _mark_all(Watcher(folder, options), arguments, Wording(options.language))
    except KeyboardInterrupt:
        return 0  # the normal end of a watch; copies are written whole or not at all
    return 0


def _mark_all(watcher: Watcher, arguments: argparse.Namespace, wording: Wording) -> None:
    announced = Event()

    def begun() -> None:
        if not announced.is_set():
            announced.set()
            print(wording.say(WATCHES, folder=arguments.folder), flush=True)

    if arguments.existing:
        for result in watcher.existing():
            _print_result(result, wording)
    for result in watcher.run(Event(), begun):
        _print_result(result, wording)


def _print_result(result: WatchResult, wording: Wording) -> None:
    if result.copy is not None:
        copy, score = printable_name(result.copy.name), printable_name(result.score.name)
        print(wording.say(COPY, copy=copy, score=score), flush=True)
    if result.message:
        print(f"handframe: {printable_name(result.score.name)}: {result.message}", file=sys.stderr, flush=True)
