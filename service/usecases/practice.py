"""Makes the practice sheet for the shifts of a score, or the progressive set for a key."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from lxml.etree import _Element

from rules import INSTRUMENTS, Key, Passage, Plan, Sheet, practice_sheet, progressive_set

from .. import errors
from ..config.limits import DEFAULT_LIMITS, Limits
from ..config.options import Options
from ..musicxml.file.container import open_document
from ..musicxml.new.document import compose
from ..musicxml.write.splice import clean as cleaned
from ..musicxml.written.part_list import choose_parts
from ..naming import Language
from .annotate import PartReview, review_document

SET_POSITIONS = (3, 2, 4, 5)
"""Positions of the progressive set in the order in which they are learned."""


MOST_KINDS = 6
"""Kinds of shift on a sheet unless more are asked for: about a week of practice."""


class SheetFormat(StrEnum):
    """File formats of a practice sheet."""

    MUSICXML = "musicxml"
    PAGE = "page"


class Paper(StrEnum):
    """Paper sizes."""

    A4 = "a4"
    LETTER = "letter"


@dataclass(frozen=True)
class Practice:
    """A practice sheet, for which part and plan it is, and which other parts could have one."""

    sheet: Sheet
    plan: Plan
    part: str
    others: tuple[str, ...]


_LONGEST_BAR = 1000
"""In quarter notes; a written-out cadenza in one bar has a few hundred."""


def practice(
    data: bytes,
    options: Options,
    proposals: Sequence[int] = (),
    most: int = MOST_KINDS,
    limits: Limits = DEFAULT_LIMITS,
) -> Practice:
    """Return the practice sheet for one part of a score: the first that is chosen or marked for the instrument.

    Args:
        data: the score.
        options: part, level and whatever else decides the plan.
        proposals: numbers of proposals to practise, from 1 as a review lists them; none for the whole plan.
        most: kinds of shift on the sheet, the commonest; 0 for all.
        limits: what is opened.

    Raises:
        ScoreError: the score cannot be read, has no such part, or no proposal of that number; or `most` is negative.
    """
    if most < 0:
        raise errors.bad_option("most", str(most), "a whole number, 0 for all")
    document = open_document(data, limits, prepare=cleaned)
    listings = choose_parts(document.root, options.instrument, options.part)
    (part,) = review_document(document, options.model_copy(update={"part": (listings[0].id,)}), rules=())
    _refuse_endless_bars(part.passage)
    chosen = _excursions(part, proposals) if proposals else None
    sheet = practice_sheet(part.review.plan, _title(document.root), chosen, most or None, options.fingers)
    return Practice(sheet, part.review.plan, str(listings[0]), tuple(str(listing) for listing in listings[1:]))


def _refuse_endless_bars(passage: Passage) -> None:
    """Refuse a part with an absurdly long bar, which wrong <divisions> cause."""
    for measure in passage.measures:
        if measure.beats > _LONGEST_BAR:
            raise errors.ScoreError(
                "endless-bar",
                f"Bar {measure.label} lasts {float(measure.beats):,.0f} quarter notes.",
                "Correct its durations or <divisions>.",
                f"part {passage.part}, bar {measure.label}",
            )


def progressive(key: str, positions: Iterable[int] = (), instrument: str = "violin") -> Sheet:
    """Return the progressive set in a key, for second to fifth position or some of them.

    Raises:
        ScoreError: `bad-option`, if there is no such key or position.
    """
    try:
        named = Key.named(key)
    except ValueError:
        raise errors.bad_option("key", key, "a key such as D, Bb, F#m or Am") from None
    wanted = tuple(positions) or SET_POSITIONS
    if not set(wanted) <= set(SET_POSITIONS):
        given = ",".join(map(str, wanted))
        raise errors.bad_option(
            "positions", given, "positions that the set has: second, third, fourth and fifth (for example 3,2)"
        )
    try:
        return progressive_set(named, wanted, INSTRUMENTS[instrument])
    except ValueError:
        raise errors.bad_option("key", key, "a key with up to three sharps or flats") from None


def written(sheet: Sheet, form: SheetFormat, language: Language, paper: Paper = Paper.A4) -> bytes:
    """Return a sheet as MusicXML or as a page to print."""
    if form is SheetFormat.MUSICXML:
        return compose(sheet, language)
    from ..drawing.sheet_page import as_page

    return as_page(sheet, language, paper.value).encode()


def render_practice(
    data: bytes, options: Options, proposals: Sequence[int], most: int, form: SheetFormat, paper: Paper, limits: Limits
) -> bytes:
    """Return the written practice sheet for a score, in one call for a planner process.

    Raises:
        ScoreError: as for `practice`.
    """
    return written(practice(data, options, proposals, most, limits).sheet, form, options.language, paper)


def render_progressive(
    key: str, positions: Sequence[int], instrument: str, form: SheetFormat, language: Language, paper: Paper
) -> bytes:
    """Return the written progressive set, in one call for a planner process.

    Raises:
        ScoreError: as for `progressive`.
    """
    return written(progressive(key, positions, instrument), form, language, paper)


def _excursions(part: PartReview, proposals: Sequence[int]) -> list[int]:
    """The numbers of the excursions behind proposals that are counted from 1."""
    found = part.review.planned.proposals
    for number in proposals:
        if not 1 <= number <= len(found):
            possible = f"a number from 1 to {len(found)}" if found else "none: this plan proposes nothing"
            raise errors.bad_option("proposal", str(number), possible)
    return [part.review.plan.excursions.index(found[number - 1].excursion) for number in proposals]


def _title(root: _Element) -> str:
    """The title of the piece; empty if the score names none."""
    for path in ("movement-title", "work/work-title"):
        text = " ".join((root.findtext(path) or "").split())
        if text:
            return text
    return ""


__all__ = [
    "Paper",
    "Practice",
    "SheetFormat",
    "practice",
    "progressive",
    "render_practice",
    "render_progressive",
    "written",
]
