"""The command line: arguments in, exit code out; heavy modules are imported only by the command that needs them.

Exit codes: 0 nothing at or above the threshold; 1 findings at or above it; 2 something could not be done;
3 nothing to check; 130 Ctrl-C.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from importlib import import_module
from typing import TYPE_CHECKING, Any

from .. import __version__
from ..errors import ScoreError, bad_option
from ..usecases.files import printable_name, read_file, write_file
from ..usecases.output_names import ABC, KINDS, check_ending, check_outputs, kind_of_score, name_beside
from .ending import exit_code
from .exit_codes import Exit

if TYPE_CHECKING:
    from ..usecases.annotate import AnnotatedScore


_COMMANDS = {
    "annotate": "write fingerings, strings and positions into a score",
    "review": "report where another position pays, what is left to decide, and what a policy forbids",
    "policy": "run the tests that a house's policy carries",
    "clean": "take our marks out again, byte for byte",
    "chart": "draw where every finger falls in a position (SVG)",
    "practice": "write the exercises for the shifts of a part, or a progressive set without a part",
    "serve": "answer on a local address, with a page",
    "weights": "list what counts for and against a fingering at a level, with the reasons",
    "learn": "learn the fingering hand of a person or a house from a folder of fingered scores",
    "watch": "write a marked copy beside every score that is saved in a folder",
}


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code."""
    words = sys.argv[1:] if arguments is None else arguments
    return exit_code(lambda: _run(words), words)


def _run(words: Sequence[str]) -> int:
    arguments = _parser(words).parse_args(words)
    return int(arguments.run(arguments))


class _Parser(argparse.ArgumentParser):
    """A parser that fails if its help cannot be written."""

    def print_help(self, file: Any = None) -> None:
        """Write the help to a file, or to standard output."""
        (file or sys.stdout).write(self.format_help())


def _parser(arguments: Sequence[str]) -> argparse.ArgumentParser:
    """Return the parser; only the command that is called gets its arguments, since they take time to import."""
    parser = _Parser(prog="handframe", description="Left-hand plans for string parts in MusicXML.")
    parser.add_argument("--version", action="version", version=f"handframe {__version__}")
    commands = parser.add_subparsers(title="commands", prog=parser.prog, required=True, metavar="COMMAND")
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
        command.add_argument("-o", "--output", help="file to write (default: standard output)")
        _add_in_place(command)
        command.set_defaults(run=_clean)
    else:
        import_module(f".commands.{name}", __package__).add_arguments(command)


def _add_annotate(command: argparse.ArgumentParser) -> None:
    from .option_flags import add_option_flags

    command.add_argument(
        "score", help="score file (MusicXML, .mxl, ABC, Humdrum kern, MEI, MIDI), or - for standard input"
    )
    command.add_argument(
        "-o", "--output", help="file to write (default: NAME.marked.EXT beside the score; - for stdout)"
    )
    _add_in_place(command)
    command.add_argument("--server", metavar="URL", help="let a running service do the work: http://127.0.0.1:8765")
    command.add_argument("--plan", help="also write the plan as JSON to this file")
    add_option_flags(command)
    command.set_defaults(run=_annotate)


def _annotate(arguments: argparse.Namespace) -> Exit:
    from .option_flags import options_from

    options = options_from(arguments)
    output = _output(arguments, "-" if arguments.score == "-" else marked_name(arguments.score, options.notation))
    if arguments.plan is not None:
        check_outputs([output, arguments.plan], [] if arguments.in_place else [arguments.score])
    is_copy = arguments.output is None and output not in (arguments.score, "-")
    if is_copy:
        _keep_changed_copy(output)
    if arguments.server is not None:
        return _annotate_by_server(arguments, output, options.notation, is_copy)
    from ..usecases.annotate import annotate
    from ..usecases.marked_copy import sealed_copy

    answer = annotate(read_file(arguments.score), options, name=arguments.score)
    check_ending(output, KINDS[answer.kind])
    write_file(output, sealed_copy(answer) if is_copy else answer.data)
    from ..messages.message import Wording

    for remark in map(Wording(options.language).text, answer.remarks):
        sys.stderr.write(f"handframe: {remark}\n")
    if output != "-":
        _report_result(output, answer)
    if arguments.plan is not None:
        from ..reports.wire.review_data import review_json

        write_file(arguments.plan, review_json(answer.parts, indent=1))
    return Exit.CLEAN


def _annotate_by_server(arguments: argparse.Namespace, output: str, notation: str, is_copy: bool) -> Exit:
    import json

    from ..client import Client
    from ..usecases.marked_copy import sealed_file
    from .option_flags import texts_from

    data, name, texts = read_file(arguments.score), os.path.basename(arguments.score), texts_from(arguments)
    with Client(arguments.server) as client:
        marked = client.annotate(data, name, **texts)
        check_ending(output, ABC if notation == "abc" else kind_of_score(marked.data))
        write_file(output, sealed_file(marked.data, notation) if is_copy else marked.data)
        for remark in marked.remarks:
            sys.stderr.write(f"handframe: {remark}\n")
        if output != "-":
            print(f"{printable_name(output)}: {', '.join(marked.parts)}; proposals: {marked.proposals}")
        if arguments.plan is not None:
            plan = json.dumps(client.review(data, name, **texts), ensure_ascii=False, indent=1)
            write_file(arguments.plan, plan.encode())
    return Exit.CLEAN


def _keep_changed_copy(name: str) -> None:
    """Refuse to write over a copy that was changed since it was written, if nobody has named it."""
    from ..usecases.marked_copy import is_untouched

    if os.path.isfile(name) and not is_untouched(read_file(name)):
        raise ScoreError(
            "copy-changed",
            f"{name} was changed since handframe wrote it, or is something else.",
            "Move it away, or give a name for the output with -o.",
        )


def _add_in_place(command: argparse.ArgumentParser) -> None:
    command.add_argument("--in-place", action="store_true", help="write to the score itself, instead of -o")


def _output(arguments: argparse.Namespace, default: str) -> str:
    """Where to write; the score itself only with `--in-place`."""
    output: str = default if arguments.output is None else arguments.output
    if arguments.in_place:
        if arguments.score == "-" or arguments.output is not None:
            raise bad_option("in-place", "", "either --in-place with the name of a score, or -o")
        return str(arguments.score)
    check_outputs([output], [arguments.score], ", or --in-place to replace the score")
    return output


def _report_result(output: str, answer: AnnotatedScore) -> None:
    """Say what was written, and how to read the reasons."""
    proposals = sum(len(part.review.planned.proposals) for part in answer.parts)
    names = ", ".join(part.passage.name or part.passage.part for part in answer.parts)
    print(
        f"{printable_name(output)}: {names}; proposals: {proposals}"
        + ("; `handframe review` tells why" if proposals else "")
    )


def marked_name(name: str, notation: str = "musicxml") -> str:
    """Return the name beside a score under which its marked copy is written; other formats come out as MusicXML."""
    from ..musicxml.formats.table import musicxml_name

    return name_beside(name if notation == "abc" else musicxml_name(name), "marked")


def _clean(arguments: argparse.Namespace) -> Exit:
    from ..usecases.clean import clean

    output = _output(arguments, "-")
    cleaned = clean(read_file(arguments.score))
    check_ending(output, kind_of_score(cleaned))
    write_file(output, cleaned)
    return Exit.CLEAN


__all__ = ["Exit", "main", "marked_name"]
