"""The check of one file against a policy: findings with their place in the text and a fingerprint.

The results are small values that are sent between processes and go into every report.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from enum import IntFlag
from hashlib import sha256
from itertools import repeat

from rules import Flag, Plan, Severity, difficulty_by_bar, hardest

from ..config.limits import DEFAULT_LIMITS, Limits
from ..config.options import Options
from ..musicxml.file.scan import find_notes
from ..naming import beat_text, pitch_name
from ..policies.policy_file import HousePolicy
from .annotate import PartReview, review_document
from .scores import MUSICXML, OpenedScore, open_scores

NEIGHBOURS = 2
"""Events before and after a finding whose notes are part of its fingerprint."""
_NAMED = 8


class Detail(IntFlag):
    """Details that only some reports need, since they take time: lines in the text, hardest bars, fingerprints."""

    NONE = 0
    LINES = 1
    HARDEST = 2
    FINGERPRINTS = 4
    ALL = 7


@dataclass(frozen=True, slots=True)
class CheckedFinding:
    """One finding, ready to be reported.

    Attributes:
        rule: its id; `outcome` its code, `severity` in words, `message` the sentence.
        first_bar: label of the bar where it begins; `last_bar` where it ends, `beat` of its beginning.
        notes: the notes as names, at most eight.
        proposal: number (from 1) of the proposal that answers it, or None.
        fingerprint: the same for the same finding after bars were added or moved; see `fingerprints`.
        line: of its first note in the text file, from 1, and `column` in characters from 1; None in an archive.
        exempted: the reason for which the policy accepts it, or empty.
        known: True if the baseline has it.
    """

    rule: str
    outcome: str
    severity: str
    message: str
    first_bar: str
    last_bar: str
    beat: str
    notes: str
    proposal: int | None
    fingerprint: str
    line: int | None = None
    column: int | None = None
    exempted: str = ""
    known: bool = False

    @property
    def counts(self) -> bool:
        """True if the finding is still open: not answered by a proposal, not exempted, not in the baseline."""
        return self.proposal is None and not self.exempted and not self.known

    @property
    def bars(self) -> str:
        """Its bars, "12" or "12-14"."""
        return self.first_bar if self.first_bar == self.last_bar else f"{self.first_bar}-{self.last_bar}"


@dataclass(frozen=True, slots=True)
class CheckedPart:
    """One part: what it is, which level it needs (and the bars that force it), its findings, its hardest bars."""

    id: str
    name: str
    instrument: str
    level: str
    needed: str
    forced_by: tuple[str, ...]
    bars: int
    notes: int
    findings: tuple[CheckedFinding, ...]
    hardest: tuple[tuple[str, float], ...]
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class CheckedFile:
    """One file; `fault` says why it could not be checked, as code and sentence, and is None if it could.

    `rendered` is what a report needs of the file that only the whole review can say; empty where none does.
    """

    name: str
    policy: str
    fail_on: str
    parts: tuple[CheckedPart, ...] = ()
    fault: tuple[str, str] | None = None
    rendered: str = ""

    @property
    def fails(self) -> bool:
        """True if a finding that counts is at or above the policy's threshold."""
        if self.fault is not None:
            return False
        least = Severity[self.fail_on.upper()]
        return any(f.counts and Severity[f.severity.upper()] >= least for part in self.parts for f in part.findings)


def options_with_policy(house: HousePolicy, options: Options, explicit: frozenset[str]) -> Options:
    """Return the options with the policy's values; options that were set explicitly win."""
    changes: dict[str, object] = {}
    if not explicit & {"level", "positions"}:
        changes |= {"level": house.policy.level, "positions": None}
    if "instrument" not in explicit and house.instrument:
        changes["instrument"] = house.instrument
    if "part" not in explicit and house.parts:
        changes["part"] = house.parts
    return options.model_copy(update=changes)


def check_score(
    data: bytes,
    house: HousePolicy,
    options: Options,
    known: frozenset[str] = frozenset(),
    detail: Detail = Detail.ALL,
    limits: Limits = DEFAULT_LIMITS,
    name: str = "",
) -> tuple[tuple[PartReview, ...], tuple[CheckedPart, ...]]:
    """Return the review of every part, and what of it is reported.

    Args:
        data: the file.
        house: the policy.
        options: how to read and plan (see `options_with_policy`).
        known: fingerprints that the baseline accepts in this file.
        detail: what more is worked out; a report pays only for what it shows.
        limits: what is too large.
        name: what the file is called.

    Raises:
        ScoreError: as for `annotate.review_score`.
    """
    reviews: list[PartReview] = []
    parts: list[CheckedPart] = []
    for score in open_scores(data, options, limits, name):
        found = review_document(score.document, options, house.rules, score.remarks)
        lines = _Lines(score) if Detail.LINES in detail else None
        reviews += found
        parts += [_checked(review, house, known, lines, detail) for review in found]
    return tuple(reviews), tuple(parts)


