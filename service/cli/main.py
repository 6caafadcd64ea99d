"""The command line: arguments in, exit code out; heavy modules are imported only by the command that needs them.

Exit codes: 0 nothing at or above the threshold; 1 findings at or above it; 2 the work could not be done.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from enum import IntEnum
from pathlib import Path
from typing import TYPE_CHECKING

from .. import __version__
from ..errors import ScoreError
from ..usecases.files import check_ending, read_file, write_file
from .chart import add_chart
from .practice import add_practice
from .review import add_review
from .serve import add_serve
from .watch import add_watch

if TYPE_CHECKING:
    from ..config.options import Options
    from ..usecases.annotate import Answer


class Exit(IntEnum):
    """What the exit code says."""

    CLEAN = 0
    FINDINGS = 1
    FAILED = 2


_OPTION_HELP = {
    "instrument": "violin or viola (default: violin)",
    "part": "id or name of a part to work on; repeatable (default: all parts for the instrument)",
    "level": "first, first-and-third (default), to-third, to-fifth or all",
    "positions": "positions known, instead of the level's, for example 1,3,5 (0 is half position)",
    "printed": "fingerings already there: keep (default, they bind), replace, ignore",
    "fingers": "finger numbers to print: essential (default), all, shifts",
    "language": "words of position marks: en (default), de, fr, it",
    "measures": "bars to mark, for example 5-12 (default: all)",
    "pin": "a decision of yours: n57:finger=2,string=3 (row of the plan) or b5-8:position=1 (bars); repeatable",
    "character": "from-the-part (default), singing, brilliant",
    "tempo": "quarter notes a minute where the part prints none",
}
_SWITCHES = {
    "range_lines": "a dashed line as long as a position holds",
    "shift_lines": "a slanted line at each shift",
    "explain": "with every note of the plan, what it costs and why",
}


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code."""
    parser = _parser()
    given = parser.parse_args(arguments)
    try:
        return int(given.run(given))
    except ScoreError as error:
        print(f"handframe: {error}", file=sys.stderr)
    except BrokenPipeError:
        sys.stderr.close()
    except OSError as error:
        print(f"handframe: {error.filename or ''}: {error.strerror}", file=sys.stderr)
    return Exit.FAILED


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="handframe", description="Left-hand plans for string parts in MusicXML.")
    parser.add_argument("--version", action="version", version=f"handframe {__version__}")
    commands = parser.add_subparsers(title="commands", required=True, metavar="COMMAND")
    annotate = commands.add_parser("annotate", help="write fingerings, strings and positions into a score")
    annotate.add_argument("score", help="MusicXML file, or - for standard input")
    annotate.add_argument(
        "-o", "--output", help="file to write (default: NAME.marked.EXT beside the score; - for stdout)"
    )
    annotate.add_argument("--plan", help="also write the plan as JSON to this file")
    _add_options(annotate)
    annotate.set_defaults(run=_annotate)
    add_review(commands, _add_options, _options)
    clean = commands.add_parser("clean", help="take our marks out again, byte for byte")
    clean.add_argument("score", help="MusicXML file, or - for standard input")
    clean.add_argument("-o", "--output", default="-", help="file to write (default: standard output)")
    clean.set_defaults(run=_clean)
    add_chart(commands)
    add_practice(commands, _add_options, _options)
    add_serve(commands)
    add_watch(commands, _add_options, _options)
    return parser


def _add_options(command: argparse.ArgumentParser) -> None:
    group = command.add_argument_group("options")
    for name, text in _OPTION_HELP.items():
        group.add_argument(f"--{name.replace('_', '-')}", dest=name, action="append", metavar="VALUE", help=text)
    for name, text in _SWITCHES.items():
        group.add_argument(f"--{name.replace('_', '-')}", dest=name, action="append_const", const="true", help=text)


def _options(given: argparse.Namespace) -> Options:
    from ..config.options import read_options

    names = [*_OPTION_HELP, *_SWITCHES]
    return read_options({name: getattr(given, name) for name in names if getattr(given, name) is not None})


def _annotate(given: argparse.Namespace) -> Exit:
    from ..musicxml.import_formats import to_musicxml
    from ..usecases.annotate import annotate

    answer = annotate(to_musicxml(read_file(given.score), given.score), _options(given))
    output = given.output or ("-" if given.score == "-" else marked_name(given.score))
    check_ending(output, answer.data)
    write_file(output, answer.data)
    if output != "-":
        _told(output, answer)
    if given.plan:
        import json

        from ..reports.wire.review_data import review_data

        write_file(given.plan, json.dumps(review_data(answer.parts), ensure_ascii=False, indent=1).encode())
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
