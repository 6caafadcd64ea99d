"""The check of one file against a policy: findings with their place in the text and a fingerprint.

The results are small values that are sent between processes and go into every report.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from enum import IntFlag
from itertools import repeat

from rules import Flag, Plan, Severity, difficulty_by_bar, hardest

from ...config.file_limits import DEFAULT_LIMITS, Limits
from ...config.options import Options
from ...messages.message import Wording
from ...musicxml.file.container import Document
from ...musicxml.file.scan import find_notes
from ...musicxml.notation.parts_to_check import parts_for_check
from ...naming import Language, beat_text, octave_word
from ...policies.policy_file import HousePolicy
from ..annotate import PartReview, review_document
from ..scores import MUSICXML, OpenedScore, open_scores
from .fingerprints import Accepted, Fingerprint, fingerprints, recognise

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
        fingerprint: the same for the same finding after bars were added or moved; see `fingerprints.py`.
        core: the same as long as its own notes stay.
        line: of its first note in the text, from 1, and `column` in characters from 1; in an archive they belong to
            the score inside.
        exempted: the reason for which the policy accepts it, or empty; `exception` is the policy's entry.
        concern: what it is about: print, level or playing.
        first_measure: index of the measure where it begins; `last_measure` where it ends.
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
    core: str = ""
    line: int | None = None
    column: int | None = None
    exempted: str = ""
    known: bool = False
    exception: str = ""
    concern: str = ""
    first_measure: int = 0
    last_measure: int = 0

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
    labels: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class CheckedFile:
    """One file.

    Attributes:
        name: as it was given.
        policy: name of the policy, `fail_on` its threshold; both empty if the file was not read.
        parts: what was checked.
        fault: why it could not be checked, as code and sentence; None if it could.
        rendered: what a report needs of the file that only the whole review can say; empty where none does.
        skipped: why there was nothing to check; empty if there was.
        stale: entries of the baseline that match nothing any more.
    """

    name: str
    policy: str
    fail_on: str
    parts: tuple[CheckedPart, ...] = ()
    fault: tuple[str, str] | None = None
    rendered: str = ""
    skipped: str = ""
    stale: tuple[str, ...] = ()

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
    if "hand" not in explicit:
        changes["hand"] = house.hand
    return options.model_copy(update=changes)


def check_score(
    data: bytes,
    house: HousePolicy,
    options: Options,
    detail: Detail = Detail.ALL,
    limits: Limits = DEFAULT_LIMITS,
    name: str = "",
    *,
    every_part: bool = False,
) -> tuple[tuple[PartReview, ...], tuple[CheckedPart, ...], tuple[Document, ...]]:
    """Return the review of every part, what of it is reported, and the document that it stands in.

    Args:
        data: the file.
        house: the policy.
        options: how to read and plan (see `options_with_policy`).
        detail: what more is worked out; a report pays only for what it shows.
        limits: what is too large.
        name: what the file is called.
        every_part: check all parts for violin and viola, each for its instrument, if neither a part nor an instrument
            is named; there may be none.

    Raises:
        ScoreError: as for `annotate.review_score`.
    """
    reviews: list[PartReview] = []
    parts: list[CheckedPart] = []
    documents: list[Document] = []
    for score in open_scores(data, options, limits, name):
        listings = parts_for_check(score.document.root, house.part_names) if every_part else None
        found = review_document(score.document, options, house.rules, score.remarks, listings)
        lines = _Lines(score) if Detail.LINES in detail else None
        reviews += found
        remarks = [""] * len(found) if listings is None else [listing.remark for listing in listings]
        parts += [_checked(*pair, house, lines, detail) for pair in zip(found, remarks, strict=True)]
        documents += [score.document] * len(found)
    return tuple(reviews), tuple(parts), tuple(documents)


def _checked(part: PartReview, remark: str, house: HousePolicy, lines: _Lines | None, detail: Detail) -> CheckedPart:
    """What is reported of a part; `remark` says for which instrument a part without a name was taken."""
    plan, passage, wording = part.review.plan, part.passage, Wording(part.language)
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
        tuple(_findings(part, house, lines, Detail.FINGERPRINTS in detail)),
        tuple(_hardest(part)) if Detail.HARDEST in detail and passage.events else (),
        (wording.text(remark),) if remark else (),
        tuple(measure.label for measure in passage.measures),
    )


def _hardest(part: PartReview) -> Iterator[tuple[str, float]]:
    plan, planned = part.review.plan, part.review.planned
    routes = planned.routes
    for bar in hardest(difficulty_by_bar(plan, routes)):
        yield plan.passage.measures[bar.measure].label, round(bar.per_second, 1)


def _findings(part: PartReview, house: HousePolicy, lines: _Lines | None, prints: bool) -> Iterator[CheckedFinding]:
    plan, passage, flags, wording = part.review.plan, part.passage, part.review.flags, Wording(part.language)
    concerns = {(rule.id, code): each.concern for rule in house.rules for code, each in rule.outcomes.items()}
    for flag, fingerprint in zip(flags, fingerprints(plan, flags) if prints else repeat(Fingerprint()), strict=False):
        first, last = plan.event(flag.finding.first), plan.event(flag.finding.last)
        exemption = house.policy.exempted(passage, flag)
        line, column = lines.of(part.reading.places[flag.finding.notes[0]].note) if lines else (None, None)
        yield CheckedFinding(
            flag.finding.rule,
            flag.finding.outcome,
            flag.severity.word,
            wording.text(flag.sentence),
            passage.label(first),
            passage.label(last),
            beat_text(first.beat),
            notes_of(plan, flag, part.language),
            None if flag.answered_by is None else flag.answered_by + 1,
            fingerprint.place,
            fingerprint.core,
            line,
            column,
            exempted=exemption.reason if exemption else "",
            exception=exemption.label if exemption else "",
            concern=concerns[flag.finding.rule, flag.finding.outcome].value,
            first_measure=first.measure,
            last_measure=last.measure,
        )


def with_baseline(
    parts: Sequence[CheckedPart], accepted: Sequence[Accepted]
) -> tuple[tuple[CheckedPart, ...], tuple[str, ...]]:
    """Return the parts with the findings marked that a baseline has, and its entries that match nothing any more."""
    found = [finding for part in parts for finding in part.findings if finding.proposal is None]
    known, stale = recognise([Fingerprint(finding.fingerprint, finding.core) for finding in found], accepted)
    accepted_ids = {id(finding) for finding, is_known in zip(found, known, strict=True) if is_known}
    marked = tuple(
        replace(part, findings=tuple(replace(f, known=True) if id(f) in accepted_ids else f for f in part.findings))
        for part in parts
    )
    return marked, stale


def notes_of(plan: Plan, flag: Flag, language: Language = Language.BRITISH) -> str:
    """Return the notes of a finding as names, chords joined; a long run is cut in the middle."""
    named = [
        "+".join(octave_word(note.pitch, language) for note in plan.event(index).notes)
        for index in flag.finding_events()
    ]
    if len(named) > _NAMED:
        named = [*named[: _NAMED - 2], "…", named[-1]]
    return " ".join(named)


class _Lines:
    """Lines and columns of notes in the original text, searched for on first use."""

    def __init__(self, score: OpenedScore) -> None:
        self._score = score
        self._text = b""
        self._offsets: list[int] | None = None

    def of(self, note: int) -> tuple[int | None, int | None]:
        """Return line and column of a note, by its number in the document: in an archive, in the score inside.

        None where the file has no such lines.
        """
        if self._score.abc is not None:
            place = self._score.abc.places[note]
            return (None, None) if place is None else _line_and_column(self._score.abc.file.text, place[0])
        document = self._score.document
        if self._score.format is not MUSICXML:
            return None, None
        if self._offsets is None:
            wide = document.encoding.startswith("utf-16")
            if document.kind == "mxl":
                self._text = document.original
            else:
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
    "notes_of",
    "options_with_policy",
    "with_baseline",
]
