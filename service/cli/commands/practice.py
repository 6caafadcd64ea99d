"""The command `practice`: the exercises for exactly the shifts of parts, or the progressive set for a key."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from ...config.options import NAMES
from ...config.sheet_options import LISTS, SHEET_NAMES, WITHOUT_EFFECT, SheetFormat, SheetOptions, read_sheet_options
from ...errors import said
from ...messages.commands import EXERCISES, EXERCISES_OF_SET, EXERCISES_OF_SEVERAL
from ...messages.help_texts import FILE, NUMBER, VALUE
from ...messages.message import Wording
from ...naming import key_word
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
    command.description = said(
        "Write a practice sheet: the exercises for exactly the shifts of a part, as MusicXML, as a page to print or "
        "as MIDI. "
        "Several scores make one sheet for a class, each on a page of its own. "
        "With --set progressive no score is needed: tunes by kind of shift, up to four sharps or flats."
    )
    command.add_argument(
        "scores",
        nargs="*",
        metavar=said("score"),
        help=said("score file in any format that is read, or - for standard input"),
    )
    command.add_argument(
        "-o",
        "--output",
        metavar=FILE,
        help=said("file to write (default: NAME.practice.musicxml beside it; - for standard output)"),
    )
    sheet = command.add_argument_group(said("what stands on the sheet"))
    for name in SHEET_NAMES:
        field = SheetOptions.model_fields[name]
        many = name in LISTS
        text = said(str(field.description))
        if name == "format":
            text = said("{meaning}; default by the ending of the output, .html a page, .mid MIDI", meaning=text)
        metavar = NUMBER if many or name == "most" else said("TEXT")
        sheet.add_argument(f"--{name.replace('_', '-')}", dest=name, action="append", metavar=metavar, help=text)
    command.add_argument(
        "--set", choices=("progressive",), dest="progressive", help=said("a set of tunes instead of a score")
    )
    command.add_argument("--key", metavar=VALUE, help=said("key of the set: D (default), Bb, F#m …"))
    add_option_flags(command, [name for name in NAMES if name not in (*WITHOUT_EFFECT, "notation")])
    command.set_defaults(run=lambda given: _practice(given, options_from(given)))


def _practice(given: argparse.Namespace, options: Options) -> int:
    from ... import errors
    from ...usecases.practice import written_as_wanted

    if bool(given.scores) == (given.progressive is not None):
        raise errors.bad_option("set", given.progressive or "", said("either a score or --set progressive"))
    _check_uses(given)
    output = _beside(given) if given.output is None else given.output
    check_outputs([output], given.scores)
    wanted = _sheet_options(given, output)
    check_ending(output, _KINDS[wanted.format])
    shown, wording = printable_name(output), Wording(options.language)
    if given.progressive:
        sheet, message = _set(given, options, wanted, shown)
    else:
        sheet, message = _for_scores(given.scores, options, wanted, shown)
    write_file(output, written_as_wanted(sheet, options, wanted))
    if output != "-":
        sys.stdout.write(f"{message}\n" + "".join(f"  {wording.text(remark)}\n" for remark in sheet.remarks))
    return 0


def _set(given: argparse.Namespace, options: Options, wanted: SheetOptions, file: str) -> tuple[Sheet, str]:
    from rules import Key

    from ...usecases.practice import arranged, progressive

    key = given.key or DEFAULT_KEY
    positions = sorted(options.positions) if options.positions else ()
    sheet = arranged(progressive(key, positions, options.instrument), wanted)
    name = key_word(Key.named(key), options.language)
    return sheet, Wording(options.language).say(EXERCISES_OF_SET, len(sheet.exercises), file=file, key=name)


def _for_scores(names: list[str], options: Options, wanted: SheetOptions, file: str) -> tuple[Sheet, str]:
    from ...usecases.practice import class_practice, practice

    if len(names) == 1:
        found = practice(read_file(names[0]), options, wanted, name=names[0])
    else:
        found = class_practice([(name, read_file(name)) for name in names], options, wanted)
    wording = Wording(options.language)
    for remark in map(wording.text, found.remarks):
        sys.stderr.write(f"handframe: {remark}\n")
    told = {"file": file, "parts": ", ".join(found.parts)}
    if not found.others:
        return found.sheet, wording.say(EXERCISES, len(found.sheet.exercises), **told)
    others = ", ".join(found.others)
    return found.sheet, wording.say(EXERCISES_OF_SEVERAL, len(found.sheet.exercises), **told, others=others)


def _check_uses(given: argparse.Namespace) -> None:
    """Refuse what would have no effect: the set has no proposals, a score has its own key."""
    from ... import errors

    without_effect = ("key",) if given.progressive is None else _OF_SCORES
    for name in without_effect:
        value = getattr(given, name)
        if value is not None:
            given_text = value if isinstance(value, str) else ",".join(value)
            expected = said("{option} only with --set", option=name)
            if name != "key":
                expected = said("{option} only without --set", option=name)
            raise errors.bad_option(name, given_text, expected)


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
