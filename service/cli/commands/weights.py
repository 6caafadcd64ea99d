"""The command `weights`: what counts for and against a fingering at a level, with the reason for each."""

from __future__ import annotations

import argparse
import json
import re
from typing import TYPE_CHECKING

from ...errors import said
from ...messages import commands as words
from ...messages.help_texts import FILE, TO_STANDARD_OUTPUT
from ...messages.message import Message, Wording
from ...usecases.files import write_file
from ...usecases.output_names import check_outputs
from ..option_flags import add_option_flags, options_from

if TYPE_CHECKING:
    from rules import Term

FORMATS = ("text", "json")


def add_arguments(weights: argparse.ArgumentParser) -> None:
    """Add the arguments of the command."""
    weights.add_argument(
        "--format", choices=FORMATS, default="text", help=said("a table to read, or data (default: text)")
    )
    weights.add_argument("-o", "--output", default="-", metavar=FILE, help=TO_STANDARD_OUTPUT)
    add_option_flags(weights, ("level", "positions", "hand", "language"))
    weights.set_defaults(run=_weights)


def _weights(arguments: argparse.Namespace) -> int:
    from rules import Kind, terms_at

    check_outputs([arguments.output], [])
    options = options_from(arguments)
    level = options.playing_level
    terms = terms_at(level, options.hand.weights)
    if arguments.format == "json":
        rows = [
            {"kind": t.kind.value, "what": t.quantity, "when": t.circumstance, "weight": t.weight, "why": t.reason}
            for t in terms
        ]
        write_file(arguments.output, f"{json.dumps({'level': level.name, 'weights': rows}, indent=1)}\n".encode())
        return 0
    wording = Wording(options.language)
    lines = [wording.say(words.WEIGHTS_AT, level=level.name)]
    if not level.learner:
        lines.append(wording.say(words.WEIGHTS_SHARED))
    for kind, title in ((Kind.HOLDING, words.HOLDING), (Kind.MOVING, words.MOVING)):
        lines += ["", wording.say(title)]
        for term in terms:
            if term.kind is kind:
                lines.append(f"  {term.weight:+9.4f}  {name_of(term, wording)}: {why(term.reason, wording)}")
    write_file(arguments.output, ("\n".join(lines) + "\n").encode())
    return 0


def name_of(term: Term, wording: Wording) -> str:
    """Return what a term measures, and when it counts if not always."""
    measure = wording.say(Message(term.quantity))
    if term.name == term.quantity:
        return measure
    return wording.say(words.WHEN, measure=measure, circumstance=wording.say(Message(term.circumstance)))


def sentences_of(reason: str) -> list[str]:
    """Return the sentences of a reason: what a level adds stands after that of the standard."""
    return re.split(r"(?<=\.) ", reason)


def why(reason: str, wording: Wording) -> str:
    """Return the reason for a weight in a language."""
    return " ".join(wording.say(Message(each)) for each in sentences_of(reason))
