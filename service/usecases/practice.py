"""Makes the practice sheet for the shifts of a score, or the progressive set for a key."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import PurePath

from rules import (
    INSTRUMENTS,
    Excursion,
    Key,
    Passage,
    Plan,
    Reason,
    Sheet,
    SheetForm,
    Text,
    chosen_exercises,
    english,
    is_nearly_as_easy_at_home,
    joined,
    practice_card,
    practice_sheet,
    progressive_set,
    sheets_together,
)

from .. import errors
from ..config.file_limits import DEFAULT_LIMITS, Limits
from ..config.options import Options
from ..config.sheet_options import DEFAULT_SHEET, Paper, SheetFormat, SheetOptions, refuse_without_effect
from ..errors import said
from ..messages.message import Wording
from ..messages.music_words import INSTRUMENT_TITLES
from ..messages.sheets import sheet_in
from ..musicxml.new.document import compose
from ..musicxml.notation.part_list import choose_parts
from ..musicxml.notation.title import title_of
from ..naming import Language, StringMarks
from .annotate import PartReview, bar_range, review_document
from .scores import open_score

SET_POSITIONS = (3, 2, 4, 5)
"""Positions of the progressive set in the order in which they are learned."""


@dataclass(frozen=True)
class Practice:
    """A practice sheet, which parts and plans it is for, which other parts could have one, and remarks on the files.

    Parts of several scores are named by their pieces.
    """

    sheet: Sheet
    plans: tuple[Plan, ...]
    parts: tuple[str, ...]
    others: tuple[str, ...]
    remarks: tuple[str, ...] = ()


_LONGEST_BAR = 250
"""In quarter notes; a written-out cadenza in one bar has about a hundred, and a longer one takes too long to draw."""


def practice(
    data: bytes,
    options: Options,
    wanted: SheetOptions = DEFAULT_SHEET,
    limits: Limits = DEFAULT_LIMITS,
    name: str = "",
) -> Practice:
    """Return the practice sheet for a score: for the parts that are named, or the first for the instrument.

    Args:
        data: the score.
        options: part, level, bars and whatever else decides the plan.
        wanted: what stands on the sheet.
        limits: what is opened.
        name: what the file is called; its ending tells formats that the content does not.

    Raises:
        ScoreError: the score cannot be read, has no such part, bar, proposal or exercise.
    """
    whole = _whole_sheet(data, options, wanted, limits, name)
    return replace(whole, sheet=arranged(whole.sheet, wanted))


def class_practice(scores: Sequence[tuple[str, bytes]], options: Options, wanted: SheetOptions) -> Practice:
    """Return one practice sheet for several scores, each on a page of its own.

    Args:
        scores: names of the files, which stand where a score has no title, and contents.
        options: part, level and whatever else decides the plans.
        wanted: what stands on the sheet.

    Raises:
        ScoreError: as for `practice`.
    """
    found = [_whole_sheet(data, options, wanted, DEFAULT_LIMITS, name, PurePath(name).stem) for name, data in scores]
    title = english("Practice card") if wanted.form is SheetForm.CARD else english("Practice sheet")
    named = [_named_by_piece(each.sheet) for each in found]
    together = sheets_together(named, title)
    return Practice(
        arranged(together, wanted),
        tuple(plan for each in found for plan in each.plans),
        tuple(joined((sheet.title, sheet.subtitle), ", ") for sheet in named),
        (),
        tuple(dict.fromkeys(remark for each in found for remark in each.remarks)),
    )


def arranged(sheet: Sheet, wanted: SheetOptions) -> Sheet:
    """Return the sheet with the exercises that are wanted, its heading, and what the teacher adds.

    Raises:
        ScoreError: `bad-option`, if it has no exercise of that number.
    """
    if wanted.exercises:
        try:
            sheet = chosen_exercises(sheet, wanted.exercises)
        except IndexError:
            numbers = ",".join(map(str, wanted.exercises))
            possible = said("numbers from 1 to {most}", most=len(sheet.exercises))
            raise errors.bad_option("exercises", numbers, possible) from None
    sheet = replace(sheet, pupil=wanted.pupil, note=wanted.remark)
    if not wanted.heading:
        return sheet
    # Under a heading of the teacher's the piece is still named.
    return replace(sheet, title=wanted.heading, subtitle=joined((_piece_of(sheet), sheet.subtitle), ", "))


def _whole_sheet(
    data: bytes, options: Options, wanted: SheetOptions, limits: Limits, name: str, untitled: str = ""
) -> Practice:
    refuse_without_effect(options)
    score = open_score(data, options, limits, name)
    document = score.document
    listings = choose_parts(document.root, options.instrument, options.part)
    chosen = listings if options.part else listings[:1]
    title = title_of(document.root) or untitled
    parts = review_document(
        document, options.model_copy(update={"part": tuple(listing.id for listing in chosen)}), rules=()
    )
    sheets = [_part_sheet(part, title, options, wanted) for part in parts]
    sheet = sheets[0]
    if len(sheets) > 1:
        sheet = sheets_together([replace(each, title="") for each in sheets], sheet.title)
    plans = tuple(part.review.plan for part in parts)
    return Practice(sheet, plans, tuple(map(str, chosen)), tuple(map(str, listings[len(chosen) :])), score.remarks)


def _part_sheet(part: PartReview, title: str, options: Options, wanted: SheetOptions) -> Sheet:
    _refuse_endless_bars(part.passage)
    plan = part.review.plan
    chosen = _excursions(part, wanted.proposal) if wanted.proposal else None
    slight: tuple[int, ...] = ()
    if chosen is None and not wanted.variants:
        slight = _hardly_worth_it(part)
    if options.measures is not None:
        first, last = bar_range(part.passage, "measures", options.measures)
        inside = [n for n, e in enumerate(plan.excursions) if _touches(plan, e, first, last)]
        chosen = inside if chosen is None else [number for number in chosen if number in inside]
    if wanted.form is SheetForm.CARD:
        return practice_card(plan, title, chosen, options.fingers)
    return practice_sheet(plan, title, chosen, wanted.most or None, options.fingers, slight, variants=wanted.variants)


def _hardly_worth_it(part: PartReview) -> tuple[int, ...]:
    """The numbers of the excursions that are nearly as easy in first position; none if all are."""
    planned, excursions = part.review.planned, part.review.plan.excursions
    # Another reason than ease is one by itself: notes out of reach, the tone of a long note.
    for_ease = [each.excursion for each in planned.proposals if set(each.reasons) <= {Reason.EASE}]
    found = tuple(excursions.index(each) for each in for_ease if is_nearly_as_easy_at_home(planned, each))
    return found if len(found) < len(excursions) else ()


def _touches(plan: Plan, excursion: Excursion, first: int, last: int) -> bool:
    """Whether an excursion shares a bar with a range of them."""
    return plan.event(excursion.first).measure <= last and first <= plan.event(excursion.last).measure


def _named_by_piece(sheet: Sheet) -> Sheet:
    return replace(sheet, title=_piece_of(sheet) or str(sheet.title))


def _piece_of(sheet: Sheet) -> str:
    """The title of the piece that a sheet is for; empty if it has none."""
    return str(sheet.title.parts.get("title", "")) if isinstance(sheet.title, Text) else ""


def _refuse_endless_bars(passage: Passage) -> None:
    """Refuse a part with an absurdly long bar, which wrong <divisions> cause."""
    for measure in passage.measures:
        if measure.beats > _LONGEST_BAR:
            raise errors.ScoreError(
                "endless-bar",
                said(
                    "Bar {label} lasts {beats} quarter notes.",
                    label=measure.label,
                    beats=f"{float(measure.beats):,.0f}",
                ),
                said("Correct its durations or <divisions>."),
                said("part {part}, bar {label}", part=passage.part, label=measure.label),
            )


def progressive(key: str, positions: Iterable[int] = (), instrument: str = "violin") -> Sheet:
    """Return the progressive set in a key, for second to fifth position or some of them.

    Raises:
        ScoreError: `bad-option`, if there is no such key or position.
    """
    try:
        named = Key.named(key)
    except ValueError:
        raise errors.bad_option("key", key, said("a key such as D, Bb, F#m or Am")) from None
    wanted = tuple(positions) or SET_POSITIONS
    if not set(wanted) <= set(SET_POSITIONS):
        given = ",".join(map(str, wanted))
        raise errors.bad_option(
            "positions", given, said("positions that the set has: second, third, fourth and fifth (for example 3,2)")
        )
    try:
        return progressive_set(named, wanted, INSTRUMENTS[instrument])
    except ValueError:
        raise errors.bad_option("key", key, said("a key with up to four sharps or flats")) from None


def written(
    sheet: Sheet,
    form: SheetFormat,
    language: Language,
    paper: Paper = Paper.A4,
    strings: StringMarks = StringMarks.WORDS,
    week: bool = True,
    marks: Language | None = None,
) -> bytes:
    """Return a sheet as MusicXML, as a page to print, or as MIDI.

    Args:
        sheet: what stands on it.
        form: what it is given out as.
        language: of its texts.
        paper: what a page is cut for.
        strings: how strings are printed.
        week: whether a page has a plan for the week.
        marks: language of the position words; that of the texts if there is none.
    """
    wording = Wording(language)
    sheet, marks = sheet_in(wording, sheet), marks or language
    if form is SheetFormat.MUSICXML:
        return compose(sheet, marks, strings, part_name=wording.say(INSTRUMENT_TITLES[sheet.instrument.name]))
    if form is SheetFormat.MIDI:
        from ..drawing.sheet_midi import as_midi

        return as_midi(sheet)
    from ..drawing.sheet_page import as_page

    return as_page(sheet, marks, paper.value, week, wording).encode()


def render_practice(
    data: bytes, options: Options, wanted: SheetOptions, limits: Limits, name: str = ""
) -> tuple[bytes, tuple[str, ...]]:
    """Return the written practice sheet for a score and the remarks on it, in one call for a planner process.

    Raises:
        ScoreError: as for `practice`.
    """
    found = practice(data, options, wanted, limits, name)
    return written_as_wanted(found.sheet, options, wanted), found.remarks


def written_as_wanted(sheet: Sheet, options: Options, wanted: SheetOptions) -> bytes:
    """Return a sheet as the options want it: format, languages, paper."""
    language = wanted.sheet_language or options.language
    marks, week = options.mark_language or language, wanted.week
    return written(sheet, wanted.format, language, wanted.paper, options.strings, week, marks)


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
            possible = said("none: this plan proposes nothing")
            if found:
                possible = said("a number from 1 to {most}", most=len(found))
            raise errors.bad_option("proposal", str(number), possible)
    return [part.review.plan.excursions.index(found[number - 1].excursion) for number in proposals]


__all__ = [
    "Practice",
    "arranged",
    "class_practice",
    "practice",
    "progressive",
    "render_practice",
    "render_progressive",
    "written",
    "written_as_wanted",
]
