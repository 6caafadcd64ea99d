"""A practice sheet as a page to print: titles and texts in HTML, the music engraved, the fingerboard beside it.

The page is one file that needs nothing else.
"""

from __future__ import annotations

import base64
import hashlib
import zlib
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from lxml import etree

from rules import (
    Exercise,
    Key,
    Section,
    Sheet,
    SheetForm,
    as_heard,
    card_width,
    fingerboard_in,
    joined,
    week_plan,
    without_sections,
)

from ..messages.message import Wording
from ..messages.sheets import DAYS, NO_ROOM, PAGE_WORDS
from ..musicxml.new.document import compose_exercise
from ..naming import Language
from .chart import chart_svg
from .engraving import STAFF_HEIGHT, Layout, engrave, show_strings
from .note_sign import note_sign
from .page_fit import HALF, WIDTH_MILLIMETRES, ends_of_full_pages, room_between
from .sheet_sounds import sounds_of
from .text_overlaps import overlaps

_STAFF_MILLIMETRES = 6.1
"""Height of a staff in print; parts for students have about 7 mm, parts for orchestra about 6."""
_CARD_STAFF_MILLIMETRES = (6.1, 5.4, 5.0, 4.6, 4.2)
"""The same on a card, the largest with which it fits on one page; a study score has about 4 mm."""
_AIRY = (2, 4, 6)
"""Millimetres that are put above each exercise of a card which would leave its page empty below (see the style)."""
_BETWEEN_LINES = 4
"""Half staff spaces between two lines of music: closer than in a score, since digits and words set them apart."""
_EDGE = 12
"""Margin above and below the music of an exercise; its text has a margin of its own."""
_SYSTEM = 'class="system"'
_EQUALS = "\N{NO-BREAK SPACE}=\N{NO-BREAK SPACE}"
_MOST_CHARTS = 3
_MOST_BESIDE = 2
"""Exercises beside a chart: about as high as it is."""
_BESIDE = 0.72
"""Width of the music beside a chart, as a part of the line."""
_USUAL = 0.35
"""How full a single line has to be to be stretched; of several, all are about equally full."""
_KEPT = 256
"""Engraved scores that are kept: of a few long sheets; about 10 MB."""
_ROOMIER = ((1.0, 0.25), (0.8, 0.35), (0.65, 0.5), (0.5, 0.6), (0.35, 0.7), (0.2, 0.8))
"""What is tried one after the other: how much stands on a line, and how far its notes stand apart."""

