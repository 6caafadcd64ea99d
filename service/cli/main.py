"""The command line: arguments in, exit code out; heavy modules are imported only by the command that needs them.

Exit codes: 0 nothing at or above the threshold; 1 findings at or above it; 2 something could not be done;
3 nothing to check; 130 Ctrl-C.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from importlib import import_module

from .. import __version__
from ..errors import said
from ..language import Language
from .arguments import Parser, speaking
from .command_language import command_language
from .ending import exit_code
from .exit_codes import Exit

COMMANDS = {
    "annotate": said("write fingerings, strings and positions into a score"),
    "review": said("report where another position pays, what is left to decide, and what a policy forbids"),
    "policy": said("run the tests that a house's policy carries"),
    "clean": said("take our marks out again, byte for byte"),
    "chart": said("draw where every finger falls in a position (SVG)"),
    "practice": said("write the exercises for the shifts of a part, or a progressive set without a part"),
    "serve": said("answer on a local address, with a page"),
    "weights": said("list what counts for and against a fingering at a level, with the reasons"),
    "learn": said("learn the fingering hand of a person or a house from a folder of fingered scores"),
    "watch": said("write a marked copy beside every score that is saved in a folder"),
}


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code."""
    words = sys.argv[1:] if arguments is None else arguments
    return exit_code(lambda: _run(words), words)


def _run(words: Sequence[str]) -> int:
    parser, language = _parser(words), command_language(words)
    if language is Language.BRITISH:
        arguments = parser.parse_args(words)
    else:
        from ..messages.message import Wording

        with speaking(parser, Wording(language)):
            arguments = parser.parse_args(words)
    return int(arguments.run(arguments))


def _parser(arguments: Sequence[str]) -> argparse.ArgumentParser:
    """Return the parser; only the command that is called gets its arguments, since they take time to import."""
    parser = Parser(prog="handframe", description=said("Left-hand plans for string parts in MusicXML."))
    parser.add_argument("--version", action="version", version=f"handframe {__version__}")
    commands = parser.add_subparsers(title=said("commands"), prog=parser.prog, required=True, metavar=said("COMMAND"))
    called = next((each for each in arguments if not each.startswith("-")), None)
    for name, text in COMMANDS.items():
        command = commands.add_parser(name, help=text)
        if name == called:
            import_module(f".commands.{name}", __package__).add_arguments(command)
    return parser


__all__ = ["Exit", "main"]
