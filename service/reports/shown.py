"""What a report shows of one file that only the whole review can say, made where the review is.

A review is large and stays in its process; only this text, small values and findings travel. What does not belong
here: reports over many files.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ..annotate import PartReview
    from ..check import CheckedPart


def shown_for(format: str, name: str, reviews: Sequence[PartReview], parts: Sequence[CheckedPart]) -> str:
    """Return the file's share of a report in a format; empty for formats that need only the findings."""
    if format == "text":
        from .text import text_report

        return text_report(name, reviews)
    if format == "json":
        from .check_json import check_data
        from .review_json import review_data

        data = {"file": name, **review_data(reviews), "check": check_data(parts)}
        return json.dumps(data, ensure_ascii=False, indent=1)
    return ""
