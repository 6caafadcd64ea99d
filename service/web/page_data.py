"""What the page shows of a score, as plain functions for a planner process: bytes and options in, texts out.

The plan for the eye and the ear, and the copies of the score that the pictures are drawn from.
"""

from __future__ import annotations

import base64
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

from lxml import etree

from rules import Excursion, FingeredNote, Fingers, NoteChoice, Plan, Stop, arrival_string, note_choices

from .. import errors
from ..config.file_limits import Limits
from ..config.options import Options
from ..drawing.engraving import EngravingCopy, Layout, engrave, engraving_copy
from ..drawing.score_pieces import pieces
from ..errors import said
from ..messages.message import Wording
from ..messages.music_words import bars_words, place_words
from ..musicxml.file.container import Document, open_document
from ..musicxml.notation.part_list import choose_parts, list_parts
from ..musicxml.write.marks import Printing, marks_for
from ..musicxml.write.splice import insert
from ..naming import StringMarks
from ..reports.player.reasons import reason_words
from ..reports.player.report import text_report
from ..reports.wire.review_data import review_json, stop_data
from ..usecases.annotate import PartReview, bar_range, printing_of, review_score
from ..usecases.kept_scores import KeptScores
from ..usecases.scores import MUSICXML, open_score
from .play_order import play_order

_FIRST_BARS, _FLOWING_BARS, _PAGED_BARS = 60, 300, 900
_COMPARED_SEED = 1_000_000
_SCORES = KeptScores()


@dataclass(frozen=True)
class _View:
    """One part of a score, planned."""

    document: Document
    part: PartReview
    options: Options
    limits: Limits


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
        "title": (root.findtext("work/work-title") or root.findtext("movement-title") or "").strip(),
        "composer": (root.findtext("identification/creator[@type='composer']") or "").strip(),
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


class PlannedView(NamedTuple):
    """A planned part: the plan as JSON, and the marked part to draw (a long one in pieces)."""

    plan: str
    scores: list[str]


def planned_view(
    data: bytes, options: Options, limits: Limits, paged: bool, remarks: Mapping[int, str] | None = None
) -> PlannedView:
    """Return the plan of the one part that is shown.

    `paged` is for pages: title and composer are kept, and pieces are longer, since each begins a page. `remarks` are
    written at notes, by rows of the plan; they are drawn, and no file gets them.

    Raises:
        ScoreError: as for `annotate`.
    """
    view = _planned(data, options, limits)
    copy, added = _marked_copy(view, view.part.review.plan, printing_of(options), "", paged, remarks)
    plan = json.dumps({**_view_data(view), "drawn": added}, ensure_ascii=False, separators=(",", ":"))
    scores = pieces(copy, _PAGED_BARS) if paged else pieces(copy, _FLOWING_BARS, _FIRST_BARS)
    return PlannedView(plan, scores)


def reviewed(data: bytes, options: Options, limits: Limits) -> str:
    """Return the review of the one part that is shown, as JSON.

    Raises:
        ScoreError: as for `annotate`.
    """
    return review_json((_planned(data, options, limits).part,)).decode("utf-8")


def drawn(score: str, layout: Layout, seed: int) -> list[str]:
    """Return the pictures of a score."""
    return list(engrave(score, layout, seed=seed))


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
        copy = _marked_copy(view, plan, printing, f"{name}-", False).score
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
    return _View(score.document, score.part(options).review(options), options, limits)


def _view_data(view: _View) -> dict[str, Any]:
    """What the first look needs; figures, anchors, other ways and findings follow with the review."""
    plan, passage, wording = view.part.review.plan, view.part.passage, Wording(view.part.language)
    home = {fingered.note.row: fingered.stop for fingered in view.part.review.planned.home.rows}
    return {
        "part": passage.part,
        "instrument": passage.instrument.name,
        "plan": [_row(wording, plan, fingered, home.get(fingered.note.row)) for fingered in plan.rows],
        "excursions": [_excursion(view, plan, excursion) for excursion in plan.excursions],
        "sounds": [_sound(plan, index) for index in range(len(passage.events))],
        "bars": [measure.label for measure in passage.measures],
        "order": play_order(_part_element(view)),
        "starts": [float(measure.onset) for measure in passage.measures],
        "meters": [list(measure.time_signature) for measure in passage.measures],
        "fifths": [measure.fifths for measure in passage.measures],
        "quarter_tempo": passage.quarter_tempo,
        "open_strings": [
            {"string": string, "pitch": pitch.name, "midi": pitch.midi}
            for string, pitch in enumerate(passage.instrument.open_strings, start=1)
        ],
    }


