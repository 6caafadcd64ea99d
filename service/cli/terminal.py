"""What a terminal shows besides text: colour and progress."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Iterator
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from rich.console import Console

    from ..reports.lines import Line

T = TypeVar("T")


def painter(console: Console) -> Callable[[Line], str]:
    """Return what turns a styled line into text with the colours of a terminal."""
    from rich.text import Text

    def paint(line: Line) -> str:
        with console.capture() as capture:
            console.print(Text.assemble(*line), soft_wrap=True, end="")
        return capture.get()

    return paint


def with_progress(results: Iterable[T], total: int, to_terminal: bool) -> Iterator[T]:
    """Yield the results; show how far they have come, unless the report itself goes to the terminal.

    Nothing is shown for a single result, or if standard error is not a terminal.
    """
    if total < 2 or to_terminal or not sys.stderr.isatty():
        yield from results
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TimeRemainingColumn

    columns = (MofNCompleteColumn(), "files", BarColumn(), TimeRemainingColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True, redirect_stdout=False) as progress:
        yield from progress.track(results, total=total)
