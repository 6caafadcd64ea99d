"""Checks many files in several processes; results come one by one.

Files come out in the order in which they were named or sorted, whatever the processes do, and no more of them are
under way than the processes need, so that a thousand files take no more memory than ten. One bad file costs that file
only.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from glob import glob, has_magic
from pathlib import Path

from ..config.options import Options
from ..errors import ScoreError, our_fault
from ..musicxml.formats.table import ENDINGS
from ..policies.policy_file import PolicyFile
from .annotate import PartReview
from .check import CheckedFile, CheckedPart, Detail, check_score, options_with_policy
from .files import printable_name, read_file
from .processes import Lost, in_processes

DEFAULT_SECONDS = 120.0
"""Time for one file."""
Render = Callable[[str, Sequence[PartReview], Sequence[CheckedPart]], str]
"""Writes one file's share of a report, from its name, its reviews and its checked parts."""


def render_nothing(name: str, reviews: Sequence[PartReview], parts: Sequence[CheckedPart]) -> str:
    """Return no text: for reports that need only the findings."""
    return ""


@dataclass(frozen=True)
class Job:
    """What every file is checked with: the same for all files, sent to each process once.

    Attributes:
        policy: the policy file; `folder` is where it lies.
        options: as given; `explicit` names those that were, which win over the policy.
        detail: what to work out besides the findings.
        render: writes the file's share of the report while the whole review is at hand.
        known: fingerprints that are accepted, by file name.
        fail_on: a threshold that wins over the policy's, or None.
        with_baseline: findings are compared with a baseline, or written to one.
    """

    policy: PolicyFile
    folder: str
    options: Options
    explicit: frozenset[str] = frozenset()
    detail: Detail = Detail.NONE
    render: Render = render_nothing
    known: Mapping[str, frozenset[str]] = field(default_factory=dict)
    fail_on: str | None = None
    with_baseline: bool = False


def find_files(names: Iterable[str]) -> list[str]:
    """Return the files that names, folders and patterns stand for: each once, folders and patterns in sorted order.

    A name that is there but ends in nothing we know is taken as it is; what is not there stays in the list and fails
    when its turn comes, so that one slip of the pen does not stop a long run.
    """
    files: dict[str, None] = {}
    for name in names:
        if name in ("", "-"):
            files[name] = None
        elif not Path(name).exists() and has_magic(name):
            matches = sorted(glob(name, recursive=True))
            for match in matches:
                files |= dict.fromkeys(_scores_in(match) if Path(match).is_dir() else [match])
            if not matches:
                files[name] = None
        elif Path(name).is_dir():
            files |= dict.fromkeys(_scores_in(name))
        else:
            files[name] = None
    return list(files)


def _scores_in(folder: str) -> list[str]:
    inside = (path for path in Path(folder).rglob("*") if path.suffix.lower() in ENDINGS and path.is_file())
    return sorted(path.as_posix() for path in inside if not _is_hidden(path.relative_to(folder)))


def _is_hidden(path: Path) -> bool:
    return any(part.startswith(".") for part in path.parts)


def check_file(job: Job, name: str, data: bytes | None = None) -> CheckedFile:
    """Return the result for one file, a fault included; `data` is what is in it, if it is known already."""
    policy = fail_on = ""
    label = printable_name(name) or "''"
    try:
        house = job.policy.for_file(_below(job.folder, name))
        policy, fail_on = house.policy.name, job.fail_on or house.policy.fail_on.word
        score = read_file(name) if data is None else data
        options = options_with_policy(house, job.options, job.explicit)
        detail = job.detail | (Detail.FINGERPRINTS if job.with_baseline else Detail.NONE)
        reviews, parts = check_score(score, house, options, job.known.get(label, frozenset()), detail, name=name)
        rendered = job.render(label, reviews, parts)
        return CheckedFile(label, policy, fail_on, parts, None, rendered)
    except ScoreError as fault:
        return CheckedFile(label, policy, fail_on, fault=(fault.code, str(fault)))
    except OSError as fault:
        return CheckedFile(label, policy, fail_on, fault=("unreadable", f"{fault.strerror or fault}."))
    except Exception as fault:
        return CheckedFile(label, policy, fail_on, fault=("internal", our_fault(fault)))


def _below(folder: str, name: str) -> str:
    """The name with slashes, relative to the policy's folder if the file is below it."""
    path = Path(name).resolve()
    base = Path(folder).resolve()
    return (path.relative_to(base) if path.is_relative_to(base) else path).as_posix()


def check_files(
    job: Job, names: Iterable[str], processes: int = 1, seconds: float = DEFAULT_SECONDS
) -> Iterator[CheckedFile]:
    """Yield the result of every file, in the order of the names; `-` is standard input.

    Files are checked in processes of their own. One that takes longer than `seconds` is given up: its process is
    killed and another takes its place.
    """
    files = ((name, read_file(name) if name == "-" else None) for name in names)
    for (name, _), result in in_processes(partial(_check, job), files, processes, seconds):
        if isinstance(result, Lost):
            yield CheckedFile(printable_name(name), "", "", fault=_LOST[result](seconds))
        else:
            yield result


_LOST: dict[Lost, Callable[[float], tuple[str, str]]] = {
    Lost.TOO_SLOW: lambda seconds: (
        "too-slow",
        f"It was given up after {seconds:g} seconds. Allow more with --seconds, or check one part with --part.",
    ),
    Lost.DIED: lambda _: ("internal", "The process died while checking it: please report this file."),
}


def _check(job: Job, file: tuple[str, bytes | None]) -> CheckedFile:
    return check_file(job, *file)
