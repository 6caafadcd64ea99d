"""A practice sheet as a new MusicXML document. Only plain encodings are used: those that programs keep and show."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from math import ceil, lcm
from textwrap import wrap

from lxml import etree
from lxml.etree import SubElement, _Element

from rules import Bar, Exercise, Instrument, Section, Sheet

from ... import __version__
from ...naming import Language, position_word
from .bars import BarWriter, quantity

_HEADER = b'<?xml version="1.0" encoding="UTF-8" standalone="no"?>\n'
_DOCTYPE = (
    b'<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" '
    b'"http://www.musicxml.org/dtds/partwise.dtd">\n'
)
_CLEFS = {"violin": ("G", "2"), "viola": ("C", "3")}
_WIDEST_TEXT = 88
"""Characters of small text that fit above one line of music on a page."""
_LINE = 44.0
"""How much fits on a line: a note counts 1, a bar line 1.5, words below a note a little more."""
_PART = "P1"


def compose(sheet: Sheet, language: Language = Language.ENGLISH) -> bytes:
    """Return the sheet as a MusicXML 4.0 document, position words in `language`."""
    root = etree.Element("score-partwise", version="4.0")
    _head(root, sheet)
    part = SubElement(root, "part", id=_PART)
    _Writer(part, sheet, language).write()
    etree.indent(root, " ")
    return _HEADER + _DOCTYPE + etree.tostring(root, encoding="utf-8") + b"\n"


def compose_exercise(sheet: Sheet, exercise: Exercise, language: Language = Language.ENGLISH) -> bytes:
    """Return the music of one exercise alone, for a page that prints titles and texts itself."""
    bare = replace(exercise, title="", text="", show_tempo=False)
    section = Section("", "", (bare,))
    return compose(replace(sheet, title="", subtitle="", sections=(section,), cautions=()), language)


def _head(root: _Element, sheet: Sheet) -> None:
    title = ", ".join(filter(None, (sheet.title, sheet.subtitle)))
    if title:
        SubElement(root, "movement-title").text = title
    identification = SubElement(root, "identification")
    encoding = SubElement(identification, "encoding")
    SubElement(encoding, "software").text = f"handframe {__version__}"
    for element in ("beam", "accidental"):
        SubElement(encoding, "supports", element=element, type="yes")
    for attribute in ("new-system", "new-page"):
        SubElement(encoding, "supports", element="print", attribute=attribute, type="yes", value="yes")
    parts = SubElement(root, "part-list")
    listed = SubElement(parts, "score-part", id=_PART)
    SubElement(listed, "part-name").text = sheet.instrument.name.title()
    instrument = SubElement(listed, "score-instrument", id=f"{_PART}-I1")
    SubElement(instrument, "instrument-name").text = sheet.instrument.name.title()
    SubElement(instrument, "instrument-sound").text = f"strings.{sheet.instrument.name}"


class _Writer:
    """Writes bar after bar and knows what is in force: key, metre, tempo, the line so far."""

    def __init__(self, part: _Element, sheet: Sheet, language: Language) -> None:
        self._part = part
        self._sheet = sheet
        self._language = language
        self._divisions = lcm(*(note.beats.denominator for exercise in sheet.exercises for note in exercise.notes))
        self._bar: Bar | None = None
        self._number = 0

    def write(self) -> None:
        """Write all sections."""
        for number, section in enumerate(self._sheet.sections):
            for index, exercise in enumerate(section.exercises):
                lines = [("text", line) for line in wrap(exercise.text, _WIDEST_TEXT)]
                lines.insert(0, ("title", exercise.title))
                if index == 0:
                    lines = [*self._section_lines(section, first=number == 0), *lines]
                self._exercise(exercise, lines, new_page=section.new_page and index == 0)

    def _section_lines(self, section: Section, first: bool) -> list[tuple[str, str]]:
        cautions = [("caution", caution) for caution in self._sheet.cautions] if first else []
        text = [("text", line) for line in wrap(section.text, _WIDEST_TEXT)]
        return [*cautions, ("heading", section.heading), *text]

    def _exercise(self, exercise: Exercise, lines: list[tuple[str, str]], new_page: bool) -> None:
        writer = BarWriter(self._divisions, lambda position: position_word(position, self._language))
        breaks = _line_breaks(exercise.bars)
        for index, bar in enumerate(exercise.bars):
            broken = index in breaks
            measure = self._measure()
            if self._number > 1 and (index == 0 or broken):
                page = index == 0 and new_page
                SubElement(measure, "print", {"new-page" if page else "new-system": "yes"})
            self._attributes(measure, bar)
            if index == 0:
                if exercise.show_tempo:
                    _metronome(measure, exercise)
                _words(measure, lines, exercise.tempo)
            writer.write(measure, bar)
            if index == len(exercise.bars) - 1:
                barline = SubElement(measure, "barline", location="right")
                SubElement(barline, "bar-style").text = "light-heavy"

    def _measure(self) -> _Element:
        self._number += 1
        return SubElement(self._part, "measure", number=str(self._number))

    def _attributes(self, measure: _Element, bar: Bar) -> None:
        before, self._bar = self._bar, bar
        new_key, new_meter = before is None or before.fifths != bar.fifths, before is None or before.meter != bar.meter
        if not new_key and not new_meter:
            return
        attributes = SubElement(measure, "attributes")
        if before is None:
            SubElement(attributes, "divisions").text = str(self._divisions)
        if new_key:
            SubElement(SubElement(attributes, "key"), "fifths").text = str(bar.fifths)
        if new_meter:
            time = SubElement(attributes, "time")
            SubElement(time, "beats").text, SubElement(time, "beat-type").text = map(str, bar.meter)
        if before is None:
            _clef(attributes, self._sheet.instrument)


_STYLES = {
    "heading": {"font-size": "15", "font-weight": "bold", "font-style": "normal"},
    "title": {"font-size": "11", "font-weight": "bold", "font-style": "normal"},
    "text": {"font-size": "9", "font-weight": "normal", "font-style": "italic"},
    "caution": {"font-size": "9", "font-weight": "normal", "font-style": "normal"},
}


def _metronome(measure: _Element, exercise: Exercise) -> None:
    direction = SubElement(measure, "direction", placement="above")
    metronome = SubElement(SubElement(direction, "direction-type"), "metronome")
    SubElement(metronome, "beat-unit").text = "quarter"
    if exercise.is_counted_dotted:
        SubElement(metronome, "beat-unit-dot")
    SubElement(metronome, "per-minute").text = str(exercise.beats_per_minute)
    SubElement(direction, "sound", tempo=quantity(exercise.tempo))


def _words(measure: _Element, lines: list[tuple[str, str]], tempo: float) -> None:
    """Write the text lines; programs stack them outward from the staff, so the lowest comes first.

    Each line carries the tempo at which the exercise is played: so it counts as a tempo mark and is set above the
    position words, which belong to the notes.
    """
    for style, text in reversed(lines):
        if not text:
            continue
        direction = SubElement(measure, "direction", placement="above")
        words = SubElement(SubElement(direction, "direction-type"), "words", _STYLES[style])
        words.text = text
        SubElement(direction, "sound", tempo=quantity(tempo))


def _clef(attributes: _Element, instrument: Instrument) -> None:
    sign, line = _CLEFS[instrument.name]
    clef = SubElement(attributes, "clef")
    SubElement(clef, "sign").text = sign
    SubElement(clef, "line").text = line


def _weight(bar: Bar) -> float:
    return 1.5 + sum(
        (1.0 if not note.is_small else 0.5) + (0.6 if note.below else 0.0) + (0.3 if len(note.tones) > 1 else 0.0)
        for note in bar.notes
    )


def _line_breaks(bars: Sequence[Bar]) -> set[int]:
    """The bars that begin a new line: as few lines as fit, about equally full, whole groups of four where it can be."""
    weights = [_weight(bar) for bar in bars]
    lines = max(1, ceil(sum(weights) / _LINE))
    each = ceil(len(bars) / lines)
    if len(bars) % 4 == 0 and each > 4:
        each -= each % 4
    breaks: set[int] = set()
    filled, count = 0.0, 0
    for index, weight in enumerate(weights):
        full = count >= each or filled + weight > 1.25 * _LINE
        if count and full and not _is_bound_over(bars[index - 1]):
            breaks.add(index)
            filled, count = 0.0, 0
        filled, count = filled + weight, count + 1
    return breaks


def _is_bound_over(bar: Bar) -> bool:
    """A half-step bracket does not go over the end of a line."""
    return bar.notes[-1].half_step


def texts(sheet: Sheet) -> Iterator[str]:
    """Yield every line of words that the sheet prints, position words aside."""
    yield from sheet.cautions
    for section in sheet.sections:
        yield from (section.heading, *wrap(section.text, _WIDEST_TEXT))
        for exercise in section.exercises:
            yield from (exercise.title, *wrap(exercise.text, _WIDEST_TEXT))


__all__ = ["compose", "compose_exercise", "texts"]
