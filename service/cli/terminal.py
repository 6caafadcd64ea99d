"""What a terminal shows besides text: colour and progress."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterable, Iterator
from typing import TYPE_CHECKING, TypeVar

from ..messages.commands import FILES_LABEL, PROGRESS
from ..messages.message import Wording

if TYPE_CHECKING:
    from rich.console import Console

    from ..reports.lines import Line

T = TypeVar("T")


def painter(console: Console | None = None) -> Callable[[Line], str]:
    """Return what turns a styled line into text with the colours of a terminal: this one, if none is named."""
    from rich.console import Console
    from rich.text import Text

    console = console or Console()

    def paint(line: Line) -> str:
        with console.capture() as capture:
            console.print(Text.assemble(*line), soft_wrap=True, end="")
        return capture.get()

    return paint


def with_progress(
    results: Iterable[T], total: int, wording: Wording, to_terminal: bool, seconds: float = 10.0
) -> Iterator[T]:
    """Yield the results and show on standard error how far they have come, unless the report goes to the terminal.

    A terminal shows a bar; elsewhere a line is written every so many seconds. Nothing is shown for a single result.
    """
    if total < 2 or to_terminal:
        yield from results
        return
    if not sys.stderr.isatty():
        yield from _with_lines(results, total, wording, seconds)
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TimeRemainingColumn

    columns = (MofNCompleteColumn(), wording.say(FILES_LABEL), BarColumn(), TimeRemainingColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True, redirect_stdout=False) as progress:
        yield from progress.track(results, total=total)


def _with_lines(results: Iterable[T], total: int, wording: Wording, seconds: float) -> Iterator[T]:
    began = last = time.monotonic()
    for number, result in enumerate(results, start=1):
        yield result
        now = time.monotonic()
        if now - last >= seconds and number < total:
            last = now
            said = wording.say(PROGRESS, done=str(number), total=str(total), seconds=f"{now - began:.0f}")
            sys.stderr.write(f"handframe: {said}\n")
            sys.stderr.flush()
