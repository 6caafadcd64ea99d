"""Renders one file's part of a report that needs the whole review.

A review is large and stays in its process; only this text, small values and findings are sent to the parent.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import TYPE_CHECKING

from ..usecases.checks.batch import Render, render_nothing
from ..usecases.checks.check import Detail

if TYPE_CHECKING:
    from ..musicxml.file.container import Document
    from ..usecases.annotate import PartReview
    from ..usecases.checks.check import CheckedFile


def render_text(file: CheckedFile, reviews: Sequence[PartReview], documents: Sequence[Document]) -> str:
    """Return the file's part of the text report."""
    from .player.report import text_report

    return text_report(file.name, reviews)


def render_json(file: CheckedFile, reviews: Sequence[PartReview], documents: Sequence[Document]) -> str:
    """Return the file's part of the JSON report."""
    from .wire.check_data import file_answer
    from .wire.review_data import review_answer

    answer = file_answer(file, review_answer(reviews).parts)
    return answer.model_dump_json(indent=1)


def render_html(file: CheckedFile, reviews: Sequence[PartReview], documents: Sequence[Document], most: int) -> str:
    """Return the file's part of the list to tick off, so many passages a part."""
    from .proof_sheet import file_sheet

    return file_sheet(file, reviews, documents, most)


_DETAIL = {
    "json": Detail.ALL,
    "sarif": Detail.LINES | Detail.FINGERPRINTS,
    "annotations": Detail.LINES,
    "markdown": Detail.HARDEST,
    "summary": Detail.HARDEST,
}


def needs_of(format: str, most: int = 0) -> tuple[Detail, Render]:
    """Return what a report in this format needs to know of a file, and what writes the file's share of it.

    `most` is how many passages of a part are drawn; 0 for all.
    """
    render: dict[str, Render] = {"text": render_text, "json": render_json, "html": partial(render_html, most=most)}
    return _DETAIL.get(format, Detail.NONE), render.get(format, render_nothing)
