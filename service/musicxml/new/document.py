"""A practice sheet as a new MusicXML document. Only plain encodings are used: those that programs keep and show."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from math import ceil, lcm
from textwrap import wrap

from lxml import etree
from lxml.etree import SubElement, _Element

from rules import Bar, Exercise, Instrument, Section, Sheet, bar_length

from ... import __version__
from ...naming import Language, StringMarks, position_word
from .bars import BarWriter, note_type, quantity

_HEADER = b'<?xml version="1.0" encoding="UTF-8" standalone="no"?>\n'
_DOCTYPE = (
    b'<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" '
    b'"http://www.musicxml.org/dtds/partwise.dtd">\n'
)
_CLEFS = {"violin": ("G", "2"), "viola": ("C", "3")}
_MIDI_PROGRAMS = {"violin": "41", "viola": "42"}
"""General MIDI 1, counted from 1."""
_WIDEST_TEXT = 88
"""Characters of small text that fit above one line of music on a page."""
_LINE = 44.0
"""How much fits on a line: a quarter note counts 1, a bar line 1.5, a position word a little more."""
_WORD = 3.0
"""Room for a note with a position word above it."""
_SPACING = 0.6
"""Engravers give a note of twice the length about one and a half times the room (2 ** 0.6)."""
_ROUNDING = 1e-6
_TOLERANCE = 1.08
"""By how much a line may be fuller than what fits on it: notes move a little closer."""
_LOOSE = 0.9
"""How full a line is made that need not be: a further part goes on the next one."""
_PART = "P1"


def compose(
    sheet: Sheet,
    language: Language = Language.BRITISH,
    strings: StringMarks = StringMarks.WORDS,
    line: float = _LINE,
    part_name: str = "",
) -> bytes:
    """Return the sheet as a MusicXML 4.0 document.

    Args:
        sheet: what stands on it.
        language: of position words.
        strings: how strings are printed.
        line: how much fits on a line.
        part_name: what stands before the first line; the instrument if it is empty.
    """
    root = etree.Element("score-partwise", version="4.0")
    _head(root, sheet, part_name or sheet.instrument.name.title())
    part = SubElement(root, "part", id=_PART)
    _Writer(part, sheet, language, strings, line).write()
    etree.indent(root, " ")
    return _HEADER + _DOCTYPE + etree.tostring(root, encoding="utf-8") + b"\n"


def compose_exercise(
    sheet: Sheet, exercise: Exercise, language: Language = Language.BRITISH, width: float = 1.0
) -> bytes:
    """Return the music of one exercise alone, for a page that prints titles and texts itself.

    Strings are elements, `width` is the width of its lines as a part of those of a page.
    """
    bare = replace(exercise, title="", text="", number=0, show_tempo=False)
    section = Section("", "", (bare,))
    alone = replace(sheet, title="", subtitle="", pupil="", note="", sections=(section,), cautions=())
    return compose(alone, language, StringMarks.ELEMENTS, _LINE * width)


def _head(root: _Element, sheet: Sheet, part_name: str) -> None:
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
    SubElement(listed, "part-name").text = part_name
    instrument = SubElement(listed, "score-instrument", id=f"{_PART}-I1")
    SubElement(instrument, "instrument-name").text = part_name
    SubElement(instrument, "instrument-sound").text = f"strings.{sheet.instrument.name}"
    midi = SubElement(listed, "midi-instrument", id=f"{_PART}-I1")
    SubElement(midi, "midi-program").text = _MIDI_PROGRAMS[sheet.instrument.name]


class _Writer:
    """Writes bar after bar and knows what is in force: key, metre, tempo, the line so far."""

    def __init__(self, part: _Element, sheet: Sheet, language: Language, strings: StringMarks, line: float) -> None:
        self._part = part
        self._sheet = sheet
        self._language = language
        self._strings = strings
        self._line = line
        self._divisions = lcm(*(note.beats.denominator for exercise in sheet.exercises for note in exercise.notes))
        self._bar: Bar | None = None
        self._number = 0

    def write(self) -> None:
        """Write all sections."""
        for number, section in enumerate(self._sheet.sections):
            for index, exercise in enumerate(section.exercises):
                lines = [("text", line) for line in _wrapped(exercise.text)]
                lines.insert(0, ("title", exercise.heading))
                if index == 0:
                    lines = [*self._section_lines(section, first=number == 0), *lines]
                self._exercise(exercise, lines, new_page=section.new_page and index == 0)

    def _section_lines(self, section: Section, first: bool) -> list[tuple[str, str]]:
        text = [("text", line) for line in _wrapped(section.text)]
        if not first:
            return [("heading", section.heading), *text]
        own = [("note", line) for line in (self._sheet.pupil, *_wrapped(self._sheet.note)) if line]
        cautions = [("caution", caution) for caution in self._sheet.cautions]
        return [*own, *cautions, ("heading", section.heading), *text]

    def _exercise(self, exercise: Exercise, lines: list[tuple[str, str]], new_page: bool) -> None:
        writer = BarWriter(self._divisions, lambda position: position_word(position, self._language), self._strings)
        breaks = _line_breaks(exercise.bars, self._line)
        for index, bar in enumerate(exercise.bars):
            measure = self._measure(bar.label)
            if self._number > 1 and (index == 0 or index in breaks):
                page = index == 0 and new_page
                SubElement(measure, "print", {"new-page" if page else "new-system": "yes"})
            if index == 0 and exercise.is_repeated:
                _barline(measure, "left", "heavy-light", "forward")
            self._attributes(measure, bar)
            if index == 0:
                self._beginning(measure, exercise, lines)
            writer.write(measure, bar)
            if index == len(exercise.bars) - 1:
                _barline(measure, "right", "light-heavy", "backward" if exercise.is_repeated else "")
            elif bar.closes:
                _barline(measure, "right", "light-light", "")

    @staticmethod
    def _beginning(measure: _Element, exercise: Exercise, lines: list[tuple[str, str]]) -> None:
        if exercise.dynamic:
            direction = SubElement(measure, "direction", placement="below")
            SubElement(SubElement(SubElement(direction, "direction-type"), "dynamics"), exercise.dynamic)
        if exercise.show_tempo:
            _metronome(measure, exercise)
        _words(measure, lines, exercise.tempo)

    def _measure(self, label: str) -> _Element:
        """The next measure: its number counts on, printed is the number of the bar in the piece, or none."""
        self._number += 1
        shown = {"text": label} if label else {"implicit": "yes"}
        return SubElement(self._part, "measure", {"number": str(self._number), **shown})

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


def _wrapped(text: str) -> list[str]:
    """The lines of a text, about equally long: a word or two alone on the last one could be read as a mark."""
    lines = wrap(text, _WIDEST_TEXT)
    for width in range(len(text) // max(len(lines), 1), _WIDEST_TEXT):
        even = wrap(text, width) if width else lines
        if len(even) == len(lines):
            return even
    return lines


_STYLES = {
    "heading": {"font-size": "15", "font-weight": "bold", "font-style": "normal"},
    "title": {"font-size": "11", "font-weight": "bold", "font-style": "normal"},
    "text": {"font-size": "9", "font-weight": "normal", "font-style": "italic"},
    "note": {"font-size": "11", "font-weight": "normal", "font-style": "normal"},
    "caution": {"font-size": "9", "font-weight": "normal", "font-style": "normal"},
}


def _metronome(measure: _Element, exercise: Exercise) -> None:
    direction = SubElement(measure, "direction", placement="above")
    metronome = SubElement(SubElement(direction, "direction-type"), "metronome")
    name, dots = note_type(exercise.beat)
    SubElement(metronome, "beat-unit").text = name
    for _ in range(dots):
        SubElement(metronome, "beat-unit-dot")
    SubElement(metronome, "per-minute").text = str(exercise.beats_per_minute)
    SubElement(direction, "sound", tempo=quantity(exercise.tempo))


def _barline(measure: _Element, place: str, style: str, repeat: str) -> None:
    barline = SubElement(measure, "barline", location=place)
    SubElement(barline, "bar-style").text = style
    if repeat:
        SubElement(barline, "repeat", direction=repeat)


def _words(measure: _Element, lines: list[tuple[str, str]], tempo: float) -> None:
    """Write the text lines; programs stack them outward from the staff, so the lowest comes first.

    Each line carries the tempo at which the exercise is played: so it counts as a tempo mark and is set above the
    position words, which belong to the notes.
    """
    for style, text in reversed(lines):
        if not text:
            continue
        direction = SubElement(measure, "direction", placement="above")
        kind = SubElement(direction, "direction-type")
        # Names of sections are no words to the player: nothing in them is read as a mark for a note.
        named = style in ("heading", "title", "note")
        line = (
            SubElement(kind, "rehearsal", _STYLES[style] | {"enclosure": "none"})
            if named
            else SubElement(kind, "words", _STYLES[style])
        )
        line.text = text
        SubElement(direction, "sound", tempo=quantity(tempo))


def _clef(attributes: _Element, instrument: Instrument) -> None:
    sign, line = _CLEFS[instrument.name]
    clef = SubElement(attributes, "clef")
    SubElement(clef, "sign").text = sign
    SubElement(clef, "line").text = line


def _weights(bars: Sequence[Bar]) -> list[float]:
    """How wide each bar is."""
    found = []
    position: int | None = None
    for bar in bars:
        weight = 1.5
        for note in bar.notes:
            weight += 0.5 + 0.5 * float(note.beats) ** _SPACING + (0.3 if len(note.tones) > 1 else 0.0)
            if note.name_position or (not (note.is_rest or note.is_open) and note.position != position):
                weight += _WORD - 1.0
                position = note.position
        found.append(weight)
    return found


def _line_breaks(bars: Sequence[Bar], line: float) -> set[int]:
    """The bars that begin a new line: as few lines as fit, all about equally full."""
    weights = _weights(bars)
    parts = _parts(bars, weights)
    if len(parts) > 1 and max(part[1] for part in parts) <= line:
        return _between_parts(parts, line)
    lines = max(1, ceil(sum(weights) / (line * _TOLERANCE)))
    upbeat = _has_upbeat(bars)
    if (len(bars) - upbeat) % 4 == 0 and (len(bars) - upbeat) % lines:
        lines += 1  # eight bars go on two lines or four
    for count in range(lines, len(bars) + 1):
        phrases = _phrases(bars, count, upbeat)
        if phrases and max(_fullness(weights, phrases)) <= line * _TOLERANCE:
            return phrases
        breaks, filled = _filled(bars, weights, sum(weights) / count)
        if max(filled) <= line * _TOLERANCE or count == len(bars):
            return breaks
    return set()


def _has_upbeat(bars: Sequence[Bar]) -> bool:
    return sum((note.beats for note in bars[0].notes), Fraction(0)) < bar_length(bars[0].meter)


def _phrases(bars: Sequence[Bar], lines: int, upbeat: bool) -> set[int]:
    """Breaks after every so many bars, an upbeat not counted, if these are four or a multiple; else none."""
    count = len(bars) - upbeat
    if count % lines or count // lines % 4:
        return set()
    breaks = set(range(count // lines + upbeat, len(bars), count // lines))
    return set() if any(_is_bound_over(bars[index - 1]) for index in breaks) else breaks


def _fullness(weights: Sequence[float], breaks: set[int]) -> list[float]:
    edges = [0, *sorted(breaks), len(weights)]
    return [sum(weights[start:end]) for start, end in pairwise(edges)]


def _parts(bars: Sequence[Bar], weights: Sequence[float]) -> list[tuple[int, float]]:
    """The parts of an exercise that double bar lines divide: the bar behind each, and how wide it is."""
    ends = [index + 1 for index, bar in enumerate(bars) if bar.closes or index == len(bars) - 1]
    return [(end, sum(weights[start:end])) for start, end in zip([0, *ends], ends, strict=False)]


def _between_parts(parts: Sequence[tuple[int, float]], line: float) -> set[int]:
    """Lines that break only between parts."""
    breaks: set[int] = set()
    filled, before = 0.0, 0
    for end, weight in parts:
        if filled and filled + weight > line * _LOOSE:
            breaks.add(before)
            filled = 0.0
        filled, before = filled + weight, end
    return breaks


def _filled(bars: Sequence[Bar], weights: Sequence[float], each: float) -> tuple[set[int], list[float]]:
    """Break where the bars so far come nearest to whole multiples of `each`; and how full every line is."""
    breaks: set[int] = set()
    filled = [0.0]
    before = 0.0
    for index, weight in enumerate(weights):
        middle = before + weight / 2
        if filled[-1] and middle > each * len(filled) + _ROUNDING and not _is_bound_over(bars[index - 1]):
            breaks.add(index)
            filled.append(0.0)
        filled[-1] += weight
        before += weight
    return breaks, filled


def _is_bound_over(bar: Bar) -> bool:
    """A half-step bracket does not go over the end of a line."""
    return bar.notes[-1].half_step


def texts(sheet: Sheet) -> Iterator[str]:
    """Yield every line of words that the sheet prints, besides names of sections and exercises and position words."""
    yield from sheet.cautions
    for section in sheet.sections:
        yield from _wrapped(section.text)
        for exercise in section.exercises:
            yield from _wrapped(exercise.text)


__all__ = ["compose", "compose_exercise", "texts"]
