"""The command `review`: one score for a player, or a whole catalogue against a house's policy."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable, Iterator
from contextlib import ExitStack
from dataclasses import dataclass
from os.path import commonpath
from pathlib import Path
from typing import TYPE_CHECKING

from ...config.options import NAMES
from ...errors import bad_option, said
from ...messages import commands as words
from ...messages.help_texts import FILE, NUMBER, TO_STANDARD_OUTPUT
from ...messages.message import Wording
from ...reports.formats import FORMATS, report
from ...usecases.checks.killable_processes import DEFAULT_SECONDS
from ...usecases.files import open_output, printable_name, read_text, write_file
from ...usecases.output_names import check_outputs
from ..arguments import joined
from ..exit_codes import Exit
from ..option_flags import add_option_flags, options_from
from ..terminal import painter, with_progress

if TYPE_CHECKING:
    from ...policies.policy_file import PolicyFile
    from ...reports.summary import Totals
    from ...usecases.checks.batch import Job
    from ...usecases.checks.check import CheckedFile
    from ...usecases.checks.journal import Journal

FOR_PLAYERS = ("text", "json")
"""Formats that hold the whole answer for a player, at the default level, where no policy is named."""
_POLICY = said(
    "TOML file of a house, or a built-in one: proof (default, except for text and json) or the name of a level"
)
_MOST = 20


def add_arguments(review: argparse.ArgumentParser) -> None:
    """Add the arguments of the command."""
    review.description = said(
        "Review scores: files, folders, patterns; MusicXML, .mxl, ABC, Humdrum kern, MEI, MIDI; - is standard input. "
        "Exit code 0: nothing at or above the threshold; 1: findings; 2: something could not be checked; "
        "3: nothing to check."
    )
    review.add_argument(
        "scores", nargs="*", metavar=said("score"), help=said("files, folders or patterns, or - for standard input")
    )
    review.add_argument(
        "--staged", action="store_true", help=said("scores as staged in git, below the named folders or all")
    )
    formats = joined([said("{name} ({meaning})", name=name, meaning=said(each.text)) for name, each in FORMATS.items()])
    text = said("{formats}; default: text, but lines with a policy or a baseline", formats=formats)
    review.add_argument("--format", choices=FORMATS, help=text)
    review.add_argument("--policy", metavar=FILE, help=_POLICY)
    review.add_argument("--fail-on", choices=("note", "warning", "error"), help=said("default: the policy's, or error"))
    review.add_argument(
        "--most",
        type=int,
        default=_MOST,
        metavar=NUMBER,
        help=said("passages shown a part, 0 for all (default: {default})", default=_MOST),
    )
    review.add_argument("--jobs", type=int, default=1, metavar=NUMBER, help=said("processes (default: 1)"))
    review.add_argument(
        "--cluster", metavar=said("ADDRESS"), help=said("check on a dask cluster instead, as tcp://scheduler:8786")
    )
    review.add_argument(
        "--seconds",
        type=float,
        default=DEFAULT_SECONDS,
        metavar=NUMBER,
        help=said(
            "time for each score, after which it is given up and the next one follows (default: {default})",
            default=f"{DEFAULT_SECONDS:g}",
        ),
    )
    review.add_argument("-o", "--output", default="-", metavar=FILE, help=TO_STANDARD_OUTPUT)
    review.add_argument("--baseline", metavar=FILE, help=said("accepted findings; only new ones count"))
    review.add_argument(
        "--write-baseline", metavar=FILE, help=said("accept everything found, and write it to this file")
    )
    review.add_argument("--resume", metavar=FILE, help=said("journal of the run: what it holds is not checked again"))
    add_option_flags(review, [name for name in NAMES if name != "notation"])
    review.set_defaults(run=_review)


@dataclass(frozen=True)
class _Run:
    """What is checked, and with what: one for each call of the command.

    `unmatched` names the files of the baseline that are not among the scores.
    """

    job: Job
    format: str
    scores: tuple[str, ...]
    unmatched: tuple[str, ...]


def _review(arguments: argparse.Namespace) -> int:
    from ...reports.baseline import baseline_text
    from ...reports.summary import Totals, one_line

    _check_arguments(arguments)
    run = _run(arguments)
    wording = Wording(run.job.options.language)
    totals = Totals()
    baseline: list[str] = []
    to_terminal = arguments.output == "-" and sys.stdout is not None and sys.stdout.isatty()
    encoding = sys.stdout.encoding if to_terminal else "utf-8"
    with ExitStack() as stack:
        out = stack.enter_context(open_output(arguments.output))
        results = _counted(_results(arguments, run, stack), totals)
        results = with_progress(results, len(run.scores), wording, to_terminal)
        if arguments.write_baseline is not None:
            folder = str(Path(arguments.write_baseline).parent)
            results = _noted(results, baseline, folder, wording)
        paint = painter() if to_terminal else None
        for piece in report(run.format, results, totals, paint=paint, most=arguments.most, wording=wording):
            out.write(piece.encode(encoding, "replace"))
    if arguments.write_baseline is not None:
        write_file(arguments.write_baseline, baseline_text(baseline).encode())
    _tell_what_matches_nothing(arguments, run, totals, wording)
    if run.format not in ("text", "lines") and len(run.scores) > 1:
        sys.stderr.write(f"{one_line(totals, wording)}\n")
    code = _exit(totals, accepts=arguments.write_baseline is not None)
    return Exit.CLEAN if arguments.staged and code == Exit.NOTHING else code


def _noted(results: Iterable[CheckedFile], baseline: list[str], folder: str, wording: Wording) -> Iterator[CheckedFile]:
    from ...reports.baseline import baseline_lines

    for result in results:
        baseline += baseline_lines(result, folder, wording)
        yield result


def _exit(totals: Totals, *, accepts: bool) -> Exit:
    if totals.faults:
        return Exit.FAILED
    if totals.failing and not accepts:
        return Exit.FINDINGS
    return Exit.NOTHING if not totals.parts else Exit.CLEAN


def _check_arguments(arguments: argparse.Namespace) -> None:
    if not arguments.scores and not arguments.staged:
        raise bad_option("scores", "", said("files, folders or patterns, or --staged"))
    if arguments.jobs < 1:
        raise bad_option("jobs", str(arguments.jobs), said("a number of processes, 1 or more"))
    if arguments.most < 0:
        raise bad_option("most", str(arguments.most), said("a number of passages, or 0 for all"))
    if not arguments.seconds > 0:
        raise bad_option("seconds", f"{arguments.seconds:g}", said("a time in seconds above 0"))


def _run(arguments: argparse.Namespace) -> _Run:
    from ...reports.baseline import name_from, read_baseline
    from ...reports.rendered import needs_of
    from ...usecases.checks.batch import Job, find_files
    from ...usecases.checks.staged import staged_scores

    names = staged_scores(arguments.scores) if arguments.staged else find_files(arguments.scores)
    read = [*names, *([arguments.policy] if arguments.policy else [])]
    check_outputs([arguments.output, arguments.write_baseline, arguments.resume], read)
    check_outputs([arguments.output, arguments.resume], [arguments.baseline] if arguments.baseline else [])
    for_a_house = arguments.policy or arguments.baseline or arguments.write_baseline
    format = arguments.format or ("lines" if for_a_house else "text")
    policy, folder = _policy(arguments.policy, format)
    accepted = read_baseline(read_text(arguments.baseline), arguments.baseline) if arguments.baseline else {}
    home = str(Path(arguments.baseline).parent) if arguments.baseline else "."
    keys = {name: name_from(home, printable_name(name)) for name in names} if accepted else {}
    named = frozenset(name for name in ("level", "positions", "instrument", "part") if getattr(arguments, name, None))
    with_baseline = bool(arguments.baseline or arguments.write_baseline)
    detail, render = needs_of(format, arguments.most)
    job = Job(
        policy,
        folder,
        options_from(arguments),
        named,
        detail,
        render,
        {name: accepted[key] for name, key in keys.items() if key in accepted},
        arguments.fail_on,
        with_baseline,
        collection=format != "text",
    )
    seen = set(keys.values())
    return _Run(job, format, tuple(names), tuple(key for key in accepted if key not in seen))


def _policy(name: str | None, format: str) -> tuple[PolicyFile, str]:
    """The policy and the folder that it lies in; without one what is marked in proof, for a player all rules."""
    from ...policies.policy_file import BUILT_IN, PROOF, built_in, read_policy

    if name is None:
        return (read_policy('name = "all rules"', "none") if format in FOR_PLAYERS else built_in(PROOF)), "."
    if name in BUILT_IN or not (Path(name).exists() or name.endswith(".toml")):
        return built_in(name), "."
    return read_policy(read_text(name), name), str(Path(name).parent)


def _results(arguments: argparse.Namespace, run: _Run, stack: ExitStack) -> Iterator[CheckedFile]:
    """The result of every score; of those that the journal of an earlier run holds, what it holds."""
    if arguments.resume is None:
        return _checked(arguments, run, run.scores, stack)
    from ...usecases.checks.journal import Journal

    journal = stack.enter_context(Journal(arguments.resume, run.job.identity(run.format)))
    return _resumed(arguments, run, journal, stack)


def _resumed(arguments: argparse.Namespace, run: _Run, journal: Journal, stack: ExitStack) -> Iterator[CheckedFile]:
    held = {name for name in run.scores if journal.holds(name)}
    checked = _checked(arguments, run, tuple(name for name in run.scores if name not in held), stack)
    for name in run.scores:
        if name in held:
            yield journal.get(name)
        else:
            result = next(checked)
            journal.add(result)
            yield result


def _checked(
    arguments: argparse.Namespace, run: _Run, names: tuple[str, ...], stack: ExitStack
) -> Iterator[CheckedFile]:
    from ...usecases.checks.batch import check_files, named_scores, scores_with_content
    from ...usecases.checks.staged import staged_content

    scores = staged_content(names) if arguments.staged else named_scores(names)
    if arguments.cluster is None:
        return check_files(run.job, scores, max(min(arguments.jobs, len(names)), 1), arguments.seconds)
    from ...workers.distributed import check_scores, connected

    client = stack.enter_context(connected(arguments.cluster))
    return check_scores(client, run.job, scores_with_content(scores), arguments.seconds)


def _counted(results: Iterable[CheckedFile], totals: Totals) -> Iterator[CheckedFile]:
    for result in results:
        totals.add(result)
        if result.fault is not None:
            sys.stderr.write(f"handframe: {result.name}: {result.fault[1]}\n")
        yield result


def _others(arguments: argparse.Namespace, scores: tuple[str, ...]) -> list[str] | None:
    """The scores of the catalogue that are not checked; None if some files are checked, not a folder.

    The catalogue is what lies below the folder that holds both the policy and the checked folders; if that is above the
    working directory, what lies below the folder of the policy.
    """
    from ...usecases.checks.batch import find_files

    folders = [Path(name).resolve() for name in arguments.scores if Path(name).is_dir()]
    if arguments.staged or not folders:
        return None
    of_policy = Path(arguments.policy).resolve().parent
    try:
        holds_both = Path(commonpath([of_policy, *folders]))
    except ValueError:  # They lie on different drives.
        holds_both = of_policy
    catalogue = holds_both if holds_both.is_relative_to(Path.cwd()) else of_policy
    checked = {Path(name).resolve() for name in scores}
    return [name for name in find_files([str(catalogue)]) if Path(name) not in checked]


def _unused_exceptions(arguments: argparse.Namespace, run: _Run, totals: Totals) -> list[str]:
    """The exceptions of the policy that no finding needs, and none that may be for a score that is not checked."""
    policy, used = run.job.policy, totals.exceptions_used
    if used.issuperset(policy.exceptions(run.scores, ())):
        return []
    others = _others(arguments, run.scores)
    return [exception for exception in policy.exceptions(run.scores, others) if exception not in used]


def _tell_what_matches_nothing(arguments: argparse.Namespace, run: _Run, totals: Totals, wording: Wording) -> None:
    """Say which entries of the baseline and which exceptions of the policy have no finding any more."""
    told = [
        wording.say(words.NO_LONGER_FOUND, baseline=arguments.baseline, file=name, finding=finding)
        for name, finding in totals.stale
    ]
    home = str(Path(arguments.baseline).parent) if arguments.baseline else "."
    told += [
        wording.say(words.NOT_THERE, baseline=arguments.baseline, file=name)
        for name in run.unmatched
        if not (Path(home) / name).exists()
    ]
    told += [
        wording.say(words.UNUSED_EXCEPTION, policy=arguments.policy, exception=wording.text(exception))
        for exception in _unused_exceptions(arguments, run, totals)
    ]
    sys.stderr.write("".join(f"handframe: {line}\n" for line in told))
