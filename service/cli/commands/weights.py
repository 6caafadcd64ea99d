"""The command `weights`: what counts for and against a fingering at a level, with the reason for each."""

from __future__ import annotations

import argparse
import json

from ...usecases.files import write_file
from ...usecases.output_names import check_outputs
from ..option_flags import add_option_flags, options_from

FORMATS = ("text", "json")


def add_arguments(weights: argparse.ArgumentParser) -> None:
    """Add the arguments of the command."""
    weights.add_argument("--format", choices=FORMATS, default="text", help="a table to read, or data (default: text)")
    weights.add_argument("-o", "--output", default="-", help="file to write (default: standard output)")
    add_option_flags(weights, ("level", "positions", "hand"))
    weights.set_defaults(run=_weights)


def _weights(arguments: argparse.Namespace) -> int:
    from rules import Kind, terms_at

    check_outputs([arguments.output], [])
    options = options_from(arguments)
    level = options.playing_level
    terms = terms_at(level, options.hand.weights)
    if arguments.format == "json":
        rows = [
            {"kind": t.kind.value, "what": t.measure, "when": t.circumstance, "weight": t.weight, "why": t.reason}
            for t in terms
        ]
        write_file(arguments.output, f"{json.dumps({'level': level.name, 'weights': rows}, indent=1)}\n".encode())
        return 0
    lines = [f"What counts at level {level.name}. A change of string costs about 1.5; below 0 speaks for it."]
    if not level.learner:
        lines.append(
            "Of fingerings that cost nearly the same, the one is taken whose fingers most good fingerings share."
        )
    for kind, title in ((Kind.HOLDING, "Holding a note"), (Kind.MOVING, "Going on to the next")):
        lines += ["", title]
        for term in terms:
            if term.kind is kind:
                lines.append(f"  {term.weight:+9.4f}  {term.name}: {term.reason}")
    write_file(arguments.output, ("\n".join(lines) + "\n").encode())
    return 0
