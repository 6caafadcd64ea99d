"""The command `learn`: the fingering hand of a person or a house, from a folder of fingered scores."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from ...errors import ScoreError
from ...usecases.files import printable_name, write_file
from ...usecases.output_names import check_outputs
from ..option_flags import add_option_flags, options_from

if TYPE_CHECKING:
    from ...usecases.learn import Learned


def add_arguments(learn: argparse.ArgumentParser) -> None:
    """Add the arguments of the command."""
    learn.description = (
        "Learn what a teacher, a player or a house minds more or less than the standard does, from the fingers printed "
        "in their scores, and say by pieces left out whether it helps. The result is a small TOML file for --hand."
    )
    learn.add_argument("folder", help="folder of fingered scores; folders below it too")
    learn.add_argument("-o", "--output", default="-", help="TOML file to write (default: standard output)")
    add_option_flags(learn, ("instrument", "part", "tempo"))
    learn.set_defaults(run=_learn)


def _learn(arguments: argparse.Namespace) -> int:
    from ...usecases.learn import learn

    folder = Path(arguments.folder)
    if not folder.is_dir():
        raise ScoreError("no-folder", f"{printable_name(arguments.folder)} is no folder.", "Name a folder of scores.")
    check_outputs([arguments.output], [])
    learned = learn(folder, options_from(arguments), progress=_progress if sys.stderr.isatty() else _silent)
    _report(learned, sys.stderr if arguments.output == "-" else sys.stdout)
    write_file(arguments.output, learned.toml.encode())
    return 0


def _report(learned: Learned, out: TextIO) -> None:
    found = learned.hand
    width = max(5, *(len(piece.name) for piece in found.pieces))
    out.write(f"{'piece':{width}}  fingers  standard  learned without it\n")
    for piece in found.pieces:
        shares = f"{100 * piece.standard / piece.printed:6.1f} %  {100 * piece.learned / piece.printed:6.1f} %"
        out.write(f"{piece.name:{width}}  {piece.printed:7}  {shares}\n")
    out.write(f"{'all':{width}}  {found.printed:7}  {found.standard_share:6.1f} %  {found.learned_share:6.1f} %\n\n")
    out.write(f"{learned.verdict}\n")
    for remark in learned.remarks:
        out.write(f"Not learned from: {remark}\n")


def _progress(done: int, of: int) -> None:
    sys.stderr.write(f"\rfit {done} of {of}{chr(10) if done == of else ''}")


def _silent(done: int, of: int) -> None:
    """Where nobody watches, nothing is said."""