def _checked(
    part: PartReview, house: HousePolicy, known: frozenset[str], lines: _Lines | None, detail: Detail
) -> CheckedPart:
    plan, passage = part.review.plan, part.passage
    need = part.review.need
    forced = dict.fromkeys(passage.label(plan.event(index)) for index in need.forced_by)
    return CheckedPart(
        passage.part,
        passage.name,
        passage.instrument.name,
        plan.level.name,
        need.level.name,
        tuple(forced),
        len(passage.measures),
        sum(len(event.notes) for event in passage.events),
        tuple(_findings(part, house, known, lines, Detail.FINGERPRINTS in detail)),
        tuple(_hardest(part)) if Detail.HARDEST in detail and passage.events else (),
        part.remarks,
    )


def _hardest(part: PartReview) -> Iterator[tuple[str, float]]:
    plan, planned = part.review.plan, part.review.planned
    routes = planned.first_position.route_search(plan)
    for bar in hardest(difficulty_by_bar(plan, routes)):
        yield plan.passage.measures[bar.measure].label, round(bar.per_second, 1)


def _findings(
    part: PartReview, house: HousePolicy, known: frozenset[str], lines: _Lines | None, prints: bool
) -> Iterator[CheckedFinding]:
    plan, passage, flags = part.review.plan, part.passage, part.review.flags
    for flag, fingerprint in zip(flags, fingerprints(plan, flags) if prints else repeat(""), strict=False):
        first, last = plan.event(flag.finding.first), plan.event(flag.finding.last)
        exemption = house.policy.exempted(passage, flag)
        line, column = lines.of(part.reading.places[flag.finding.notes[0]].note) if lines else (None, None)
        yield CheckedFinding(
            flag.finding.rule,
            flag.finding.outcome,
            flag.severity.word,
            flag.sentence,
            passage.label(first),
            passage.label(last),
            beat_text(first.beat),
            notes_of(plan, flag),
            None if flag.answered_by is None else flag.answered_by + 1,
            fingerprint,
            line,
            column,
            exemption.reason if exemption else "",
            fingerprint in known,
        )


def notes_of(plan: Plan, flag: Flag) -> str:
    """Return the notes of a finding as names, chords joined; a long run is cut in the middle."""
    events = range(flag.finding.first, flag.finding.last + 1)
    named = ["+".join(pitch_name(note.pitch) for note in plan.event(index).notes) for index in events]
    if len(named) > _NAMED:
        named = [*named[: _NAMED - 2], "…", named[-1]]
    return " ".join(named)


def fingerprints(plan: Plan, flags: tuple[Flag, ...]) -> Iterator[str]:
    """Yield a fingerprint of each finding that does not change when bars are added before it, renumbered or moved.

    It is made of the rule, the outcome, the part's name, the notes of the finding and those next to it, with their
    lengths and marks; of findings that agree in all this, the first, the second and so on are told apart.
    """
    seen: Counter[str] = Counter()
    passage = plan.passage
    for flag in flags:
        first, last = flag.finding.first - NEIGHBOURS, flag.finding.last + NEIGHBOURS
        pieces = [flag.finding.rule, flag.finding.outcome, passage.name or passage.part]
        for event in passage.events[max(first, 0) : last + 1]:
            pieces += [f"{n.pitch.name}:{n.beats}:{n.printed.fingers}{n.printed.strings}" for n in event.notes]
        text = "|".join(pieces)
        seen[text] += 1
        yield sha256(f"{text}|{seen[text]}".encode()).hexdigest()[:20]


class _Lines:
    """Lines and columns of notes in the original text file, searched for on first use."""

    def __init__(self, score: OpenedScore) -> None:
        self._score = score
        self._text = b""
        self._offsets: list[int] | None = None

    def of(self, note: int) -> tuple[int | None, int | None]:
        """Return line and column of a note, by its number in the document; None where the file has no such lines."""
        if self._score.abc is not None:
            place = self._score.abc.places[note]
            return (None, None) if place is None else _line_and_column(self._score.abc.file.text, place[0])
        document = self._score.document
        if document.kind != "xml" or self._score.format is not MUSICXML:
            return None, None
        if self._offsets is None:
            wide = document.encoding.startswith("utf-16")
            self._text = document.data.decode("utf-16").encode() if wide else document.data
            self._offsets = find_notes(self._text)
        encoding = "utf-8" if document.encoding.startswith("utf-16") else document.encoding
        before = self._text[: self._offsets[note]].decode(encoding, "replace")
        return _line_and_column(before, len(before))


def _line_and_column(text: str, offset: int) -> tuple[int, int]:
    line = text.count("\n", 0, offset) or text.count("\r", 0, offset)
    start = max(text.rfind("\n", 0, offset), text.rfind("\r", 0, offset)) + 1
    return line + 1, offset - start + 1


__all__ = [
    "CheckedFile",
    "CheckedFinding",
    "CheckedPart",
    "Detail",
    "check_score",
    "fingerprints",
    "notes_of",
    "options_with_policy",
]
