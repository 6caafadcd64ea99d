"""Checks many files in several processes; results come one by one.

Files come out in the order in which they were named or sorted, whatever the processes do, and no more of them are
under way than the processes need, so that a thousand files take no more memory than ten. One bad file costs that file
only.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from glob import glob, has_magic
from hashlib import sha256
from pathlib import Path

from ... import __version__
from ...config.options import Options
from ...errors import ScoreError, Sentence, said
from ...messages.faults import our_fault, system_reason
from ...messages.message import Wording, sentence
from ...musicxml.file.container import Document
from ...musicxml.formats.known_formats import ENDINGS
from ...policies.policy_file import PolicyFile
from ..annotate import PartReview
from ..files import printable_name, read_file
from .check import CheckedFile, Detail, check_score, options_with_policy, with_baseline
from .fingerprints import Accepted
from .killable_processes import DEFAULT_SECONDS, Lost, in_processes

Render = Callable[[CheckedFile, Sequence[PartReview], Sequence[Document]], str]
"""Writes one file's share of a report, from its result, its reviews and the documents that they stand in."""


NOTHING_FOR_US = said("It has no part for a violin or viola.")


def render_nothing(file: CheckedFile, reviews: Sequence[PartReview], documents: Sequence[Document]) -> str:
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
        known: findings that the baseline accepts, by file name.
        fail_on: a threshold that wins over the policy's, or None.
        with_baseline: findings are compared with a baseline, or written to one.
        collection: all parts for violin and viola are checked, and scores without one are skipped.
    """

    policy: PolicyFile
    folder: str
    options: Options
    explicit: frozenset[str] = frozenset()
    detail: Detail = Detail.NONE
    render: Render = render_nothing
    known: Mapping[str, tuple[Accepted, ...]] = field(default_factory=dict)
    fail_on: str | None = None
    with_baseline: bool = False
    collection: bool = False

    def identity(self, format: str) -> str:
        """Return what tells this run from others: the same identity, the same result for the same score."""
        told = (__version__, format, self.policy.text, self.options.model_dump_json(), sorted(self.explicit),
                self.fail_on, self.with_baseline, sorted(self.known.items()))  # fmt: skip
        return sha256(repr(told).encode()).hexdigest()


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
    wording = Wording(job.options.language)
    label = printable_name(name) or "''"
    try:
        house = job.policy.for_file(_below(job.folder, name))
        policy, fail_on = house.policy.name, job.fail_on or house.policy.fail_on.word
        score = read_file(name) if data is None else data
        options = options_with_policy(house, job.options, job.explicit)
        detail = job.detail | (Detail.FINGERPRINTS if job.with_baseline else Detail.NONE)
        every_part = job.collection and not (options.part or house.instrument or "instrument" in job.explicit)
        reviews, parts, documents = check_score(score, house, options, detail, name=name, every_part=every_part)
        parts, stale = with_baseline(parts, job.known.get(name, ()))
        if every_part and not parts:
            return CheckedFile(label, policy, fail_on, skipped=wording.text(NOTHING_FOR_US), stale=stale)
        result = CheckedFile(label, policy, fail_on, parts, stale=stale)
        return replace(result, rendered=job.render(result, reviews, documents))
    except ScoreError as fault:
        return CheckedFile(label, policy, fail_on, fault=(fault.code, wording.error(fault)))
    except OSError as fault:
        return CheckedFile(label, policy, fail_on, fault=("unreadable", sentence(wording.text(system_reason(fault)))))
    except Exception as fault:
        return CheckedFile(label, policy, fail_on, fault=("internal", wording.text(our_fault(fault))))


def _below(folder: str, name: str) -> str:
    """The name with slashes, relative to the policy's folder if the file is below it."""
    path = Path(name).resolve()
    base = Path(folder).resolve()
    return (path.relative_to(base) if path.is_relative_to(base) else path).as_posix()


def named_scores(names: Iterable[str]) -> Iterator[tuple[str, bytes | None]]:
    """Yield each name with None, so that a process reads it; standard input is read here."""
    for name in names:
        yield name, read_file(name) if name == "-" else None


def scores_with_content(scores: Iterable[tuple[str, bytes | None]]) -> Iterator[tuple[str, bytes | None]]:
    """Yield each score with what is in it, for processes that do not see our files; None if it cannot be read."""
    for name, data in scores:
        try:
            yield name, read_file(name) if data is None else data
        except OSError:
            yield name, None


def check_files(
    job: Job, scores: Iterable[tuple[str, bytes | None]], processes: int = 1, seconds: float = DEFAULT_SECONDS
) -> Iterator[CheckedFile]:
    """Yield the result of every score, in their order; a score without content is read from the file of that name.

    Files are checked in processes of their own. One that takes longer than `seconds` is given up: its process is
    killed and another takes its place.
    """
    for (name, _), result in in_processes(partial(_check, job), scores, processes, seconds):
        if result is Lost.TOO_SLOW:
            yield too_slow(job, name, seconds)
        elif result is Lost.DIED:
            died = said("The process died while checking it: please report this file.")
            yield _failed(job, name, "internal", died)
        else:
            assert isinstance(result, CheckedFile)
            yield result


def too_slow(job: Job, name: str, seconds: float) -> CheckedFile:
    """Return the result for a score that was given up."""
    why = said(
        "It was given up after {seconds} seconds. Allow more with --seconds, or check one part with --part.",
        seconds=f"{seconds:g}",
    )
    return _failed(job, name, "too-slow", why)


def unreadable(job: Job, name: str) -> CheckedFile:
    """Return the result for a score that cannot be read."""
    return _failed(job, name, "unreadable", said("The file cannot be read."))


def _failed(job: Job, name: str, code: str, why: Sentence) -> CheckedFile:
    return CheckedFile(printable_name(name), "", "", fault=(code, Wording(job.options.language).text(why)))


def _check(job: Job, file: tuple[str, bytes | None]) -> CheckedFile:
    return check_file(job, *file)
