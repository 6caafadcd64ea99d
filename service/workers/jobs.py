"""Requests as plain functions for a planner process: bytes in, bytes out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from rules import LEVELS, bars_beyond

from ..config.file_limits import Limits
from ..config.options import Options
from ..reports.wire.review_data import review_json
from ..usecases.annotate import PartReview, annotate, review_score
from ..usecases.clean import clean


@dataclass(frozen=True, slots=True)
class Summary:
    """What an answer is about in a few words.

    Attributes:
        parts: ids.
        findings: how many.
        proposals: how many.
        level_needed: the lowest level that suffices for all parts.
        beyond: for every part with notes beyond the level its id and the bars, for example `P1:25-28,40`.
    """

    parts: tuple[str, ...]
    findings: int
    proposals: int
    level_needed: str
    beyond: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class MarkedScore:
    """A marked score as bytes, its kind ("xml", "mxl" or "abc"), a summary, and what is to be said of the file."""

    data: bytes
    kind: str
    summary: Summary
    remarks: tuple[str, ...] = ()


def annotate_score(data: bytes, options: Options, limits: Limits, name: str = "") -> MarkedScore:
    """Return the marked score.

    Raises:
        ScoreError: as for `annotate.annotate`.
    """
    answer = annotate(data, options, limits, name=name)
    return MarkedScore(answer.data, answer.kind, summary_of(answer.parts), answer.remarks)


def reviewed(data: bytes, options: Options, limits: Limits, name: str = "") -> tuple[bytes, Summary]:
    """Return the review as JSON.

    Raises:
        ScoreError: as for `annotate.review_score`.
    """
    parts = review_score(data, options, limits, name=name)
    return review_json(parts), summary_of(parts)


def cleaned(data: bytes, limits: Limits) -> tuple[bytes, bool]:
    """Return the score without our marks, and whether it is a compressed one.

    Raises:
        ScoreError: as for `annotate.clean`.
    """
    return clean(data, limits), data[:2] == b"PK"


def summary_of(parts: Iterable[PartReview]) -> Summary:
    """Return the summary of reviewed parts."""
    parts = tuple(parts)
    order = list(LEVELS)
    needed = max((order.index(part.review.need.level.name) for part in parts), default=0)
    return Summary(
        parts=tuple(part.passage.part for part in parts),
        findings=sum(flag.answered_by is None for part in parts for flag in part.review.flags),
        proposals=sum(len(part.review.planned.proposals) for part in parts),
        level_needed=order[needed],
        beyond=tuple(f"{part.passage.part}:{bars}" for part in parts if (bars := _bars_beyond(part))),
    )


def _bars_beyond(part: PartReview) -> str:
    """The bars with notes beyond the level, runs put together: `25-28,40`."""
    measures = part.passage.measures
    labels = [(measures[first].label, measures[last].label) for first, last in bars_beyond(part.review.plan)]
    return ",".join(first if first == last else f"{first}-{last}" for first, last in labels)
