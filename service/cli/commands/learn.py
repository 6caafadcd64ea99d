"""The command `learn`: the fingering hand of a person or a house, from a folder of fingered scores."""

from __future__ import annotations

import argparse
import sys
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from ...errors import ScoreError, said
from ...messages import commands as words
from ...messages.help_texts import FILE
from ...messages.message import Wording
from ...usecases.files import printable_name, write_file
from ...usecases.output_names import check_outputs
from ..option_flags import add_option_flags, options_from

if TYPE_CHECKING:
    from ...usecases.learn import Learned


def add_arguments(learn: argparse.ArgumentParser) -> None:
    """Add the arguments of the command."""
    learn.description = said(
        "Learn what a teacher, a player or a house minds more or less than the standard does, from the fingers printed "
        "in their scores, and say by pieces left out whether it helps. The result is a small TOML file for --hand."
    )
    learn.add_argument("folder", metavar=said("folder"), help=said("folder of fingered scores; folders below it too"))
    learn.add_argument(
        "-o", "--output", default="-", metavar=FILE, help=said("TOML file to write (default: standard output)")
    )
    add_option_flags(learn, ("instrument", "part", "tempo", "language"))
    learn.set_defaults(run=_learn)


def _learn(arguments: argparse.Namespace) -> int:
    from ...usecases.learn import learn

    folder = Path(arguments.folder)
    if not folder.is_dir():
        name = printable_name(arguments.folder)
        raise ScoreError("no-folder", said("{folder} is no folder.", folder=name), said("Name a folder of scores."))
    check_outputs([arguments.output], [])
    options = options_from(arguments)
    wording = Wording(options.language)
    learned = learn(folder, options, progress=partial(_progress, wording) if sys.stderr.isatty() else _silent)
    _report(learned, wording, sys.stderr if arguments.output == "-" else sys.stdout)
    write_file(arguments.output, learned.toml(wording).encode())
    return 0


def _report(learned: Learned, wording: Wording, out: TextIO) -> None:
    found, say = learned.hand, wording.say
    rows = [tuple(map(say, (words.PIECE, words.FINGERS, words.STANDARD, words.LEARNED)))]
    for piece in found.pieces:
        shares = (100 * piece.standard / piece.printed, 100 * piece.learned / piece.printed)
        rows.append((piece.name, str(piece.printed), *(f"{wording.decimal(share)} %" for share in shares)))
    shares = (found.standard_share, found.learned_share)
    rows.append((say(words.ALL_PIECES), str(found.printed), *(f"{wording.decimal(share)} %" for share in shares)))
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    for name, *numbers in rows:
        out.write("  ".join([name.ljust(widths[0]), *map(str.rjust, numbers, widths[1:])]) + "\n")
    out.write(f"\n{learned.verdict(wording)}\n")
    for remark in learned.remarks:
        out.write(f"{say(words.NOT_LEARNED_FROM, remark=wording.text(remark))}\n")


def _progress(wording: Wording, done: int, of: int) -> None:
    sys.stderr.write(f"\r{wording.say(words.FIT, done=str(done), of=str(of))}{chr(10) if done == of else ''}")


def _silent(done: int, of: int) -> None:
    """Where nobody watches, nothing is said."""
