"""Practice sheets against the outside: the W3C's schema, music21, verovio, chromium, the fingerboard, and a player.

Sources: MusicXML 4.0 schema (W3C, through `tests/schema.py`); music21 (its own measure arithmetic); verovio (its log);
the definition of a position (finger f in position p sounds the letter p - 1 + f above the open string; common
practice), computed here from the printed marks with none of the generator's code; `player`, who knows nothing but the
conventions of reading fingerings.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from functools import cache
from itertools import islice
from pathlib import Path

import music21
import pytest
import verovio
from lxml import etree

from rules import INSTRUMENTS, Pitch, Severity, Sheet, Tone, as_heard, bars_away
from service.config.options import read_options
from service.config.sheet_options import SheetFormat
from service.musicxml.new.document import texts
from service.musicxml.read.words import meaning_of
from service.naming import Language
from service.usecases.annotate import review_score
from service.usecases.practice import Practice, practice, progressive, written
from tests.reference.player import Taken, read_through
from tests.reference.printed_page import read_page
from tests.schema import is_valid

SAMPLES = Path(__file__).resolve().parents[2] / "sample_scores"
PIECES = sorted(path.name for path in SAMPLES.iterdir() if path.suffix in {".musicxml", ".mxl"})
CORPUS = ("corelli/opus3no1/1grave", "haydn/opus1no1/movement2", "mozart/k155/movement1", "mozart/k458/movement1",
          "haydn/opus74no1/movement1")  # fmt: skip
SETS = ("D:3", "Eb:2,4", "F#m:5", "A:3,5")
ALL = [*(f"piece {name}" for name in PIECES), *(f"corpus {name}" for name in CORPUS), *(f"set {name}" for name in SETS)]

_SOAK = {"corpus mozart/k155/movement1", "corpus mozart/k458/movement1", "corpus haydn/opus74no1/movement1",
         "set F#m:5", "set A:3,5"}  # fmt: skip
_SHORT = {"evening_on_the_jetty.musicxml", "ferry_waltz.musicxml", "pier_march.mxl", "reed_crossing.musicxml"}
_LONG = {"corpus haydn/opus1no1/movement2", "set Eb:2,4", *(f"piece {name}" for name in PIECES if name not in _SHORT)}
CASES = [
    pytest.param(name, marks=pytest.mark.slow if name in _SOAK else pytest.mark.long if name in _LONG else ())
    for name in ALL
]
EVERY_SHEET = pytest.mark.parametrize("name", CASES)
EVERY_PIECE = pytest.mark.parametrize("name", CASES[: -len(SETS)])
AGAIN = re.compile(r"bars? (\S+?)(?: to (\S+?))?[;.]")

SEMITONES = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
STEPS = "CDEFGAB"
NUMERALS = ("I", "II", "III", "IV")
OPEN = {1: ("E", 5), 2: ("A", 4), 3: ("D", 4), 4: ("G", 3)}


@cache
def sheet(name: str) -> Sheet:
    kind, _, what = name.partition(" ")
    if kind == "set":
        key, _, positions = what.partition(":")
        return progressive(key, tuple(map(int, positions.split(","))))
    return made(name).sheet


@cache
def made(name: str) -> Practice:
    return practice(piece(name), read_options({"level": [level_of(name)]}))


def piece(name: str) -> bytes:
    kind, _, what = name.partition(" ")
    path = SAMPLES / what if kind == "piece" else Path(str(music21.corpus.getWork(what)))
    return path.read_bytes()


def level_of(name: str) -> str:
    return "first-and-third" if name.startswith("piece") else "to-fifth"


@cache
def document(name: str, language: Language = Language.BRITISH) -> bytes:
    return written(sheet(name), SheetFormat.MUSICXML, language)


@cache
def parsed(name: str) -> music21.stream.Score:
    """The sheet as music21 reads it: tests ask for the same one, and change nothing in it."""
    return music21.converter.parseData(document(name), format="musicxml")


@EVERY_SHEET
def test_valid_by_the_schema_of_the_w3c(name: str) -> None:
    assert is_valid(document(name))


@EVERY_SHEET
def test_measures_are_full_for_music21(name: str) -> None:
    measures = list(parsed(name).recurse().getElementsByClass(music21.stream.Measure))
    assert len(measures) == sum(len(exercise.bars) for exercise in sheet(name).exercises)
    remaining = iter(measures)
    for exercise in sheet(name).exercises:
        own = list(islice(remaining, len(exercise.bars)))
        signature = own[0].timeSignature or own[0].getContextByClass(music21.meter.TimeSignature)
        lengths = [measure.duration.quarterLength for measure in own]
        if lengths[0] < signature.barDuration.quarterLength:
            lengths = [lengths[0] + lengths[-1], *lengths[1:-1]]  # an upbeat, and the last bar that makes up for it
        for measure, length in zip(own, lengths, strict=False):
            metre = measure.timeSignature or measure.getContextByClass(music21.meter.TimeSignature)
            assert length == metre.barDuration.quarterLength, measure.number
        assert sum(Fraction(n.quarterLength) for n in measure.notesAndRests) == metre.barDuration.quarterLength


@EVERY_SHEET
def test_music21_reads_the_notes_that_were_meant(name: str) -> None:
    read = [sorted(p.midi for p in n.pitches) for n in parsed(name).recurse().notes]
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
    string: int | None = None
    for measure in etree.fromstring(document(name)).iter("measure"):
        for element in measure:
            words = element.findtext("direction-type/words") or ""
            if words.endswith(" pos."):
                position = 0 if words.startswith("half") else int("".join(filter(str.isdigit, words)))
            string = NUMERALS.index(words) + 1 if words in NUMERALS else string
            finger = element.findtext("notations/technical/fingering")
            if element.tag != "note":
                continue
            printed = element.findtext("notations/technical/string") or string
            string = None
            if finger is None:
                continue
            step, octave = element.findtext("pitch/step"), int(element.findtext("pitch/octave"))
            alter = int(float(element.findtext("pitch/alter") or 0))
            midi = SEMITONES[step] + 12 * (octave + 1) + alter
            if finger == "0":
                # By its sound: a piece in many flats writes the open E as F flat.
                assert midi in {SEMITONES[letter] + 12 * (height + 1) for letter, height in OPEN.values()}
                continue
            # By letter names; a finger may also take a letter by its sharp or flat neighbour or be stretched by one.
            possible = [s for s in OPEN if abs(letters_above(step, octave, s) - (position - 1 + int(finger))) <= 1]
            exact = [s for s in OPEN if letters_above(step, octave, s) == position - 1 + int(finger)]
            on = int(printed) if printed else (exact or possible or [0])[0]
            assert on in possible, (name, measure.get("number"), step, octave, finger, position, printed)
            above = midi - (SEMITONES[OPEN[on][0]] + 12 * (OPEN[on][1] + 1))
            # Seven letters to twelve semitones: where the finger stands if the hand is evenly spread.
            assert abs(above - 12 / 7 * (position - 1 + int(finger))) < 3, (name, measure.get("number"), step, octave)
            checked += 1
    assert checked > 10


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
def test_print_leads_a_player_to_the_stops_that_are_meant(name: str) -> None:
    """The independent player reads the whole file and takes every note with the finger, string and position meant."""
    instrument = sheet(name).instrument
    strings = tuple((pitch.letter, pitch.midi) for pitch in instrument.open_strings)
    read = read_through(read_page(document(name), "P1"), strings)
    wrong = []
    for order, tone, position, heading in struck(sheet(name)):
        meant = Taken(tone.string, tone.finger, None if tone.finger == 0 else position)
        if tone.finger is not None and read[order] != meant:
            wrong.append((heading, tone.pitch.name, meant, read[order]))
    assert wrong == []


def struck(whole: Sheet) -> Iterator[tuple[int, Tone, int | None, str]]:
    """Every tone that is taken anew, by the order of its note in the file."""
    order = 0
    held: frozenset[Pitch] = frozenset()
    for exercise in whole.exercises:
        for note in exercise.notes:
            for tone in note.tones:
                if tone.pitch not in held:
                    yield order, tone, note.position, exercise.heading
                order += 1
            order += note.is_rest
            if not note.is_small:
                held = frozenset(tone.pitch for tone in note.tones) if note.tied else frozenset()


@EVERY_PIECE
def test_every_bar_away_from_first_position_is_on_the_sheet(name: str) -> None:
    """As itself, or by name: the same comes again there."""
    (plan,) = made(name).plans
    away = {plan.passage.measures[bar].label for bar in bars_away(plan)}
    printed = {bar.label for exercise in sheet(name).exercises for bar in exercise.bars}
    labels = [measure.label for measure in plan.passage.measures]
    for section in sheet(name).sections:
        for first, last in AGAIN.findall(section.text.partition("comes again in")[2]):
            printed |= set(labels[labels.index(first) : labels.index(last or first) + 1])
    assert away - printed == set()


@EVERY_PIECE
def test_every_position_of_the_plan_is_practised_before_a_shift_leads_there(name: str) -> None:
    (plan,) = made(name).plans
    met = {1}
    for section in sheet(name).sections:
        met |= set(section.charts)
        # A small note that no hand of the level reaches is in no position.
        placed = (note for e in section.exercises for note in e.notes if note.tones and not note.is_open)
        assert {note.position for note in placed if note.position is not None} <= met
    assert {fingered.position for fingered in plan.fingered_notes if fingered.position is not None} <= met


@EVERY_PIECE
def test_review_at_the_level_finds_nothing(name: str) -> None:
    """What the piece itself asks for is left to the player, and the sheet says so; all else is within the level."""
    (part,) = review_score(document(name), read_options({"level": [level_of(name)]}))
    found = [(flag.sentence, flag.finding) for flag in part.review.flags if flag.severity is not Severity.NOTE]
    assert found == []
    assert part.remarks == ()


@EVERY_SHEET
def test_midi_sounds_what_stands_on_the_sheet(name: str) -> None:
    """music21 reads from the MIDI file every pitch in order, repeats twice; small notes are left to the player.

    Crosses are silent, and diamonds at a node sound as harmonics.
    """
    file = music21.midi.MidiFile()
    file.readstr(written(sheet(name), SheetFormat.MIDI, Language.BRITISH))
    started = [event for track in file.tracks for event in track.events if event.isNoteOn() and event.velocity]
    meant: list[int] = []
    heard = [as_heard(sheet(name).instrument, exercise) for exercise in sheet(name).exercises]
    for exercise in heard:
        held: frozenset[Pitch] = frozenset()
        line = []
        for note in exercise.notes:
            line += sorted(round(tone.pitch.midi) for tone in note.tones if tone.pitch not in held and note.beats)
            if not note.is_small:
                held = frozenset(tone.pitch for tone in note.tones) if note.tied else frozenset()
        meant += line * (2 if exercise.is_repeated else 1)
    small = sum(
        len(note.tones) * (2 if exercise.is_repeated else 1)
        for exercise in heard
        for note in exercise.notes
        if note.is_small
    )
    assert len(meant) <= len(started) <= len(meant) + small
    if not small:
        assert sorted(event.pitch for event in started) == sorted(meant)


@EVERY_SHEET
def test_no_text_reads_as_a_mark(name: str) -> None:
    """Headings name fingers and strings; a program that looks for marks must not find any in them."""
    assert [text for text in texts(sheet(name)) if meaning_of(text, INSTRUMENTS["violin"])] == []


@pytest.mark.parametrize(
    ("language", "words"), [(Language.GERMAN, "3. Lage"), (Language.FRENCH, "3e pos."), (Language.ITALIAN, "3a pos.")]
)
def test_position_words_come_in_the_chosen_language(language: Language, words: str) -> None:
    found = {
        element.text for element in etree.fromstring(document("piece ferry_waltz.musicxml", language)).iter("words")
    }
    assert words in found
    assert "3rd pos." not in found
