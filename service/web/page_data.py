"""What the page shows of a score, as plain functions for a planner process: bytes and options in, texts out.

The plan for the eye and the ear, and the copies of the score that the pictures are drawn from.
"""

from __future__ import annotations

import base64
from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, NamedTuple
from weakref import WeakKeyDictionary

from rules import Fingers, NoteChoice, Passage, Plan, PrintingMemory, note_choices

from .. import errors
from ..config.file_limits import Limits
from ..config.options import Options
from ..drawing.engraving import Layout, PreparedScore, engrave, prepare_for_engraver
from ..drawing.missing_signs import MissingSign, missing_signs, signs_added
from ..drawing.redrawing import Drawings
from ..drawing.score_pieces import bars_for_first_cut, piece_count, pieces
from ..errors import said
from ..messages.message import Wording
from ..messages.music_words import bars_words
from ..musicxml.file.container import Document
from ..musicxml.file.elements import Mark
from ..musicxml.notation.part_list import choose_parts, list_parts
from ..musicxml.notation.title import composer_of, title_of
from ..musicxml.write.marks import Printing, marks_for
from ..musicxml.write.splice import insert
from ..naming import Language, StringMarks
from ..reports.player.report import text_report
from ..reports.wire.review_data import review_json
from ..usecases.annotate import PartReview, bar_range, printing_of, review_score
from ..usecases.kept_scores import KeptScores
from ..usecases.scores import MUSICXML, open_score
from .marked_bars import BarsOfPart, MarkedBars
from .plan_texts import PlanTexts, part_element

_FIRST_BARS, _FLOWING_BARS, _PAGED_BARS = 60, 300, 900
_COMPARED_SEED = 1_000_000
_SCORES = KeptScores()
_DRAWINGS = Drawings()
_TEXTS: WeakKeyDictionary[Passage, dict[Language, PlanTexts]] = WeakKeyDictionary()
_MISSING: WeakKeyDictionary[Passage, tuple[MissingSign, ...]] = WeakKeyDictionary()
_PRINTED: WeakKeyDictionary[Passage, PrintingMemory] = WeakKeyDictionary()
_ROWS: WeakKeyDictionary[Passage, dict[int, int]] = WeakKeyDictionary()
"""By passage, the row of the plan by the ordinal of the `<note>` in the document."""
_PIECES: WeakKeyDictionary[Passage, MarkedBars] = WeakKeyDictionary()


@dataclass(frozen=True)
class _View:
    """One part of a score, planned."""

    document: Document
    part: PartReview
    options: Options

    @property
    def texts(self) -> PlanTexts:
        """What the page gets to read of the plan."""
        passage, language = self.part.passage, self.options.language
        known = _TEXTS.setdefault(passage, {})
        if language not in known:
            known[language] = PlanTexts(passage, part_element(self.document, passage), language)
        return known[language]

    @property
    def missing(self) -> tuple[MissingSign, ...]:
        """Signs that the part lacks and that are drawn."""
        passage = self.part.passage
        if passage not in _MISSING:
            _MISSING[passage] = missing_signs(part_element(self.document, passage))
        return _MISSING[passage]

    @property
    def rows(self) -> dict[int, int]:
        """The row of the plan by the ordinal of the `<note>` in the document."""
        passage, places = self.part.passage, self.part.reading.places
        if passage not in _ROWS:
            _ROWS[passage] = {places[note.id].note: note.row for note in passage.notes if note.row is not None}
        return _ROWS[passage]

    @property
    def pieces(self) -> MarkedBars:
        """The music as it was cut last."""
        passage = self.part.passage
        if passage not in _PIECES:
            _PIECES[passage] = MarkedBars(BarsOfPart(self.document, passage.part, self.rows, self.missing))
        return _PIECES[passage]

    def marks(self, plan: Plan, printing: Printing) -> tuple[Mark, ...]:
        """What is drawn of a plan of the part."""
        reading = self.part.reading
        # The copy draws string elements as numerals itself, on chords too.
        printing = replace(printing, strings=StringMarks.ELEMENTS)
        memory = _PRINTED.setdefault(self.part.passage, PrintingMemory())
        return marks_for(plan, reading.places, printing, reading.outdated, memory)