_STYLE = """
:root { --ink: #1c2426; --faint: #5d6b6b; }
* { box-sizing: border-box; }
body { margin: 0 auto; padding: 12mm 15mm; max-width: 210mm; color: var(--ink); background: #fff;
  font: 10.5pt/1.35 "Source Serif 4", "Noto Serif", "DejaVu Serif", Georgia, serif; }
h1 { font-size: 21pt; line-height: 1.15; margin: 0; font-weight: 600; }
.part { margin: 0 0 3mm; color: var(--faint); font-style: italic; font-size: 12pt; }
.head { display: flex; justify-content: space-between; gap: 8mm; align-items: flex-start; }
.head .charts { margin: 0; flex: none; }
.cautions { margin: 0; padding: 2.5mm 4mm 2.5mm 8mm; border: 0.35mm solid var(--ink); border-radius: 1.5mm;
  font-size: 9.5pt; }
.cautions li { margin: 0.4mm 0; }
h2 { font-size: 14.5pt; margin: 5mm 0 0; padding-top: 2mm; border-top: 0.35mm solid var(--ink); break-after: avoid;
  font-weight: 600; }
.about { margin: 0.5mm 0 1mm; color: var(--faint); break-after: avoid; }
section, .opening { display: flex; flex-wrap: wrap; justify-content: space-between; }
section > *, .opening > * { width: 100%; }
.opening { break-inside: avoid; }
.exercise { break-inside: avoid; margin-top: 2.5mm; line-height: 1.25; }
:is(section, .opening) > .half { width: 49%; }
h3 { font-size: 10.5pt; margin: 0; display: inline; font-weight: 600; }
p.listen { display: inline; font-style: italic; font-size: 9.5pt; margin: 0 0 0 2mm; }
span.tempo { display: inline; margin-left: 2mm; white-space: nowrap; }
span.tempo .note { height: 1.25em; vertical-align: -0.15em; }
.exercise > svg { display: block; width: 100%; height: auto; margin-top: 0.5mm; font-family: inherit; }
.exercise .definition-scale :is(ellipse, path, polygon, polyline, rect) { stroke: currentColor; }
.exercise g.fing, .exercise g.tempo { font-weight: bold; }
.exercise :is(g.dir, g.mNum, g.verse) { font-style: italic; }
.exercise g.placeholder, .exercise g.mNum { visibility: hidden; }
.charts { display: flex; gap: 8mm; margin-top: 5mm; break-inside: avoid; justify-content: center; }
.beside { display: grid; grid-template-columns: 72% 1fr; gap: 4mm; }
.beside > div { min-width: 0; }
.beside .charts { margin-top: 4mm; align-items: flex-start; }
.charts svg { width: auto; height: 58mm; display: block; }
.remark { font-style: italic; }
.pupil { font-size: 13pt; margin: 0 0 1mm; }
.teacher { margin: 0 0 3mm; white-space: pre-line; }
section.week { display: block; }
.week tr { break-inside: avoid; }
.week-head { break-inside: avoid; break-after: avoid; }
.week :is(thead, tbody tr:nth-child(-n+3)) { break-after: avoid; }
.week table { border-collapse: collapse; width: 100%; font-size: 9pt; line-height: 1.2; }
.week th { text-align: left; font-weight: normal; font-style: italic; }
.week th, .week td { border: 0.2mm solid #9aa5a5; padding: 0.6mm 1.5mm; }
.week td.number, .week td.day { text-align: center; }
.week :is(th, td):is(.number, .day) { width: 1px; padding: 0.6mm 0.8mm; white-space: nowrap; }
.week :is(th, td).tempo { width: 33mm; }
.week td.tempo span { white-space: nowrap; }
.box { display: inline-block; width: 3mm; height: 3mm; border: 0.25mm solid var(--ink); vertical-align: -0.4mm; }
.line { display: inline-block; width: 45mm; border-bottom: 0.25mm solid var(--ink); }
.days { margin: 1mm 0 0; font-size: 9.5pt; word-spacing: 1mm; }
.card h1 { font-size: 15pt; }
.card .cautions { border: none; padding: 0; line-height: 1.2; list-style: none; font-size: 8.5pt; }
.card .cautions li { display: inline; }
.card h2 { font-size: 11pt; margin-top: 1.5mm; padding-top: 0.5mm; }
.card .about, .card .part { font-size: 9pt; margin: 0; }
.card .exercise { margin-top: 0.6mm; font-size: 8.5pt; line-height: 1.2; }
.card h3 { font-size: 9pt; }
.card .remark { font-size: 8.5pt; margin: 1mm 0 0; }
.card .pupil { font-size: 11pt; margin: 0; }
.card .teacher { font-size: 9.5pt; margin: 0; }
.card .exercise > svg { margin-top: 0; }
.card .airy-1 .exercise { margin-top: 2.6mm; }
.card .airy-2 .exercise { margin-top: 4.6mm; }
.card .airy-3 .exercise { margin-top: 6.6mm; }
section.fresh { break-before: page; }
section.fresh h2 { border-top: none; margin-top: 0; padding-top: 0; }
@media screen { body { box-shadow: 0 0 4mm #0003; margin: 8mm auto; } }
@media print { body { padding: 0; max-width: none; } }
"""
_PAGE = {
    "a4": "@page { size: A4; margin: 13mm 15mm 15mm; @bottom-center { content: counter(page); font: 9pt serif; } }",
    "letter": "@page { size: letter; margin: 13mm 15mm 15mm; @bottom-center { content: counter(page); "
    "font: 9pt serif; } }",
}


