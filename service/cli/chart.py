"""The command `chart`: the fingerboard in one position, as a drawing."""

from __future__ import annotations

import argparse

from ..usecases.files import write_file
from ..usecases.output_names import DRAWING, check_ending, check_outputs
from .option_flags import add_option_flags, options_from

_FLAGS = {
    "position": ("1", "0 is half position (default: 1)"),
    "key": ("C", "such as D, Bb, F#m (default: C)"),
    "notes": ("", "notes to ring, as string:pitch, for example 2:D5,1:A5"),
}


def add_arguments(chart: argparse.ArgumentParser) -> None:
    """Add the arguments of the command."""
    for name, (default, text) in _FLAGS.items():
        chart.add_argument(f"--{name}", default=default, metavar="VALUE", help=text)
    chart.add_argument("-o", "--output", default="-", help="file to write (default: standard output)")
    add_option_flags(chart, ("instrument", "language"))
    chart.set_defaults(run=_chart)


def _chart(given: argparse.Namespace) -> int:
    from .. import errors
    from ..drawing.chart import chart_of

    if not given.position.isdecimal():
        raise errors.bad_option("position", given.position, "a position as a number, 0 being half position")
    check_outputs([given.output], [])
    check_ending(given.output, DRAWING)
    options = options_from(given)
    drawing = chart_of(int(given.position), given.key, options.instrument, options.language, given.notes)
    write_file(given.output, f"{drawing}\n".encode())
    return 0
