"""Many files checked: what to check, in which order, by how many processes; results come one by one.

Files come out in the order in which they were named or sorted, whatever the processes do, and no more of them are
under way than the processes need, so that a thousand files take no more memory than ten. One bad file costs that file
only.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, field
from glob import glob, has_magic
from multiprocessing import get_context
from pathlib import Path

from ..config.options import Options
from ..errors import ScoreError
from ..musicxml.import_formats import ENDINGS, to_musicxml
from ..policies.policy_file import PolicyFile
from .annotate import PartReview
from .check import CheckedFile, CheckedPart, Detail, check_score, options_under

SCORES = (".musicxml", ".mxl", ".xml", *ENDINGS)
"""Endings of the files that are taken from a folder; a file that is named itself may end in anything."""
_UNDER_WAY = 4
Render = Callable[[str, Sequence[PartReview], Sequence[CheckedPart]], str]
"""Writes one file's share of a report, from its name, its reviews and its checked parts."""


def render_nothing(name: str, reviews: Sequence[PartReview], parts: Sequence[CheckedPart]) -> str:
    """Return no text: for reports that need only the findings."""
    return ""


@dataclass(frozen=True)
class Job:
    """What every file is checked with; the same for all, and sent to each process once.

    Attributes:
        policy: the policy file; `folder` is where it lies.
        options: as given; `given` names those that were, which win over the policy.
        detail: what to work out besides the findings.
        render: writes the file's share of the report while the whole review is at hand.
        known: fingerprints that are accepted, by file name.
        fail_on: a threshold that wins over the policy's, or None.
        with_baseline: findings are compared with a baseline, or written to one.
    """

    policy: PolicyFile
    folder: str
    options: Options
    given: frozenset[str] = frozenset()
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
        if name != "-" and not Path(name).exists() and has_magic(name):
            matches = sorted(glob(name, recursive=True))
            for match in matches:
                files |= dict.fromkeys(_scores_in(match) if Path(match).is_dir() else [match])
            if not matches:
                files[name] = None
        elif name != "-" and Path(name).is_dir():
            files |= dict.fromkeys(_scores_in(name))
        else:
            files[name] = None
    return list(files)


def _scores_in(folder: str) -> list[str]:
    inside = (path for path in Path(folder).rglob("*") if path.suffix.lower() in SCORES and path.is_file())
    return sorted(path.as_posix() for path in inside if not any(part.startswith(".") for part in path.parts[1:]))


def check_file(job: Job, name: str, data: bytes | None = None) -> CheckedFile:
    """Return the result for one file, a fault included; `data` is what is in it, if it is known already."""
    policy = fail_on = ""
    try:
        house = job.policy.for_file(_below(job.folder, name))
        policy, fail_on = house.policy.name, job.fail_on or house.policy.fail_on.word
        score = to_musicxml(Path(name).read_bytes() if data is None else data, name)
        options = options_under(house, job.options, job.given)
        detail = job.detail | (Detail.FINGERPRINTS if job.with_baseline else Detail.NONE)
        reviews, parts = check_score(score, house, options, job.known.get(name, frozenset()), detail)
        rendered = job.render(name, reviews, parts)
        return CheckedFile(name, policy, fail_on, parts, None, rendered)
    except ScoreError as fault:
        return CheckedFile(name, policy, fail_on, fault=(fault.code, str(fault)))
    except OSError as fault:
        return CheckedFile(name, policy, fail_on, fault=("unreadable", f"{fault.strerror or fault}."))
    except Exception as fault:
        kind = type(fault).__name__
        return CheckedFile(
            name, policy, fail_on, fault=("internal", f"A fault of ours ({kind}): please report this file.")
        )


def _below(folder: str, name: str) -> str:
    """The whole name with slashes; below the policy's folder what leads there is left out and so matches no pattern."""
    path = Path(name).resolve()
    base = Path(folder).resolve()
    return (path.relative_to(base) if path.is_relative_to(base) else path).as_posix()


def check_files(job: Job, names: Iterable[str], processes: int = 1) -> Iterator[CheckedFile]:
    """Yield the result of every file, in the order of the names."""
    if processes <= 1:
        for name in names:
            yield check_file(job, name)
        return
    waiting = deque(names)
    while waiting:
        # A process that dies takes the pool with it: its file is the fault, the others are tried again.
        yield from _in_pool(job, waiting, processes)


def _in_pool(job: Job, waiting: deque[str], processes: int) -> Iterator[CheckedFile]:
    under_way: deque[tuple[str, Future[CheckedFile]]] = deque()
    with ProcessPoolExecutor(processes, get_context("spawn"), _begin, (job,)) as pool:
        while waiting or under_way:
            while waiting and len(under_way) < _UNDER_WAY * processes:
                name = waiting.popleft()
                under_way.append((name, pool.submit(_check, name)))
            name, future = under_way.popleft()
            try:
                yield future.result()
            except BrokenProcessPool:
                waiting.extendleft(other for other, _ in reversed(under_way))
                yield _alone(job, name)
                return


def _alone(job: Job, name: str) -> CheckedFile:
    """Try a file in a process of its own; if that dies as well, this file was the cause."""
    try:
        with ProcessPoolExecutor(1, get_context("spawn"), _begin, (job,)) as pool:
            return pool.submit(_check, name).result()
    except BrokenProcessPool:
        return CheckedFile(
            name, "", "", fault=("internal", "The process died while checking it: please report this file.")
        )


_JOB: list[Job] = []


def _begin(job: Job) -> None:
    _JOB[:] = [job]


def _check(name: str) -> CheckedFile:
    return check_file(_JOB[0], name)