def opened(data: bytes, name: str, options: Options, limits: Limits) -> dict[str, Any]:
    """Return what is in a score: kind, title, composer, its parts and those that suit the instrument.

    A score in another format is converted: the MusicXML is sent along in base64 as `converted`. What is to be said of
    the file stands in `remarks`, and the tunes of a collection in `tunes`.

    Raises:
        ScoreError: the score cannot be read.
    """
    score = open_score(data, options, limits, name)
    document, root = score.document, score.document.root
    try:
        suited = [listing.id for listing in choose_parts(root, options.instrument)]
    except errors.ScoreError:
        suited = []
    return {
        "kind": document.kind,
        "title": title_of(root),
        "composer": composer_of(root),
        "parts": [
            {"id": p.id, "name": p.name or p.id, "instrument": p.instrument, "notes": p.notes}
            for p in list_parts(root)
            if p.notes
        ],
        "suited": suited,
        "converted": None if score.format is MUSICXML else base64.b64encode(document.data).decode("ascii"),
        "remarks": list(map(Wording(options.language).text, score.remarks)),
        "tunes": [{"number": number, "title": title} for number, title in score.tunes],
    }


class MarkedMusic(NamedTuple):
    """The marked part to draw (a long one in pieces), and which signs are drawn that it lacks."""

    scores: list[str]
    added: tuple[str, ...]


class BegunMusic(NamedTuple):
    """The first piece of the marked part, or all if they are known, and how many pieces there are."""

    scores: list[str]
    added: tuple[str, ...]
    piece_count: int


def begun_music(
    data: bytes, options: Options, limits: Limits, paged: bool, remarks: Mapping[int, str] | None = None
) -> BegunMusic:
    """Return the beginning of what `marked_music` returns: the first piece of a long part is there sooner.

    Raises:
        ScoreError: as for `annotate`.
    """
    view, remarks = _planned(data, options, limits), remarks or {}
    bars, first = (_PAGED_BARS, _PAGED_BARS) if paged else (_FLOWING_BARS, _FIRST_BARS)
    enough, own, printing = bars_for_first_cut(first), view.pieces.bars, printing_of(options)
    # Lines that are written or taken out may move the cuts after the first.
    may_move = printing.range_lines or view.part.reading.outdated
    if own.count <= enough or may_move or view.pieces.knows(_how(paged, remarks)):
        music = marked_music(data, options, limits, paged, remarks)
        return BegunMusic(*music, len(music.scores))
    count = piece_count(part_element(view.document, view.part.passage), bars, first)
    root = own.beginning(enough, view.marks(view.part.review.plan, printing), remarks, paged)
    return BegunMusic(pieces(root, bars, first)[:1], signs_added(view.missing), count)


def marked_music(
    data: bytes, options: Options, limits: Limits, paged: bool, remarks: Mapping[int, str] | None = None
) -> MarkedMusic:
    """Plan the one part that is shown, and return its music with marks.

    `paged` is for pages: title and composer are kept, and pieces are longer, since each begins a page. `remarks` are
    written at notes, by rows of the plan; they are drawn, and no file gets them.

    Raises:
        ScoreError: as for `annotate`.
    """
    view = _planned(data, options, limits)
    marks = view.marks(view.part.review.plan, printing_of(options))
    how = _how(paged, remarks or {})
    scores = view.pieces.again(how, marks, remarks or {})
    if scores is None:
        root = _marked_copy(view, marks, "", paged, remarks).root
        scores = pieces(root, _PAGED_BARS) if paged else pieces(root, _FLOWING_BARS, _FIRST_BARS)
        view.pieces.keep(how, marks, scores)
    return MarkedMusic(scores, signs_added(view.missing))


