"""Where `annotate` and `clean` write: beside the score, to a named file, or to the score itself."""

from __future__ import annotations

import argparse

from ..errors import bad_option, said
from ..usecases.output_names import check_outputs


def add_in_place_flag(command: argparse.ArgumentParser) -> None:
    """Add the flag that lets a command write to the score itself."""
    command.add_argument("--in-place", action="store_true", help=said("write to the score itself, instead of -o"))


def output_name(arguments: argparse.Namespace, default: str) -> str:
    """Return where to write; the score itself only with `--in-place`.

    Raises:
        ScoreError: the flags contradict each other, or the output is the score.
    """
    output: str = default if arguments.output is None else arguments.output
    if arguments.in_place:
        if arguments.score == "-" or arguments.output is not None:
            raise bad_option("in-place", "", said("either --in-place with the name of a score, or -o"))
        return str(arguments.score)
    check_outputs([output], [arguments.score], said("Give another name, or --in-place to replace the score."))
    return output
