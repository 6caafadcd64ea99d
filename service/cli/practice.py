"""The command `practice`: the exercises for exactly the shifts of a part, or the progressive set for a key."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from ..usecases.files import read_file, write_file
from ..usecases.output_names import PAGE, PLAIN, check_ending, check_outputs
from .option_flags import add_option_flags, options_from

if TYPE_CHECKING:
    from ..config.options import Options
    from ..usecases.practice import SheetFormat

DEFAULT_KEY = "D"
_ENDINGS = {".html": "page", ".htm": "page"}


def add_arguments(command: argparse.ArgumentParser) -> None:
    """Add the arguments of the command."""
    command.description = (
        "Write a practice sheet: the exercises for exactly the shifts of a part, as MusicXML or as a page to print. "
        "With --set progressive no score is needed: tunes by kind of shift, up to three sharps or flats."
    )
    command.add_argument("score", nargs="?", help="MusicXML file, or - for standard input")
    command.add_argument(
        "-o", "--output", help="file to write (default: NAME.practice.musicxml beside it; - for stdout)"
    )
    command.add_argument(
        "--format", choices=("musicxml", "page"), help="default: by the ending of the output, .html a page"
    )
    command.add_argument("--paper", choices=("a4", "letter"), default="a4", help="of the page (default: a4)")
    command.add_argument(
        "--proposal", action="append", type=int, metavar="N", help="practise proposal N of the review only; repeatable"
    )
    command.add_argument("--most", type=int, default=None, metavar="N", help="kinds of shift (default: 6; 0 for all)")
    command.add_argument(
        "--set", choices=("progressive",), dest="progressive", help="a set of tunes instead of a score"
    )
    command.add_argument("--key", help="key of the set: D (default), Bb, F#m …")
    add_option_flags(command)
    command.set_defaults(run=lambda arguments: _practice(arguments, options_from(arguments)))


def _practice(arguments: argparse.Namespace, options: Options) -> int:
    from .. import errors
    from ..musicxml.import_formats import to_musicxml
    from ..usecases.practice import MOST_KINDS, Paper, SheetFormat, practice, progressive, written

    if (arguments.score is None) == (arguments.progressive is None):
        raise errors.bad_option("set", arguments.progressive or "", "either a score or --set progressive")
    _check_uses(arguments)
    key = arguments.key or DEFAULT_KEY
    output = _beside(arguments) if arguments.output is None else arguments.output
    check_outputs([output], [] if arguments.score is None else [arguments.score])
    form = _format(arguments.format, output)
    check_ending(output, PAGE if form is SheetFormat.PAGE else PLAIN)
    if arguments.progressive:
        positions = sorted(options.positions) if options.positions else ()
        sheet = progressive(key, positions, options.instrument)
        said = f"{len(sheet.exercises)} exercises in {key}"
    else:
        most = MOST_KINDS if arguments.most is None else arguments.most
        found = practice(
            to_musicxml(read_file(arguments.score), arguments.score), options, arguments.proposal or (), most
        )
        sheet = found.sheet
        others = f"; other parts: {', '.join(found.others)} (choose with --part)" if found.others else ""
        said = f"{found.part}, {len(sheet.exercises)} exercises{others}"
    write_file(output, written(sheet, form, options.language, Paper(arguments.paper)))
    if output != "-":
        sys.stdout.write(f"{output}: {said}\n" + "".join(f"  {remark}\n" for remark in sheet.remarks))
    return 0


def _check_uses(arguments: argparse.Namespace) -> None:
    """Refuse what would have no effect: the set has no proposals, a score has its own key."""
    from .. import errors

    without_effect = ("key",) if arguments.progressive is None else ("proposal", "most")
    for name in without_effect:
        value = getattr(arguments, name)
        if value is not None:
            raise errors.bad_option(name, str(value), f"{name} only {'with' if name == 'key' else 'without'} --set")


def _format(asked: str | None, output: str) -> SheetFormat:
    from ..usecases.practice import SheetFormat

    return SheetFormat(asked or _ENDINGS.get(Path(output).suffix.lower(), "musicxml"))


def _beside(arguments: argparse.Namespace) -> str:
    """The name of the sheet beside the score, or of the set in the folder one is in."""
    ending = "html" if arguments.format == "page" else "musicxml"
    if arguments.progressive:
        return f"first-shifts-{arguments.key or DEFAULT_KEY}.{ending}"
    path = Path(arguments.score)
    return "-" if arguments.score == "-" else str(path.with_name(f"{path.stem}.practice.{ending}"))
