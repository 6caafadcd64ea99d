"""The command `practice`: the exercises for exactly the shifts of parts, or the progressive set for a key."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from ...config.options import NAMES
from ...config.sheet_options import LISTS, SHEET_NAMES, WITHOUT_EFFECT, SheetFormat, SheetOptions, read_sheet_options
from ...messages.message import Wording
from ...usecases.files import printable_name, read_file, write_file
from ...usecases.output_names import MIDI, PAGE, PLAIN, check_ending, check_outputs, name_beside
from ..option_flags import add_option_flags, options_from

if TYPE_CHECKING:
    from rules import Sheet

    from ...config.options import Options

DEFAULT_KEY = "D"
_ENDINGS = {".html": "page", ".htm": "page", ".mid": "midi", ".midi": "midi"}
_KINDS = {SheetFormat.MUSICXML: PLAIN, SheetFormat.PAGE: PAGE, SheetFormat.MIDI: MIDI}
_OF_SCORES = ("form", "proposal", "most")


def add_arguments(command: argparse.ArgumentParser) -> None:
    """Add the arguments of the command."""
    command.description = (
        "Write a practice sheet: the exercises for exactly the shifts of a part, as MusicXML, as a page to print or "
        "as MIDI. "
        "Several scores make one sheet for a class, each on a page of its own. "
        "With --set progressive no score is needed: tunes by kind of shift, up to four sharps or flats."
    )
    command.add_argument(
        "scores", nargs="*", metavar="score", help="score file in any format that is read, or - for standard input"
    )
    command.add_argument(
        "-o", "--output", help="file to write (default: NAME.practice.musicxml beside it; - for stdout)"
    )
    sheet = command.add_argument_group("what stands on the sheet")
    for name in SHEET_NAMES:
        field = SheetOptions.model_fields[name]
        many = name in LISTS
        text = str(field.description)
        if name == "format":
            text += "; default by the ending of the output, .html a page, .mid MIDI"
        metavar = "N" if many or name == "most" else "TEXT"
        sheet.add_argument(f"--{name.replace('_', '-')}", dest=name, action="append", metavar=metavar, help=text)
    command.add_argument(
        "--set", choices=("progressive",), dest="progressive", help="a set of tunes instead of a score"
    )
    command.add_argument("--key", help="key of the set: D (default), Bb, F#m …")
    add_option_flags(command, [name for name in NAMES if name not in (*WITHOUT_EFFECT, "notation")])
    command.set_defaults(run=lambda given: _practice(given, options_from(given)))


def _practice(given: argparse.Namespace, options: Options) -> int:
    from ... import errors
    from ...usecases.practice import written_as_wanted

    if bool(given.scores) == (given.progressive is not None):
        raise errors.bad_option("set", given.progressive or "", "either a score or --set progressive")
    _check_uses(given)
    output = _beside(given) if given.output is None else given.output
    check_outputs([output], given.scores)
    wanted = _sheet_options(given, output)
    check_ending(output, _KINDS[wanted.format])
    sheet, message = _set(given, options, wanted) if given.progressive else _for_scores(given.scores, options, wanted)
    write_file(output, written_as_wanted(sheet, options, wanted))
    wording = Wording(options.language)
    if output != "-":
        sys.stdout.write(
            f"{printable_name(output)}: {message}\n"
            + "".join(f"  {wording.text(remark)}\n" for remark in sheet.remarks)
        )
    return 0


def _set(given: argparse.Namespace, options: Options, wanted: SheetOptions) -> tuple[Sheet, str]:
    from ...usecases.practice import arranged, progressive

    key = given.key or DEFAULT_KEY
    positions = sorted(options.positions) if options.positions else ()
    sheet = arranged(progressive(key, positions, options.instrument), wanted)
    return sheet, f"{len(sheet.exercises)} exercises in {key}"


def _for_scores(names: list[str], options: Options, wanted: SheetOptions) -> tuple[Sheet, str]:
    from ...usecases.practice import class_practice, practice

    if len(names) == 1:
        found = practice(read_file(names[0]), options, wanted, name=names[0])
    else:
        found = class_practice([(name, read_file(name)) for name in names], options, wanted)
    for remark in map(Wording(options.language).text, found.remarks):
        sys.stderr.write(f"handframe: {remark}\n")
    others = f"; other parts: {', '.join(found.others)} (choose with --part)" if found.others else ""
    return found.sheet, f"{', '.join(found.parts)}, {len(found.sheet.exercises)} exercises{others}"


def _check_uses(given: argparse.Namespace) -> None:
    """Refuse what would have no effect: the set has no proposals, a score has its own key."""
    from ... import errors

    without_effect = ("key",) if given.progressive is None else _OF_SCORES
    for name in without_effect:
        value = getattr(given, name)
        if value is not None:
            given_text = value if isinstance(value, str) else ",".join(value)
            raise errors.bad_option(name, given_text, f"{name} only {'with' if name == 'key' else 'without'} --set")


def _sheet_options(given: argparse.Namespace, output: str) -> SheetOptions:
    texts = {name: value for name in SHEET_NAMES if (value := getattr(given, name)) is not None}
    texts.setdefault("format", [_ENDINGS.get(Path(output).suffix.lower(), "musicxml")])
    return read_sheet_options(texts)


def _beside(given: argparse.Namespace) -> str:
    """The name of the sheet beside the first score, or of the set in the folder one is in."""
    ending = {"page": "html", "midi": "mid"}.get((given.format or [""])[0], "musicxml")
    if given.progressive:
        return f"first-shifts-{given.key or DEFAULT_KEY}.{ending}"
    return "-" if given.scores[0] == "-" else name_beside(given.scores[0], "practice", f".{ending}")
