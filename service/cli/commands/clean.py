"""The command `clean`: our marks taken out again, byte for byte."""

from __future__ import annotations

import argparse

from ...errors import said
from ...messages.help_texts import FILE, TO_STANDARD_OUTPUT
from ...usecases.files import read_file, write_file
from ...usecases.output_names import check_ending, kind_of_score
from ..arguments import add_language_flag
from ..exit_codes import Exit
from ..output_flags import add_in_place_flag, output_name


def add_arguments(command: argparse.ArgumentParser) -> None:
    """Add the arguments of the command."""
    command.add_argument("score", metavar=said("score"), help=said("MusicXML file, or - for standard input"))
    command.add_argument("-o", "--output", metavar=FILE, help=TO_STANDARD_OUTPUT)
    add_in_place_flag(command)
    add_language_flag(command)
    command.set_defaults(run=_clean)


def _clean(arguments: argparse.Namespace) -> Exit:
    from ...usecases.clean import clean

    output = output_name(arguments, "-")
    cleaned = clean(read_file(arguments.score))
    check_ending(output, kind_of_score(cleaned))
    write_file(output, cleaned)
    return Exit.CLEAN
