"""Renders one file's part of a report that needs the whole review.

A review is large and stays in its process; only this text, small values and findings are sent to the parent.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from ..usecases.batch import Render, render_nothing
from ..usecases.check import Detail

if TYPE_CHECKING:
    from ..usecases.annotate import PartReview
    from ..usecases.check import CheckedPart


def render_text(name: str, reviews: Sequence[PartReview], parts: Sequence[CheckedPart]) -> str:
    """Return the file's part of the text report."""
    from .player.report import text_report

    return text_report(name, reviews)


def render_json(name: str, reviews: Sequence[PartReview], parts: Sequence[CheckedPart]) -> str:
    """Return the file's part of the JSON report."""
    from .wire.check_answer import FileAnswer
    from .wire.check_data import check_parts
    from .wire.review_data import review_answer

    review = review_answer(reviews)
    answer = FileAnswer(file=name, version=review.version, parts=review.parts, check=check_parts(parts))
    return answer.model_dump_json(indent=1, exclude_unset=True)


_RENDER: dict[str, Render] = {"text": render_text, "json": render_json}
_DETAIL = {
    "json": Detail.ALL,
    "sarif": Detail.LINES | Detail.FINGERPRINTS,
    "markdown": Detail.HARDEST,
    "summary": Detail.HARDEST,
}


def needs_of(format: str) -> tuple[Detail, Render]:
    """Return what a report in this format needs to know of a file, and what writes the file's share of it."""
    return _DETAIL.get(format, Detail.NONE), _RENDER.get(format, render_nothing)
