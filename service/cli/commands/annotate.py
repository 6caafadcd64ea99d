"""The command `annotate`: fingerings, strings and positions written into a score."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING

from ...errors import ScoreError, said
from ...messages.commands import MARKED, MARKED_WITH_REASONS
from ...messages.help_texts import FILE
from ...messages.message import Wording
from ...usecases.files import printable_name, read_file, write_file
from ...usecases.output_names import ABC, KINDS, check_ending, check_outputs, kind_of_score, name_beside
from ..exit_codes import Exit
from ..option_flags import add_option_flags, options_from, texts_from
from ..output_flags import add_in_place_flag, output_name

if TYPE_CHECKING:
    from ...config.options import Options


def add_arguments(command: argparse.ArgumentParser) -> None:
    """Add the arguments of the command."""
    command.add_argument(
        "score",
        metavar=said("score"),
        help=said("score file (MusicXML, .mxl, ABC, Humdrum kern, MEI, MIDI), or - for standard input"),
    )
    command.add_argument(
        "-o",
        "--output",
        metavar=FILE,
        help=said("file to write (default: NAME.marked.EXT beside the score; - for standard output)"),
    )
    add_in_place_flag(command)
    command.add_argument(
        "--server", metavar="URL", help=said("let a running service do the work: http://127.0.0.1:8765")
    )
    command.add_argument("--plan", metavar=FILE, help=said("also write the plan as JSON to this file"))
    add_option_flags(command)
    command.set_defaults(run=_annotate)


def _annotate(arguments: argparse.Namespace) -> Exit:
    options = options_from(arguments)
    output = output_name(arguments, "-" if arguments.score == "-" else _marked_name(arguments.score, options.notation))
    if arguments.plan is not None:
        check_outputs([output, arguments.plan], [] if arguments.in_place else [arguments.score])
    is_copy = arguments.output is None and output not in (arguments.score, "-")
    if is_copy:
        _keep_changed_copy(output)
    if arguments.server is not None:
        return _annotate_by_server(arguments, output, options, is_copy)
    from ...usecases.annotate import annotate
    from ...usecases.marked_copy import sealed_copy

    answer = annotate(read_file(arguments.score), options, name=arguments.score)
    check_ending(output, KINDS[answer.kind])
    write_file(output, sealed_copy(answer) if is_copy else answer.data)
    wording = Wording(options.language)
    for remark in map(wording.text, answer.remarks):
        sys.stderr.write(f"handframe: {remark}\n")
    if output != "-":
        names = [part.passage.name or part.passage.part for part in answer.parts]
        _report_result(wording, output, names, sum(len(part.review.planned.proposals) for part in answer.parts))
    if arguments.plan is not None:
        from ...reports.wire.review_data import review_json

        write_file(arguments.plan, review_json(answer.parts, indent=1))
    return Exit.CLEAN


def _annotate_by_server(arguments: argparse.Namespace, output: str, options: Options, is_copy: bool) -> Exit:
    import json

    from ...client import Client
    from ...usecases.marked_copy import sealed_file

    data, name, texts = read_file(arguments.score), os.path.basename(arguments.score), texts_from(arguments)
    with Client(arguments.server) as client:
        marked = client.annotate(data, name, **texts)
        check_ending(output, ABC if options.notation == "abc" else kind_of_score(marked.data))
        write_file(output, sealed_file(marked.data, options.notation) if is_copy else marked.data)
        for remark in marked.remarks:
            sys.stderr.write(f"handframe: {remark}\n")
        if output != "-":
            _report_result(Wording(options.language), output, marked.parts, marked.proposals)
        if arguments.plan is not None:
            plan = json.dumps(client.review(data, name, **texts), ensure_ascii=False, indent=1)
            write_file(arguments.plan, plan.encode())
    return Exit.CLEAN


def _keep_changed_copy(name: str) -> None:
    """Refuse to write over a copy that was changed since it was written, if nobody has named it."""
    from ...usecases.marked_copy import is_untouched

    if os.path.isfile(name) and not is_untouched(read_file(name)):
        raise ScoreError(
            "copy-changed",
            said("{file} was changed since handframe wrote it, or is something else.", file=name),
            said("Move it away, or give a name for the output with -o."),
        )


def _report_result(wording: Wording, output: str, parts: Sequence[str], proposals: int) -> None:
    """Say what was written, and how to read the reasons."""
    message = MARKED_WITH_REASONS if proposals else MARKED
    print(wording.say(message, file=printable_name(output), parts=", ".join(parts), count=str(proposals)))


def _marked_name(name: str, notation: str = "musicxml") -> str:
    """Return the name beside a score under which its marked copy is written; other formats come out as MusicXML."""
    from ...musicxml.formats.known_formats import musicxml_name

    return name_beside(name if notation == "abc" else musicxml_name(name), "marked")
