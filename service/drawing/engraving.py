"""Engraves a marked score as SVG pages in which every note has an id.

Engraved on the server by verovio's Python package, not by its WebAssembly build in the page: that build is eight
megabytes which every reload would compile again, and has to be kept in the repository. Here a part of 300 bars is laid
out in a fraction of a second. The package holds Python's lock while it works: a server draws in another process.
What is engraved is a copy: only the part that is looked at, with ids on its notes. The user's file never gets them.
"""

from __future__ import annotations

import base64
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import NamedTuple

import verovio
from lxml import etree

from .. import errors
from ..naming import string_numeral
from .missing_signs import MissingSign, add_signs, missing_signs
from .text_overlaps import texts_lifted

STAFF_HEIGHT = 72
"""Height of a five-line staff in the units of `Layout`."""
MUSIC_FONT = "Leipzig"
REMARK_COLOUR = "#98291F"
"""Red pencil, as teachers write."""
_NUMERALS = {str(string): string_numeral(string) for string in range(1, 5)}
_RESOURCES = Path(verovio.__file__).parent / "data"
_NOT_SHOWN = ("print", "credit", "defaults", "part-name-display", "part-abbreviation-display", "part-abbreviation")
_CHANGED = ("note", "string", "metronome", "time", *_NOT_SHOWN)
_CONTINUOUS_HEIGHT = 1100
_BETWEEN_PICTURES = 25
_BESIDE = 40
_LARGEST = 100_000
_STYLE = re.compile(r"<style.*?</style>", re.DOTALL)
_BETWEEN_TAGS = re.compile(r">\s+<")
# verovio keeps its fonts for each thread apart, so one thread does all drawing, a page at a time.
_ENGRAVER = ThreadPoolExecutor(max_workers=1, thread_name_prefix="engraver")


@dataclass(frozen=True, slots=True)
class Layout:
    """How a score is laid out, in units of which 72 are the height of a staff.

    Attributes:
        width: of a page, margins included.
        height: of a page; 0 lets the music run on without pages, in pictures of a few systems each.
        margin: on all four sides.
        breaks: where lines end: `auto`, or `encoded` for the line breaks of the score.
        stretched: how full the last line has to be to be stretched to the width, from 0 to 1.
        spacing: how far notes stand apart; 0.25 is the usual spacing, greater is wider.
        edge: margin above and below a picture, where the music runs on without pages.
        between: room between two lines of music, with all that stands at them, in half staff spaces.
    """

    width: int = 2160
    height: int = 0
    margin: int = 0
    breaks: str = "auto"
    stretched: float = 0.8
    spacing: float = 0.25
    between: int = 6
    edge: int = _BETWEEN_PICTURES


class PreparedScore(NamedTuple):
    """A score for the engraver, and what was added since the file has none of it: "accidentals", "beams"."""

    root: etree._Element
    added: tuple[str, ...]

    @property
    def text(self) -> str:
        """The score as XML."""
        return etree.tostring(self.root, encoding="unicode")


def prepare_for_engraver(
    root: etree._Element,
    part: str,
    rows: Mapping[int, int],
    prefix: str = "",
    title: bool = False,
    remarks: Mapping[int, str] = MappingProxyType({}),
    missing: Sequence[MissingSign] | None = None,
) -> PreparedScore:
    """Make a score one for the engraver: one part, with an id on every note that is a row of the plan.

    Args:
        root: the score; it is changed.
        part: id of the part to show.
        rows: row of the plan by ordinal of the `<note>` in the document.
        prefix: put before every id, so that two pictures can stand in one page; the id of row 57 is `n57`.
        title: keep title and composer.
        remarks: texts that are drawn below notes, by rows of the plan.
        missing: the signs that the part lacks, if they are known.
    """
    elements: dict[str, list[etree._Element]] = {tag: [] for tag in _CHANGED}
    for element in root.iter(*_CHANGED):
        elements[str(element.tag)].append(element)
    _name_rows(elements["note"], rows, prefix, remarks)
    hidden = [element for tag in _NOT_SHOWN for element in elements[tag]]
    undrawable = [time for time in elements["time"] if not _is_drawable(time)]
    others = [e for e in (*root.iterchildren("part"), *root.iterfind("part-list/score-part")) if e.get("id") != part]
    paths = ("part-list/part-group", *(() if title else ("work", "movement-title", "identification")))
    for element in [*others, *(e for path in paths for e in root.iterfind(path)), *hidden, *undrawable]:
        _remove(element)
    added: tuple[str, ...] = ()
    for own in root.iterchildren("part"):
        added += add_signs(own, missing_signs(own) if missing is None else missing)
    show_strings(elements["string"])
    for metronome in elements["metronome"]:
        _part_from_words(metronome)
    for name in root.iterfind("part-list/score-part/part-name"):
        name.text = ""
    return PreparedScore(root, added)


def _name_rows(
    notes: Iterable[etree._Element], rows: Mapping[int, int], prefix: str, remarks: Mapping[int, str]
) -> None:
    """Give the notes that are rows of the plan their ids and remarks."""
    for ordinal, note in enumerate(notes):
        row = rows.get(ordinal)
        if row is not None:
            note.set("id", f"{prefix}n{row}")
            if row in remarks:
                _write_below(note, remarks[row])
        elif "id" in note.attrib:
            del note.attrib["id"]


