"""The command `review`: one score for a player, or a whole catalogue against a house's policy."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from ..config.options import NAMES
from ..errors import ScoreError, bad_option
from ..reports.rendered import needs_of
from ..usecases.files import open_output, write_file
from ..usecases.output_names import check_outputs
from .option_flags import add_option_flags, options_from
from .terminal import painter, with_progress

if TYPE_CHECKING:
    from ..policies.policy_file import PolicyFile
    from ..reports.lines import Line
    from ..reports.summary import Totals
    from ..usecases.batch import Job
    from ..usecases.check import CheckedFile

FORMATS = {
    "text": "for a player: where to move and why, and what is left to decide",
    "lines": "one line a finding, by file and part",
    "json": "everything, as data",
    "sarif": "SARIF 2.1.0, for code hosts and editors",
    "junit": "JUnit XML, for test reports of pipelines",
    "markdown": "a summary for a page",
    "summary": "levels needed, findings by rule, hardest bars",
}

FOR_PLAYERS = ("text", "json")
"""Formats that hold the whole answer for a player, at the default level, where no policy is named."""
_POLICY = "TOML file of a house, or a built-in one: proof (default, except for text and json) or the name of a level"


def add_arguments(review: argparse.ArgumentParser) -> None:
    """Add the arguments of the command."""
    review.description = (
        "Review scores: files, folders, patterns; MusicXML, .mxl, ABC, Humdrum kern, MEI, MIDI; - is standard input. "
        "Exit code 0: nothing at or above the threshold; 1: findings; 2: something could not be checked."
    )
    review.add_argument("scores", nargs="+", help="files, folders or patterns, or - for standard input")
    formats = ", ".join(f"{name} ({meaning})" for name, meaning in FORMATS.items())
    review.add_argument(
        "--format", choices=FORMATS, help=f"{formats}; default: text, but lines with a policy or a baseline"
    )
    review.add_argument("--policy", metavar="FILE", help=_POLICY)
    review.add_argument("--fail-on", choices=("note", "warning", "error"), help="default: the policy's, or error")
    review.add_argument("--jobs", type=int, default=1, metavar="N", help="processes (default: 1)")
    review.add_argument(
        "--seconds",
        type=float,
        default=120.0,
        metavar="N",
        help="time for each score, after which it is given up and the next one follows (default: 120)",
    )
    review.add_argument("-o", "--output", default="-", help="file to write the report to (default: standard output)")
    review.add_argument("--baseline", metavar="FILE", help="accepted findings; only new ones count")
    review.add_argument("--write-baseline", metavar="FILE", help="accept everything found, and write it to this file")
    add_option_flags(review, [name for name in NAMES if name != "notation"])
    review.set_defaults(run=_review)


def _review(arguments: argparse.Namespace) -> int:
    from ..reports.baseline import baseline_lines, baseline_text, read_baseline
    from ..reports.summary import Totals, one_line
    from ..usecases.batch import Job, find_files

    _check_numbers(arguments)
    names = find_files(arguments.scores)
    read = [*names, *([arguments.policy] if arguments.policy else [])]
    check_outputs([arguments.output, arguments.write_baseline], read)
    check_outputs([arguments.output], [arguments.baseline] if arguments.baseline else [])
    for_a_house = arguments.policy or arguments.baseline or arguments.write_baseline
    format = arguments.format or ("lines" if for_a_house else "text")
    policy, folder = _policy(arguments.policy, format)
    known = read_baseline(_text_of(arguments.baseline), arguments.baseline) if arguments.baseline else {}
    named = frozenset(name for name in ("level", "positions", "instrument", "part") if getattr(arguments, name, None))
    with_baseline = bool(arguments.baseline or arguments.write_baseline)
    detail, render = needs_of(format)
    job = Job(policy, folder, options_from(arguments), named, detail, render, known, arguments.fail_on, with_baseline)
    totals = Totals()
    accepted: list[str] = []
    to_terminal = arguments.output == "-" and sys.stdout is not None and sys.stdout.isatty()
    encoding = sys.stdout.encoding if to_terminal else "utf-8"
    with open_output(arguments.output) as out:
        results = _results(job, names, arguments.jobs, arguments.seconds)
        results = _count(with_progress(results, len(names), to_terminal), totals)
        if arguments.write_baseline is not None:
            results = _collect(results, accepted, baseline_lines)
        for piece in _report(format, results, totals, colour=to_terminal):
            out.write(piece.encode(encoding, "replace"))
    if arguments.write_baseline is not None:
        write_file(arguments.write_baseline, baseline_text(accepted).encode())
    if format not in ("text", "lines") and len(names) > 1:
        sys.stderr.write(f"{one_line(totals)}\n")
    return 2 if totals.faults else int(totals.failing > 0 and not arguments.write_baseline)


def _check_numbers(arguments: argparse.Namespace) -> None:
    if arguments.jobs < 1:
        raise bad_option("jobs", str(arguments.jobs), "a number of processes, 1 or more")
    if not arguments.seconds > 0:
        raise bad_option("seconds", f"{arguments.seconds:g}", "a time in seconds above 0")


def _policy(name: str | None, format: str) -> tuple[PolicyFile, str]:
    """The policy and the folder that it lies in; without one what is marked in proof, for a player all rules."""
    from ..policies.policy_file import BUILT_IN, PROOF, built_in, read_policy

    if name is None:
        return (read_policy('name = "all rules"', "none") if format in FOR_PLAYERS else built_in(PROOF)), "."
    if name in BUILT_IN or not (Path(name).exists() or name.endswith(".toml")):
        return built_in(name), "."
    return read_policy(_text_of(name), name), str(Path(name).parent)


def _text_of(name: str) -> str:
    try:
        return Path(name).read_text(encoding="utf-8")
    except UnicodeDecodeError:
        raise ScoreError("not-text", f"{name} is no text in UTF-8.", "Save it as UTF-8.", None, 400) from None


def _results(job: Job, names: list[str], processes: int, seconds: float) -> Iterator[CheckedFile]:
    from ..usecases.batch import check_files

    yield from check_files(job, names, min(processes, len(names)), seconds)


def _count(results: Iterable[CheckedFile], totals: Totals) -> Iterator[CheckedFile]:
    for result in results:
        totals.add(result)
        if result.fault is not None:
            sys.stderr.write(f"handframe: {result.name}: {result.fault[1]}\n")
        yield result


def _collect(
    results: Iterable[CheckedFile], accepted: list[str], lines: Callable[[CheckedFile], list[str]]
) -> Iterator[CheckedFile]:
    for result in results:
        accepted += lines(result)
        yield result


def _report(format: str, results: Iterable[CheckedFile], totals: Totals, *, colour: bool) -> Iterator[str]:
    """The report in a format, piece by piece, as results come in."""
    from rules import all_rules

    if format == "sarif":
        from ..reports.sarif import sarif

        yield from sarif(results, all_rules())
    elif format == "junit":
        from ..reports.junit import junit

        yield from junit(results, [rule.id for rule in all_rules()])
    elif format == "json":
        yield from _json(results)
    elif format in ("markdown", "summary"):
        yield from _totals_text(format, results, totals)
    elif format == "text":
        for number, result in enumerate(results):
            yield f"\n{result.rendered}" if number and result.rendered else result.rendered
    else:
        from ..reports.lines import lines, plain
        from ..reports.summary import one_line

        write = _painter() if colour else plain
        for result in results:
            yield from (f"{write(line)}\n" for line in lines(result))
        yield f"{one_line(totals)}\n"


def _painter() -> Callable[[Line], str]:
    from rich.console import Console

    return painter(Console())


def _totals_text(format: str, results: Iterable[CheckedFile], totals: Totals) -> Iterator[str]:
    from ..reports.markdown import markdown
    from ..reports.summary import summary

    if format == "markdown":
        yield from markdown(results, totals)
        return
    for _ in results:
        pass
    yield from (f"{line}\n" for line in summary(totals))


def _json(results: Iterable[CheckedFile]) -> Iterator[str]:
    """One object for one file, a list for several; a file that could not be checked is an object with `error`."""
    from ..reports.wire.check_data import unchecked_file

    objects = (result.rendered or unchecked_file(result).model_dump_json(indent=1) for result in results)
    first, second = next(objects, ""), next(objects, None)
    if second is None:
        yield f"{first}\n"
        return
    yield f"[\n{first},\n{second}"
    for piece in objects:
        yield f",\n{piece}"
    yield "\n]\n"