def as_page(
    sheet: Sheet,
    language: Language = Language.BRITISH,
    paper: str = "a4",
    week: bool = True,
    wording: Wording | None = None,
) -> str:
    """Return the sheet as one HTML page.

    Args:
        sheet: what stands on it, in the language of the wording already.
        language: of position words.
        paper: `a4` or `letter`.
        week: whether there is a plan for the week.
        wording: the language of the page; British English if there is none.
    """
    wording = wording or Wording()
    if sheet.form is SheetForm.CARD:
        sheet, sections = _cards(sheet, language, paper, wording)
    else:
        sheet, sections = _pages(sheet, language, paper, wording)
    return _TEMPLATES.get_template("sheet.html").render(
        title=", ".join(filter(None, (sheet.title, sheet.subtitle))),
        style=style(paper),
        sheet=sheet,
        sections=sections,
        lang=wording.language.value,
        words={name: wording.say(message) for name, message in PAGE_WORDS.items()},
        days=[wording.say(day) for day in DAYS],
        week=week_plan(sheet) if week else (),
        is_card=sheet.form is SheetForm.CARD,
    )


_Drawn = tuple[Sheet, list[dict[str, Any]]]


def _pages(sheet: Sheet, language: Language, paper: str, wording: Wording, staff: float = _STAFF_MILLIMETRES) -> _Drawn:
    drawings = _Drawings(sheet, language, paper, staff, wording)
    return sheet, [drawings.section(section) for section in sheet.sections]


def _cards(sheet: Sheet, language: Language, paper: str, wording: Wording) -> _Drawn:
    """A card, or one for each piece, as large as it fits on its page; what fits at no size is left out, and named."""
    drawn: _Drawn = (sheet, [])
    full: list[int] = []
    for staff in _CARD_STAFF_MILLIMETRES:
        drawn = _pages(sheet, language, paper, wording, staff)
        full = ends_of_full_pages(*drawn, paper)
        if not full:
            return _spread(*drawn, paper)
    left_out = [sheet.sections[end] for end in full if end and not sheet.sections[end].new_page]
    if not left_out:
        return drawn
    remarks = (joined((each.piece, wording.say(NO_ROOM, heading=each.heading)), ": ") for each in left_out)
    shorter = without_sections(replace(sheet, remarks=(*sheet.remarks, *remarks)), left_out)
    return _cards(shorter, language, paper, wording)


def _spread(sheet: Sheet, sections: list[dict[str, Any]], paper: str) -> _Drawn:
    """A card whose exercises stand further apart where the page has room."""
    for section, room in zip(sections, room_between(sheet, sections, paper), strict=True):
        section["airy"] = sum(room >= step for step in _AIRY)
    return sheet, sections


def style(paper: str) -> str:
    """Return the style sheet of the page."""
    return _STYLE + _PAGE[paper]


def content_policy(paper: str) -> str:
    """Return a content security policy that allows the page its own style and nothing else."""
    digest = base64.b64encode(hashlib.sha256(style(paper).encode()).digest()).decode()
    return f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"


