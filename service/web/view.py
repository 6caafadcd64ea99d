"""What the page is told about a score: the plan of one part, what sounds when, and the pictures.

The review itself is the one of every other door; here is only what a picture needs besides.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from rules import Excursion, Fingers, Plan

from .. import errors
from ..annotate import PartReview, bar_range, review_document
from ..engraving import Layout, engrave, engraving_copy
from ..musicxml.container import Document, open_document
from ..musicxml.limits import DEFAULT_LIMITS
from ..musicxml.marks import Printing, marks_for
from ..musicxml.parts import choose_parts, list_parts
from ..musicxml.splice import clean as cleaned
from ..musicxml.splice import insert
from ..options import Options, PrintedMarks
from ..reports.review_json import review_data
from ..reports.sentences import bars


@dataclass(frozen=True)
class View:
    """One part of a score, planned and marked."""

    document: Document
    part: PartReview
    options: Options


def open_view(data: bytes, options: Options) -> View:
    """Plan the one part that is shown: the first one chosen.

    Raises:
        ScoreError: as for `annotate`.
    """
    document = open_document(data, DEFAULT_LIMITS, prepare=cleaned)
    chosen = choose_parts(document.root, options.instrument, options.part)[0].id
    part = review_document(document, replace(options, part=(chosen,)))[0]
    return View(document, part, options)


def score_facts(data: bytes, instrument: str) -> dict[str, Any]:
    """Return title, kind, and the parts of a score, with those that suit the instrument.

    Raises:
        ScoreError: the score cannot be read.
    """
    document = open_document(data, DEFAULT_LIMITS, prepare=cleaned)
    root = document.root
    try:
        suited = [listing.id for listing in choose_parts(root, instrument)]
    except errors.ScoreError:
        suited = []
    return {
        "kind": document.kind,
        "title": (root.findtext("work/work-title") or root.findtext("movement-title") or "").strip(),
        "composer": (root.findtext("identification/creator[@type='composer']") or "").strip(),
        "parts": [
            {"id": p.id, "name": p.name or p.id, "instrument": p.instrument, "notes": p.notes}
            for p in list_parts(root)
            if p.notes
        ],
        "suited": suited,
    }


def view_data(view: View) -> dict[str, Any]:
    """Return the review of the part with what the page needs besides: excursions, sounds, bars."""
    plan = view.part.review.plan
    data: dict[str, Any] = review_data([view.part])["parts"][0]
    data["excursions"] = [_excursion(view, plan, excursion) for excursion in plan.excursions]
    data["sounds"] = [_sound(plan, index) for index in range(len(plan.passage.events))]
    data["bars"] = [measure.label for measure in plan.passage.measures]
    data["fifths"] = [measure.fifths for measure in plan.passage.measures]
    data["quarter_tempo"] = plan.passage.quarter_tempo
    data["open_strings"] = [
        {"string": string, "pitch": plan.passage.instrument.open_pitch(string).name, "midi": pitch.midi}
        for string, pitch in enumerate(plan.passage.instrument.open_strings, start=1)
    ]
    home = {placed.note.row: placed for placed in view.part.review.planned.home.rows}
    for row in data["plan"]:
        stop = home[row["index"]].stop if row["index"] in home else None
        row["home"] = None if stop is None else {"string": stop.string, "finger": stop.finger}
    return data


def _excursion(view: View, plan: Plan, excursion: Excursion) -> dict[str, Any]:
    proposals = view.part.review.planned.proposals
    number = next((n for n, p in enumerate(proposals, start=1) if p.excursion == excursion), None)
    rows = _rows(plan, range(excursion.first, excursion.last + 1))
    first, last = (plan.event(index).measure for index in (excursion.first, excursion.last))
    return {
        "proposal": number,
        "bars": bars(plan, excursion.first, excursion.last),
        "measures": [first, last],
        "positions": list(excursion.positions),
        "rows": rows,
        "arrivals": [
            {"rows": _rows(plan, [shift.arrival]), "from": shift.start, "to": shift.goal} for shift in excursion.shifts
        ],
        "fifths": plan.passage.measures[first].fifths,
    }


def _rows(plan: Plan, events: Sequence[int]) -> list[int]:
    return sorted(note.row for index in events for note in plan.event(index).notes if note.row is not None)


def _sound(plan: Plan, index: int) -> dict[str, Any]:
    event = plan.event(index)
    return {
        "measure": event.measure,
        "onset": float(event.onset),
        "grace": event.grace,
        "slurred": event.slurred,
        "notes": [{"row": n.row, "midi": n.pitch.midi, "beats": float(n.beats)} for n in event.notes],
    }


def view_pages(view: View, layout: Layout) -> Iterator[str]:
    """Yield the marked part as pages."""
    return engrave(_marked_copy(view, view.part.review.plan, _printing(view), "", layout.height > 0), layout)


def compared(view: View, measures: tuple[str, str], layout: Layout) -> dict[str, list[str]]:
    """Return the bars at hand twice, every finger printed: in first position, and as planned.

    Raises:
        ScoreError: `unknown-bar`, if the part has no such bar.
    """
    first, last = bar_range(view.part.passage, "measures", measures)
    printing = replace(_printing(view), fingers=Fingers.ALL, measures=(first, last), replace=True)
    found = {}
    for seed, (name, plan) in enumerate(
        (("home", view.part.review.planned.home), ("plan", view.part.review.plan)), start=2
    ):
        copy = _marked_copy(view, plan, printing, f"{name}-", False)
        found[name] = list(engrave(copy, layout, (first + 1, last + 1), seed))
    return found


def _marked_copy(view: View, plan: Plan, printing: Printing, prefix: str, title: bool) -> str:
    places = view.part.reading.places
    marked = insert(view.document.working, list(marks_for(plan, places, printing)))
    rows = {places[placed.note.id].note: placed.note.row for placed in plan.rows if placed.note.row is not None}
    root = open_document(marked, DEFAULT_LIMITS).root
    return engraving_copy(root, view.part.passage.part, rows, prefix, title)


def _printing(view: View) -> Printing:
    options = view.options
    return Printing(
        fingers=options.fingers,
        language=options.language,
        range_lines=options.range_lines,
        shift_lines=options.shift_lines,
        replace=options.printed is PrintedMarks.REPLACE,
    )
