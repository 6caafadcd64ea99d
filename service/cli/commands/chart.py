"""The command `chart`: the fingerboard in one position, as a drawing."""

from __future__ import annotations

import argparse

from ...errors import said
from ...messages.help_texts import FILE, TO_STANDARD_OUTPUT, VALUE
from ...usecases.files import write_file
from ...usecases.output_names import DRAWING, check_ending, check_outputs
from ..option_flags import add_option_flags, options_from

_FLAGS = {
    "position": ("1", said("0 is half position (default: 1)")),
    "key": ("C", said("such as D, Bb, F#m (default: C)")),
    "notes": ("", said("notes to ring, as string:pitch, for example 2:D5,1:A5")),
}


def add_arguments(chart: argparse.ArgumentParser) -> None:
    """Add the arguments of the command."""
    for name, (default, text) in _FLAGS.items():
        chart.add_argument(f"--{name}", default=default, metavar=VALUE, help=text)
    chart.add_argument("-o", "--output", default="-", metavar=FILE, help=TO_STANDARD_OUTPUT)
    add_option_flags(chart, ("instrument", "language"))
    chart.set_defaults(run=_chart)


def _chart(arguments: argparse.Namespace) -> int:
    from ... import errors
    from ...drawing.chart import chart_of

    if not arguments.position.isdecimal():
        raise errors.bad_option("position", arguments.position, said("a position as a number, 0 being half position"))
    check_outputs([arguments.output], [])
    check_ending(arguments.output, DRAWING)
    options = options_from(arguments)
    drawing = chart_of(int(arguments.position), arguments.key, options.instrument, options.language, arguments.notes)
    write_file(arguments.output, f"{drawing}\n".encode())
    return 0