def _write_below(note: etree._Element, text: str) -> None:
    """Write words below a note; before the first note of its chord, since nothing may stand between them."""
    first = note
    while first.find("chord") is not None and (before := first.getprevious()) is not None:
        first = before
    direction = etree.Element("direction", placement="below")
    words = etree.SubElement(etree.SubElement(direction, "direction-type"), "words", color=REMARK_COLOUR)
    words.text = "".join(sign for sign in text if sign.isprintable())
    first.addprevious(direction)


def _remove(element: etree._Element) -> None:
    parent = element.getparent()
    if parent is not None:
        parent.remove(element)


def _part_from_words(metronome: etree._Element) -> None:
    """Put a space between the words of a tempo and its figure: the engraver sets "Tempo di valse(" without one."""
    before = metronome.getparent().getprevious()  # type: ignore[union-attr]
    words = None if before is None else before.find("words[last()]")
    if words is not None and words.text and not words.text[-1].isspace():
        words.text += " "


def _is_drawable(time: etree._Element) -> bool:
    """Whether a time signature has note values; the engraver divides by them, and its process would end."""
    values = [(each.text or "").strip() for each in time.iterchildren("beat-type")]
    has_beats = time.find("beats") is not None
    return not has_beats or (bool(values) and all(value.isdecimal() and int(value) for value in values))


def show_strings(strings: Iterable[etree._Element]) -> None:
    """Let the engraver, which leaves out string numbers, draw them as editions do: as fingerings in Roman numerals."""
    for string in strings:
        numeral = _NUMERALS.get((string.text or "").strip())
        if numeral:
            string.tag = "fingering"
            string.text = numeral


def engrave(score: str, layout: Layout, bars: tuple[int, int] | None = None, seed: int = 1) -> Iterator[str]:
    """Yield the pages of a score as SVG without styles of their own; `bars` are the first and last measure, from 1.

    Raises:
        ScoreError: `not-drawn`, if the engraver cannot read the score.
    """
    toolkit = _ENGRAVER.submit(_loaded, score, layout, bars, seed).result()
    for number in range(1, _ENGRAVER.submit(toolkit.getPageCount).result() + 1):
        yield texts_lifted(_plain(_ENGRAVER.submit(toolkit.renderToSVG, number).result()))


def midi_of(score: str) -> bytes:
    """Return a score as a standard MIDI file.

    Raises:
        ScoreError: `not-drawn`, if the engraver cannot read the score.
    """
    toolkit = _ENGRAVER.submit(_loaded, score, Layout(), None, 1).result()
    return base64.b64decode(_ENGRAVER.submit(toolkit.renderToMIDI).result())


def _loaded(score: str, layout: Layout, bars: tuple[int, int] | None, seed: int) -> verovio.toolkit:
    toolkit = _toolkit(layout, seed)
    if not toolkit.loadData(score):
        raise errors.not_drawn()
    if bars is not None:
        toolkit.select({"measureRange": f"{bars[0]}-{bars[1]}"})
        toolkit.redoLayout()
    return toolkit


def _toolkit(layout: Layout, seed: int) -> verovio.toolkit:
    verovio.enableLog(verovio.LOG_OFF)
    toolkit = verovio.toolkit(False)
    toolkit.setResourcePath(str(_RESOURCES))
    toolkit.setOptions(
        {
            "pageWidth": min(max(layout.width, 400), _LARGEST),
            "pageHeight": layout.height or _CONTINUOUS_HEIGHT,
            "pageMarginLeft": layout.margin or _BESIDE,
            "pageMarginRight": layout.margin or _BESIDE,
            "pageMarginTop": layout.margin if layout.height else layout.edge,
            "pageMarginBottom": layout.margin if layout.height else layout.edge,
            "adjustPageHeight": not layout.height,
            "breaks": layout.breaks,
            "minLastJustification": layout.stretched,
            "spacingLinear": layout.spacing,
            "header": "auto" if layout.height else "none",
            "footer": "none",
            "scale": 100,
            "svgViewBox": True,
            "smuflTextFont": "none",
            "spacingSystem": layout.between,
            "xmlIdSeed": seed,
            "font": MUSIC_FONT,
        }
    )
    return toolkit


def _plain(picture: str) -> str:
    """Take out style elements, which a page with a strict policy refuses; its own style sheet says the same."""
    return _BETWEEN_TAGS.sub("><", _STYLE.sub("", picture)).strip()


@cache
def music_font() -> bytes:
    """Return the font of musical signs within text (the note of a tempo mark), as WOFF2.

    Raises:
        RuntimeError: if the engraver does not carry it where it used to.
    """
    text = (_RESOURCES / f"{MUSIC_FONT}.css").read_text(encoding="utf-8")
    found = re.search(r"base64,([A-Za-z0-9+/=]+)", text)
    if found is None:
        raise RuntimeError(f"verovio carries no {MUSIC_FONT} font as data")
    return base64.b64decode(found[1])