class _Drawings:
    """The engraved music and the fingerboards of one page."""

    def __init__(self, sheet: Sheet, language: Language, paper: str, staff: float, wording: Wording) -> None:
        self._sheet = sheet
        self._reader = wording.language
        self._language = language
        width = round(WIDTH_MILLIMETRES[paper] * STAFF_HEIGHT / staff)
        self._line = _STAFF_MILLIMETRES / staff
        self._paper = Layout(width=width, breaks="encoded", between=_BETWEEN_LINES, edge=_EDGE)
        self._count = 0
        self._taken: dict[int, Exercise] = {}

    def section(self, section: Section) -> dict[str, Any]:
        """Return what the template needs of a section."""
        charts = self.charts(section)
        beside = section.exercises[:_MOST_BESIDE] if charts else ()
        drawn = [self._exercise(exercise, _BESIDE) for exercise in beside]
        exercises = list(self._in_pairs(section.exercises[len(beside) :]))
        first_row = 1 + (len(exercises) > 1 and exercises[0]["is_half"])
        return {
            "new_page": section.new_page,
            "heading": section.heading,
            "text": section.text,
            "charts": charts,
            "beside": drawn,
            "exercises": exercises,
            # A heading stays on the page of what follows it.
            "opening": 0 if charts else first_row,
            "airy": 0,
        }

    def _in_pairs(self, exercises: Sequence[Exercise]) -> Iterator[dict[str, Any]]:
        """The exercises drawn, two short ones that follow each other side by side."""
        halves = [self._is_short(exercise) for exercise in exercises]
        paired = False
        for number, exercise in enumerate(exercises):
            follows = paired
            paired = not follows and all(halves[number : number + 2]) and number + 1 < len(exercises)
            yield self._exercise(exercise, HALF if follows or paired else 1.0)

    def _is_short(self, exercise: Exercise) -> bool:
        """Whether half the width of the page is enough."""
        if card_width(exercise) >= 1:
            return False
        layout = replace(self._paper, width=round(self._paper.width * HALF))
        _, pictures = self._engraved(exercise, layout, HALF, *_ROOMIER[0])
        return not any(any(overlaps(picture)) or picture.count(_SYSTEM) > 1 for picture in pictures)

    def _exercise(self, exercise: Exercise, width: float) -> dict[str, Any]:
        self._count += 1
        layout = replace(self._paper, width=round(self._paper.width * width))
        return {
            "origin": exercise.origin,
            "sound": sounds_of(as_heard(self._sheet.instrument, exercise)),
            "is_half": width == HALF,
            "title": exercise.heading,
            "text": exercise.text,
            "beat": note_sign(exercise.beat) if exercise.show_tempo else "",
            "tempo": f"{_EQUALS}{exercise.beats_per_minute}" if exercise.show_tempo else "",
            "pictures": self._pictures(exercise, layout, width),
        }

    def _pictures(self, exercise: Exercise, layout: Layout, width: float) -> list[str]:
        """The music, with as few notes on a line as it takes for no text to lie over another."""
        tried = []
        for room, spacing in _ROOMIER:
            score, pictures = self._engraved(exercise, layout, width, room, spacing)
            # More systems than lines: the engraver has broken a line that was too full.
            systems = sum(picture.count(_SYSTEM) for picture in pictures)
            faults = sum(1 for picture in pictures for _ in overlaps(picture)) + (systems > score.count("<print") + 1)
            tried.append((faults, pictures))
            if not faults:
                break
        return min(tried, key=lambda attempt: attempt[0])[1]

    def _engraved(
        self, exercise: Exercise, layout: Layout, width: float, room: float, spacing: float
    ) -> tuple[str, list[str]]:
        """The score of an exercise, and its pictures."""
        score = self._score(exercise, width * room * self._line)
        # One line alone keeps its own width, unless its words need the whole one.
        stretched = 0.0 if "<print" in score or spacing > _ROOMIER[0][1] else _USUAL
        layout = replace(layout, spacing=spacing, stretched=stretched)
        return score, list(_engraved_once(score, layout, self._seed(exercise, score)))

    def _seed(self, exercise: Exercise, score: str) -> int:
        """From which the ids in the pictures of an exercise are made: each id stands once on the page.

        It depends on the music, not on the place: an exercise that moves on the sheet is not engraved again.
        """
        seed = zlib.crc32(score.encode()) >> 1
        while self._taken.setdefault(seed, exercise) is not exercise:
            seed += 1
        return seed

    def _score(self, exercise: Exercise, width: float) -> str:
        """The music for the engraver, without the names of the part, which the page prints itself."""
        root = etree.fromstring(compose_exercise(self._sheet, exercise, self._language, width))
        show_strings([*root.iter("string")])
        for name in root.iter("part-name", "instrument-name"):
            name.text = ""
        return etree.tostring(root, encoding="unicode")

    def charts(self, section: Section) -> list[str]:
        """Return the fingerboards of a section, every id once on the page."""
        drawings = []
        for position in section.charts[:_MOST_CHARTS]:
            board = fingerboard_in(self._sheet.instrument, position, Key(section.fifths, section.minor))
            drawing = chart_svg(board, (), self._reader)
            drawings.append(drawing.replace("chart-t", f"chart-{self._count}-{position}-t"))
        return drawings


@lru_cache(maxsize=_KEPT)
def _engraved_once(score: str, layout: Layout, seed: int) -> tuple[str, ...]:
    """The pictures of a score: a teacher who changes a heading or drops an exercise waits for the others only once."""
    return tuple(engrave(score, layout, seed=seed))


_TEMPLATES = Environment(
    loader=FileSystemLoader(Path(__file__).parent / "templates"),
    autoescape=True,
    undefined=StrictUndefined,
    trim_blocks=True,
    lstrip_blocks=True,
)

__all__ = ["as_page", "content_policy", "style"]
