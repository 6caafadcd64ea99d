"""The plan of a part as the page reads it, JSON; what a decision leaves as it is is written once."""

from __future__ import annotations

import json
from collections.abc import Callable, Hashable, Mapping, Sequence
from typing import Any

from lxml import etree
from pydantic_core import to_json

from rules import Excursion, FingeredNote, Passage, Plan, Stop, arrival_string

from ..messages.message import Wording
from ..messages.music_words import bars_words, place_words
from ..musicxml.file.container import Document
from ..naming import Language
from ..reports.player.reasons import reason_words
from ..reports.wire.review_data import stop_data
from ..usecases.annotate import PartReview
from .play_order import play_order

_MOST_TEXTS = 20_000
_JSON = json.JSONEncoder(ensure_ascii=False, separators=(",", ":"))


class PlanTexts:
    """Writes the plans of one part in one language."""

    def __init__(self, passage: Passage, part: etree._Element, language: Language) -> None:
        self._wording = Wording(language)
        self._fixed = _texts(_fixed_data(passage, part))
        self._rows: dict[int, tuple[Hashable, str]] = {}
        self._known: dict[Hashable, tuple[str, object]] = {}

    def plan(self, part: PartReview, drawn: Sequence[str]) -> str:
        """Return what the first look needs; figures, anchors, other ways and findings follow with the review."""
        plan, planned = part.review.plan, part.review.planned
        home = {fingered.note.row: fingered.stop for fingered in planned.home.rows}
        numbers = {p.excursion: number for number, p in enumerate(planned.proposals, start=1)}
        if len(self._known) > _MOST_TEXTS:
            self._known.clear()
        rows = [self._row(n, plan, fingered, home.get(fingered.note.row)) for n, fingered in enumerate(plan.rows)]
        excursions = [self._excursion(part, excursion, numbers.get(excursion)) for excursion in plan.excursions]
        lists = {"plan": f"[{','.join(rows)}]", "excursions": f"[{','.join(excursions)}]", "drawn": _text(drawn)}
        return "{" + ",".join(f'"{name}":{text}' for name, text in (self._fixed | lists).items()) + "}"

    def _row(self, number: int, plan: Plan, fingered: FingeredNote, home: Stop | None) -> str:
        """Written from how the note is taken now and in first position; the latest text is known."""
        taken = fingered.stop, fingered.position, home and home.string
        known = self._rows.get(number)
        if known is None or known[0] != taken:
            # Of the plain values of a row pydantic's writer makes the same text as json's, in a third of the time.
            known = self._rows[number] = taken, to_json(_row(self._wording, plan, fingered, home)).decode()
        return known[1]

    def _excursion(self, part: PartReview, excursion: Excursion, number: int | None) -> str:
        """Written from the grips of the excursion as planned and in first position, and the figures of both."""
        planned, events = part.review.planned, slice(excursion.first, excursion.last + 1)
        proposal = planned.proposals[number - 1] if number else None
        figures = (proposal.reasons, proposal.before, proposal.after) if proposal else ()
        grips = planned.plan.grips[events], planned.home.grips[events]
        key = (number, excursion, figures, *(tuple(map(id, each)) for each in grips))
        return self._written(key, grips, lambda: _excursion(self._wording, part, excursion, number))

    def _written(self, key: Hashable, kept: object, make: Callable[[], object]) -> str:
        """The text under a key; `kept` is what the key knows by its identity."""
        if key not in self._known:
            self._known[key] = _text(make()), kept
        return self._known[key][0]


def part_element(document: Document, passage: Passage) -> etree._Element:
    """Return the `<part>` that a passage was read from."""
    return next(element for element in document.root.iterchildren("part") if element.get("id") == passage.part)


def _text(value: object) -> str:
    return _JSON.encode(value)


def _texts(values: Mapping[str, object]) -> dict[str, str]:
    return {name: _text(value) for name, value in values.items()}


def _fixed_data(passage: Passage, part: etree._Element) -> dict[str, Any]:
    """What no decision changes."""
    return {
        "part": passage.part,
        "instrument": passage.instrument.name,
        "sounds": [_sound(passage, index) for index in range(len(passage.events))],
        "bars": [measure.label for measure in passage.measures],
        "order": play_order(part),
        "starts": [float(measure.onset) for measure in passage.measures],
        "meters": [list(measure.time_signature) for measure in passage.measures],
        "fifths": [measure.fifths for measure in passage.measures],
        "quarter_tempo": passage.quarter_tempo,
        "open_strings": [
            {"string": string, "pitch": pitch.name, "midi": pitch.midi}
            for string, pitch in enumerate(passage.instrument.open_strings, start=1)
        ],
    }


def _row(wording: Wording, plan: Plan, fingered: FingeredNote, home: Stop | None) -> dict[str, Any]:
    return {
        **stop_data(plan, fingered),
        "place": place_words(wording, plan, fingered.event),
        "home_string": None if home is None else home.string,
    }


def _excursion(wording: Wording, part: PartReview, excursion: Excursion, number: int | None) -> dict[str, Any]:
    plan, planned = part.review.plan, part.review.planned
    proposal = planned.proposals[number - 1] if number else None
    fingered = [plan.by_note[note.id] for index in excursion.events for note in plan.event(index).notes]
    measures = [plan.event(index).measure for index in (excursion.first, excursion.last)]
    anchors = proposal.anchors.get(excursion.spans[0].position, {}) if proposal else {}
    arrival = arrival_string(plan, excursion.spans[0]) or 0
    return {
        "proposal": number,
        "reasons": [reason_words(wording, planned, proposal, reason) for reason in proposal.reasons]
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


def _sound(passage: Passage, index: int) -> dict[str, Any]:
    event = passage.events[index]
    return {
        "measure": event.measure,
        "onset": float(event.onset),
        "grace": event.grace,
        "tempo": _tempo(passage, index),
        "slurred": event.slurred,
        "notes": [{"row": n.row, "midi": n.pitch.midi, "beats": float(n.beats)} for n in event.notes],
    }


def _tempo(passage: Passage, index: int) -> float:
    """Quarter notes a minute while an event sounds; 0 for a grace note, which has no time of its own."""
    event = passage.events[index]
    events = passage.events
    following = events[index + 1].onset if index + 1 < len(events) else event.onset + event.beats
    beats = min(event.beats, following - event.onset)
    return round(60 * float(beats) / event.seconds, 3) if beats > 0 and event.seconds > 0 else 0.0
