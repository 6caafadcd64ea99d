"""Practice sheets against the outside: the W3C's schema, music21's reading, verovio's engraving, and the fingerboard.

Sources: MusicXML 4.0 schema (W3C, through `tests/schema.py`); music21 (its own measure arithmetic); verovio (its log);
the definition of a position (finger f in position p sounds the letter p - 1 + f above the open string; common
practice), computed here from the printed marks with none of the generator's code.
"""

from __future__ import annotations

from fractions import Fraction
from functools import cache
from pathlib import Path

import music21
import pytest
import verovio
from lxml import etree

from rules import INSTRUMENTS, Severity
from service.config.options import read_options
from service.musicxml.new.document import texts
from service.musicxml.read.words import meaning_of
from service.naming import Language
from service.usecases.annotate import review_score
from service.usecases.practice import SheetFormat, practice, progressive, written
from service.usecases.sheet_readback import readings
from tests.schema import is_valid

SAMPLES = Path(__file__).resolve().parents[2] / "sample_scores"
PIECES = sorted(path.name for path in SAMPLES.iterdir() if path.suffix in {".musicxml", ".mxl"})
CORPUS = ("corelli/opus3no1/1grave", "haydn/opus1no1/movement2", "mozart/k155/movement1", "mozart/k458/movement1",
          "haydn/opus74no1/movement1")  # fmt: skip
SETS = ("D:3", "Eb:2,4", "F#m:5", "A:3,5")
ALL = [*(f"piece {name}" for name in PIECES), *(f"corpus {name}" for name in CORPUS), *(f"set {name}" for name in SETS)]

_SOAK = {"corpus mozart/k155/movement1", "corpus mozart/k458/movement1", "corpus haydn/opus74no1/movement1",
         "set F#m:5", "set A:3,5"}  # fmt: skip
EVERY_SHEET = pytest.mark.parametrize(
    "name", [pytest.param(name, marks=pytest.mark.slow if name in _SOAK else ()) for name in ALL]
)

SEMITONES = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
STEPS = "CDEFGAB"
OPEN = {1: ("E", 5), 2: ("A", 4), 3: ("D", 4), 4: ("G", 3)}


@cache
def sheet(name: str):  # type: ignore[no-untyped-def]
    kind, _, what = name.partition(" ")
    if kind == "set":
        key, _, positions = what.partition(":")
        return progressive(key, tuple(map(int, positions.split(","))))
    path = SAMPLES / what if kind == "piece" else Path(str(music21.corpus.getWork(what)))
    level = "first-and-third" if kind == "piece" else "to-fifth"
    return practice(path.read_bytes(), read_options({"level": [level]})).sheet


@cache
def document(name: str, language: Language = Language.ENGLISH) -> bytes:
    return written(sheet(name), SheetFormat.MUSICXML, language)


@EVERY_SHEET
def test_valid_by_the_schema_of_the_w3c(name: str) -> None:
    assert is_valid(document(name))


@EVERY_SHEET
def test_measures_are_full_for_music21(name: str) -> None:
    score = music21.converter.parseData(document(name), format="musicxml")
    measures = list(score.recurse().getElementsByClass(music21.stream.Measure))
    assert len(measures) == sum(len(exercise.bars) for exercise in sheet(name).exercises)
    for measure in measures:
        signature = measure.timeSignature or measure.getContextByClass(music21.meter.TimeSignature)
        assert measure.duration.quarterLength == signature.barDuration.quarterLength, measure.number
        assert sum(Fraction(n.quarterLength) for n in measure.notesAndRests) == signature.barDuration.quarterLength


@EVERY_SHEET
def test_music21_reads_the_notes_that_were_meant(name: str) -> None:
    score = music21.converter.parseData(document(name), format="musicxml")
    read = [sorted(p.midi for p in n.pitches) for n in score.recurse().notes]
    meant = [
        sorted(round(tone.pitch.midi) for tone in note.tones)
        for exercise in sheet(name).exercises
        for note in exercise.notes
        if not note.is_rest
    ]
    assert read == meant


def letters_above(step: str, octave: int, string: int) -> int:
    open_step, open_octave = OPEN[string]
    return STEPS.index(step) + 7 * octave - STEPS.index(open_step) - 7 * open_octave