def plan_text(data: bytes, options: Options, limits: Limits, added: tuple[str, ...]) -> str:
    """Return the plan of the one part that is shown, as JSON; `added` is what is drawn that the part lacks.

    Raises:
        ScoreError: as for `annotate`.
    """
    view = _planned(data, options, limits)
    return view.texts.plan(view.part, added)


def reviewed(data: bytes, options: Options, limits: Limits) -> str:
    """Return the review of the one part that is shown, as JSON.

    Raises:
        ScoreError: as for `annotate`.
    """
    return review_json((_planned(data, options, limits).part,)).decode("utf-8")


def drawn(score: str, layout: Layout, seed: int) -> list[str]:
    """Return the pictures of a score; what was drawn before is drawn again where it changed."""
    return _DRAWINGS.pictures(score, layout, seed)


def compared(
    data: bytes, options: Options, measures: tuple[str, str], layout: Layout, limits: Limits
) -> dict[str, list[Any]]:
    """Return pictures of the bars at hand, every finger printed: `home` in first position, and `plan` as planned.

    `differs` are the rows that the two forms do not take alike.

    Raises:
        ScoreError: as for `annotate`; `unknown-bar`, if the part has no such bar.
    """
    view = _planned(data, options, limits)
    first, last = bar_range(view.part.passage, "measures", measures)
    printing = replace(printing_of(options), fingers=Fingers.ALL, measures=(first, last), replace=True)
    forms = {"home": view.part.review.planned.home, "plan": view.part.review.plan}
    home = view.part.review.planned.home.by_note
    found: dict[str, list[Any]] = {
        "differs": [
            row.note.row
            for row in view.part.review.plan.rows
            if first <= view.part.review.plan.event(row.event).measure <= last and row.stop != home[row.note.id].stop
        ]
    }
    for seed, (name, plan) in enumerate(forms.items(), start=_COMPARED_SEED):
        copy = _marked_copy(view, view.marks(plan, printing), f"{name}-", False).text
        found[name] = list(engrave(copy, layout, (first + 1, last + 1), seed))
    return found


def choices(data: bytes, options: Options, row: int, limits: Limits) -> dict[str, Any]:
    """Return the ways to take one note (a row of the plan), and what each costs nearby.

    Raises:
        ScoreError: as for `annotate`; `bad-option`, if the part has no such row.
    """
    view = _planned(data, options, limits)
    plan = view.part.review.plan
    if not 0 <= row < len(plan.rows):
        raise errors.bad_option(
            "row", str(row), said("a row of the plan, from 0 to {rows}", rows=max(len(plan.rows) - 1, 0))
        )
    routes = view.part.review.planned.routes
    return {
        "choices": [_choice(Wording(view.part.language), plan, choice) for choice in note_choices(plan, row, routes)]
    }


def _choice(wording: Wording, plan: Plan, choice: NoteChoice) -> dict[str, Any]:
    return {
        "string": choice.stop.string,
        "finger": choice.stop.finger,
        "position": choice.position,
        "within_level": choice.within_level,
        "rise": choice.rise,
        "before": choice.planned.as_mapping(),
        "after": choice.figures.as_mapping(),
        "changed": bars_words(wording, plan, *choice.changed) if choice.changed else "",
    }


def reported(data: bytes, options: Options, name: str, limits: Limits) -> str:
    """Return the review as text.

    Raises:
        ScoreError: as for `annotate`.
    """
    return text_report(name, review_score(data, options, limits))


def _planned(data: bytes, options: Options, limits: Limits) -> _View:
    score = _SCORES.score(data, options, limits)
    part = score.part(options)
    return _View(score.document, part.review(options), options)


def _how(paged: bool, remarks: Mapping[int, str]) -> Hashable:
    """What the pieces depend on besides the marks."""
    return paged, tuple(remarks.items())


def _marked_copy(
    view: _View, marks: Sequence[Mark], prefix: str, title: bool, remarks: Mapping[int, str] | None = None
) -> PreparedScore:
    root = view.document.parse(insert(view.document.working, marks, view.document.note_starts))
    part = view.part.passage.part
    return prepare_for_engraver(root, part, view.rows, prefix, title, remarks or {}, view.missing)