def _part_element(view: _View) -> etree._Element:
    part = view.part.passage.part
    return next(element for element in view.document.root.iterchildren("part") if element.get("id") == part)


def _row(wording: Wording, plan: Plan, fingered: FingeredNote, home: Stop | None) -> dict[str, Any]:
    return {
        **stop_data(plan, fingered),
        "place": place_words(wording, plan, fingered.event),
        "home_string": None if home is None else home.string,
    }


def _excursion(view: _View, plan: Plan, excursion: Excursion) -> dict[str, Any]:
    proposals = view.part.review.planned.proposals
    number = next((n for n, p in enumerate(proposals, start=1) if p.excursion == excursion), None)
    fingered = [plan.by_note[note.id] for index in excursion.events for note in plan.event(index).notes]
    measures = [plan.event(index).measure for index in (excursion.first, excursion.last)]
    proposal = proposals[number - 1] if number else None
    anchors = proposal.anchors.get(excursion.spans[0].position, {}) if proposal else {}
    arrival = arrival_string(plan, excursion.spans[0]) or 0
    wording = Wording(view.part.language)
    return {
        "proposal": number,
        "reasons": [reason_words(wording, view.part.review.planned, proposal, reason) for reason in proposal.reasons]
        if proposal
        else [],
        "bars": bars_words(wording, plan, excursion.first, excursion.last),
        "measures": measures,
        "positions": list(excursion.positions),
        "rows": _rows(plan, excursion.events),
        "pins": [
            # Over an open string too the hand stays where it is.
            f"n{p.note.row}:finger={p.stop.finger},string={p.stop.string},position={grip.position}"
            for p in fingered
            if p.stop is not None and p.note.row is not None and (grip := plan.grip(p.event)) is not None
        ],
        "arrivals": [
            {"rows": _rows(plan, [shift.arrival]), "from": shift.start, "to": shift.goal} for shift in excursion.shifts
        ],
        "anchor_midi": anchors[arrival].midi if arrival in anchors else None,
        "fifths": plan.passage.measures[measures[0]].fifths,
    }


def _rows(plan: Plan, events: Sequence[int]) -> list[int]:
    return sorted(note.row for index in events for note in plan.event(index).notes if note.row is not None)


def _sound(plan: Plan, index: int) -> dict[str, Any]:
    event = plan.event(index)
    return {
        "measure": event.measure,
        "onset": float(event.onset),
        "grace": event.grace,
        "tempo": _tempo(plan, index),
        "slurred": event.slurred,
        "notes": [{"row": n.row, "midi": n.pitch.midi, "beats": float(n.beats)} for n in event.notes],
    }


def _tempo(plan: Plan, index: int) -> float:
    """Quarter notes a minute while an event sounds; 0 for a grace note, which has no time of its own."""
    event = plan.event(index)
    events = plan.passage.events
    following = events[index + 1].onset if index + 1 < len(events) else event.onset + event.beats
    beats = min(event.beats, following - event.onset)
    return round(60 * float(beats) / event.seconds, 3) if beats > 0 and event.seconds > 0 else 0.0


def _marked_copy(
    view: _View,
    plan: Plan,
    printing: Printing,
    prefix: str,
    title: bool,
    remarks: Mapping[int, str] | None = None,
) -> EngravingCopy:
    places = view.part.reading.places
    # The copy draws string elements as numerals itself, on chords too.
    printing = replace(printing, strings=StringMarks.ELEMENTS)
    marked = insert(view.document.working, list(marks_for(plan, places, printing, view.part.reading.outdated)))
    rows = {places[fingered.note.id].note: fingered.note.row for fingered in plan.rows if fingered.note.row is not None}
    root = open_document(view.document.rebuild(marked)).root  # the marks may lead beyond a limit on what is sent
    return engraving_copy(root, view.part.passage.part, rows, prefix, title, remarks or {})