@EVERY_SHEET
def test_pitches_are_where_the_printed_marks_say(name: str) -> None:
    """Finger and position in force, and the string where one is printed, lead to the written letter and no other."""
    checked = 0
    for measure in etree.fromstring(document(name)).iter("measure"):
        if measure.find("print") is not None or measure.get("number") == "1":
            string = None
        for element in measure:
            words = element.findtext("direction-type/words") or ""
            if words.endswith(" pos."):
                position = 0 if words.startswith("half") else int("".join(filter(str.isdigit, words)))
                string = None
            finger = element.findtext("notations/technical/fingering")
            if element.tag != "note" or finger is None:
                continue
            step, octave = element.findtext("pitch/step"), int(element.findtext("pitch/octave"))
            alter = int(float(element.findtext("pitch/alter") or 0))
            midi = SEMITONES[step] + 12 * (octave + 1) + alter
            if finger == "0":
                assert (step, octave, alter) in {(*pair, 0) for pair in OPEN.values()}
                continue
            printed = element.findtext("notations/technical/string")
            # By letter names; a finger may also take a letter by its sharp or flat neighbour or be stretched by one.
            possible = [s for s in OPEN if abs(letters_above(step, octave, s) - (position - 1 + int(finger))) <= 1]
            exact = [s for s in OPEN if letters_above(step, octave, s) == position - 1 + int(finger)]
            string = int(printed) if printed else (exact or possible or [None])[0]
            assert string in possible, (name, measure.get("number"), step, octave, finger, position, printed)
            above = midi - (SEMITONES[OPEN[string][0]] + 12 * (OPEN[string][1] + 1))
            # Seven letters to twelve semitones: where the finger stands if the hand is evenly spread.
            assert abs(above - 12 / 7 * (position - 1 + int(finger))) < 3, (name, measure.get("number"), step, octave)
            checked += 1
    assert checked > 20


def engraved(score: str, capfd: pytest.CaptureFixture[str]) -> tuple[list[str], str]:
    """The pages, and what verovio writes to its log, which is the standard error stream of the process."""
    verovio.enableLog(verovio.LOG_WARNING)
    capfd.readouterr()
    toolkit = verovio.toolkit()
    toolkit.setOptions({"breaks": "line", "pageWidth": 2100, "pageHeight": 2970, "scale": 40})
    toolkit.loadData(score)
    pages = [toolkit.renderToSVG(number) for number in range(1, toolkit.getPageCount() + 1)]
    return pages, capfd.readouterr().err


@EVERY_SHEET
def test_verovio_engraves_every_page_without_a_warning(name: str, capfd: pytest.CaptureFixture[str]) -> None:
    pages, log = engraved(document(name).decode(), capfd)
    assert pages
    assert all("<svg" in page for page in pages)
    assert log == ""


def test_verovio_would_warn(capfd: pytest.CaptureFixture[str]) -> None:
    """A slur that never ends is reported: the test above can fail."""
    whole = document(ALL[0]).decode()
    assert '<slur type="stop" number="1"/>' in whole
    _, log = engraved(whole.replace('<slur type="stop" number="1"/>', ""), capfd)
    assert "Warning" in log


@EVERY_SHEET
def test_our_own_review_keeps_every_mark_and_reads_the_stops_that_are_meant(name: str) -> None:
    (part,) = review_score(document(name), read_options({"level": ["all"], "printed": ["keep"]}))
    assert part.unmet == ()
    assert part.remarks == ()
    errors = [flag.sentence for flag in part.review.flags if flag.severity is Severity.ERROR]
    assert errors == []
    for spot, tone, fingered in readings(sheet(name), "violin"):
        assert fingered.note.pitch == tone.pitch
        if tone.show_finger and tone.finger is not None:
            assert fingered.stop is not None
            assert (fingered.stop.finger, fingered.stop.string) == (tone.finger, tone.string), spot


@EVERY_SHEET
def test_no_text_reads_as_a_mark(name: str) -> None:
    """Headings name fingers and strings; a program that looks for marks must not find any in them."""
    assert [text for text in texts(sheet(name)) if meaning_of(text, INSTRUMENTS["violin"])] == []


@pytest.mark.parametrize(
    ("language", "words"), [(Language.GERMAN, "3. Lage"), (Language.FRENCH, "3e pos."), (Language.ITALIAN, "3a pos.")]
)
def test_position_words_come_in_the_chosen_language(language: Language, words: str) -> None:
    found = {element.text for element in etree.fromstring(document("set D:3", language)).iter("words")}
    assert words in found
    assert "3rd pos." not in found
