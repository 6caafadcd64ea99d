"""The command line: arguments in, exit code out; heavy modules are imported only by the command that needs them.

Exit codes: 0 nothing at or above the threshold; 1 findings at or above it; 2 the work could not be done.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from enum import IntEnum
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING

from .. import __version__
from ..errors import ScoreError
from ..usecases.files import check_ending, read_file, write_file

if TYPE_CHECKING:
    from ..usecases.annotate import Answer


class Exit(IntEnum):
    """What the exit code says."""

    CLEAN = 0
    FINDINGS = 1
    FAILED = 2


_COMMANDS = {
    "annotate": "write fingerings, strings and positions into a score",
    "review": "report where another position pays, what is left to decide, and what a policy forbids",
    "clean": "take our marks out again, byte for byte",
    "chart": "draw where every finger falls in a position (SVG)",
    "practice": "write the exercises for the shifts of a part, or a progressive set without a part",
    "serve": "answer on a local address, with a page",
    "watch": "write a marked copy beside every score that is saved in a folder",
}


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code."""
    given = _parser(sys.argv[1:] if arguments is None else arguments).parse_args(arguments)
    try:
        return int(given.run(given))
    except ScoreError as error:
        print(f"handframe: {error}", file=sys.stderr)
    except BrokenPipeError:
        sys.stderr.close()
    except OSError as error:
        print(f"handframe: {error.filename or ''}: {error.strerror}", file=sys.stderr)
    return Exit.FAILED


def _parser(arguments: Sequence[str]) -> argparse.ArgumentParser:
    """Return the parser; only the command that is called gets its arguments, since they take time to import."""
    parser = argparse.ArgumentParser(prog="handframe", description="Left-hand plans for string parts in MusicXML.")
    parser.add_argument("--version", action="version", version=f"handframe {__version__}")
    commands = parser.add_subparsers(title="commands", required=True, metavar="COMMAND")
    called = next((each for each in arguments if not each.startswith("-")), None)
    for name, text in _COMMANDS.items():
        command = commands.add_parser(name, help=text)
        if name == called:
            _add_arguments(name, command)
    return parser


def _add_arguments(name: str, command: argparse.ArgumentParser) -> None:
    if name == "annotate":
        _add_annotate(command)
    elif name == "clean":
        command.add_argument("score", help="MusicXML file, or - for standard input")
        command.add_argument("-o", "--output", default="-", help="file to write (default: standard output)")
        command.set_defaults(run=_clean)
    else:
        import_module(f".{name}", __package__).add_arguments(command)


def _add_annotate(command: argparse.ArgumentParser) -> None:
    from .option_flags import add_option_flags

    command.add_argument("score", help="MusicXML file, or - for standard input")
    command.add_argument(
        "-o", "--output", help="file to write (default: NAME.marked.EXT beside the score; - for stdout)"
    )
    command.add_argument("--plan", help="also write the plan as JSON to this file")
    add_option_flags(command)
    command.set_defaults(run=_annotate)


def _annotate(given: argparse.Namespace) -> Exit:
    from ..musicxml.import_formats import to_musicxml
    from ..usecases.annotate import annotate
    from .option_flags import options_from

    answer = annotate(to_musicxml(read_file(given.score), given.score), options_from(given))
    output = given.output or ("-" if given.score == "-" else marked_name(given.score))
    check_ending(output, answer.data)
    write_file(output, answer.data)
    if output != "-":
        _told(output, answer)
    if given.plan:
        from ..reports.wire.review_data import review_json

        write_file(given.plan, review_json(answer.parts, indent=1))
    return Exit.CLEAN


def _told(output: str, answer: Answer) -> None:
    """Say what was written, and how to read the reasons."""
    proposals = sum(len(part.review.planned.proposals) for part in answer.parts)
    names = ", ".join(part.passage.name or part.passage.part for part in answer.parts)
    print(f"{output}: {names}; proposals: {proposals}" + ("; `handframe review` tells why" if proposals else ""))


def marked_name(name: str) -> str:
    """Return the name beside a score under which its marked copy is written; other formats come out as MusicXML."""
    from ..musicxml.import_formats import ENDINGS

    path = Path(name)
    ending = ".musicxml" if path.suffix.lower() in ENDINGS else path.suffix
    return str(path.with_name(f"{path.stem}.marked{ending}"))


def _clean(given: argparse.Namespace) -> Exit:
    from ..usecases.clean import clean

    cleaned = clean(read_file(given.score))
    check_ending(given.output, cleaned)
    write_file(given.output, cleaned)
    return Exit.CLEAN
