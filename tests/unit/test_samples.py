"""The sample scores are sound MusicXML, full bars, on the instrument, and pose the question that they are there for.

Sources: the W3C schema of MusicXML 4.0 (as the `musicxml` package carries it), music21's reading, and the facts of
first position, which are common practice.
"""

from __future__ import annotations

import zipfile
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest
from lxml import etree
from music21 import chord, converter, note, spanner, stream

from tests.schema import musicxml_schema

SAMPLES = Path(__file__).resolve().parent.parent.parent / "sample_scores"
SCORES = sorted(path for path in SAMPLES.iterdir() if path.suffix in {".musicxml", ".mxl"})
NAMES = {
    "boathouse_reel", "evening_on_the_jetty", "ferry_waltz", "first_bench",
    "lantern_quartet", "pier_march", "reed_crossing", "two_oars",
}  # fmt: skip
COMPASS = {"Violin": (55, 88), "Viola": (48, 81), "Violoncello": (36, 69)}
"""MIDI numbers from the lowest open string to what a club player reaches; for the violin up to E6."""


def document(path: Path) -> bytes:
    if path.suffix == ".musicxml":
        return path.read_bytes()
    with zipfile.ZipFile(path) as container:
        rootfile = etree.fromstring(container.read("META-INF/container.xml")).find(".//{*}rootfile")
        return container.read(rootfile.get("full-path"))


@cache
def read_by_music21(path: Path) -> stream.Score:
    return converter.parse(document(path), format="musicxml")


def sample(name: str) -> Path:
    return next(path for path in SCORES if path.stem == name)


def pitches(name: str) -> list[str]:
    """Return the pitch names of a one-part sample in order, chords as their single notes."""
    return [pitch.nameWithOctave for sound in read_by_music21(sample(name)).recurse().notes for pitch in sound.pitches]


each_score = pytest.mark.parametrize("path", SCORES, ids=lambda path: path.stem)


def test_there_are_eight_and_each_is_described() -> None:
    described = (SAMPLES / "README.md").read_text(encoding="utf-8")
    assert {path.stem for path in SCORES} == NAMES
    assert [path.name for path in SCORES if f"`{path.name}`" not in described] == []


@each_score
def test_it_is_valid(path: Path) -> None:
    tree = etree.fromstring(document(path))
    schema = musicxml_schema()
    assert schema.validate(tree), schema.error_log
    assert tree.get("version") == "4.0"


def test_the_schema_does_refuse_what_is_wrong() -> None:
    tree = etree.fromstring(document(sample("first_bench")))
    tree.find(".//pitch/step").text = "H"
    assert not musicxml_schema().validate(tree)


@each_score
def test_it_prints_no_fingering(path: Path) -> None:
    assert etree.fromstring(document(path)).findall(".//technical") == []


@each_score
def test_it_has_title_composer_tempo_and_dynamics(path: Path) -> None:
    tree = etree.fromstring(document(path))
    assert tree.findtext("work/work-title")
    assert "handframe contributors" in tree.findtext("identification/creator")
    assert "CC0" in tree.findtext("identification/rights")
    assert float(tree.find("part/measure/direction/sound").get("tempo")) > 40
    assert tree.findall(".//dynamics")


@each_score
def test_its_bars_are_full(path: Path) -> None:
    # music21 adds up the notes; the time signature says what they must come to. A pick-up and the last bar make up one.
    for part in read_by_music21(path).parts:
        bars = list(part.getElementsByClass(stream.Measure))
        lengths = [bar.duration.quarterLength for bar in bars]
        full = bars[0].timeSignature.barDuration.quarterLength
        if lengths[0] < full:
            lengths[0] += lengths.pop()
        assert lengths == [full] * len(lengths)
        assert 12 <= len(lengths) <= 32


@each_score
def test_every_note_is_on_its_instrument(path: Path) -> None:
    for part in read_by_music21(path).parts:
        lowest, highest = COMPASS[part.partName.removesuffix(" II").removesuffix(" I")]
        assert all(lowest <= pitch.midi <= highest for pitch in part.pitches)


@each_score
def test_every_slur_joins_different_moments(path: Path) -> None:
    slurs = list(read_by_music21(path).recurse().getElementsByClass(spanner.Slur))
    assert all(len({id(element) for element in slur.getSpannedElements()}) > 1 for slur in slurs)


def test_the_waltz_needs_notes_that_first_position_has_not() -> None:
    assert {"C6", "D6", "E6"} <= set(pitches("ferry_waltz"))


def test_the_runs_of_reed_crossing_lie_on_one_string_in_third_position() -> None:
    # Common practice: third position has G4 to C5 on the D string and D5 to G5 on the A string. In first position what
    # is below A4 must go on the D string and what is above on the A string, or above E5 on the E string.
    bars = list(read_by_music21(sample("reed_crossing")).parts[0].getElementsByClass(stream.Measure))
    for first, last, low, high, crossings in ((9, 12, 67, 72, 16), (13, 16, 74, 79, 16), (21, 23, 67, 72, 13)):
        run = [found.pitch.midi for bar in bars[first - 1 : last] for found in bar.notes]
        assert (min(run), max(run)) == (low, high)
        edge = low + 2  # the open string that lies within the run may be played on either side
        sides = [height > edge for height in run if height != edge]
        assert sum(before != after for before, after in pairwise(sides)) == crossings


def test_the_long_notes_of_the_evening_fall_on_open_strings() -> None:
    # Common practice: A4 and E5 are open strings, or the weak fourth finger on the string below.
    held = [
        found.pitch.nameWithOctave
        for found in read_by_music21(sample("evening_on_the_jetty")).recurse().notes
        if found.quarterLength >= 3
    ]
    assert sum(name in {"A4", "E5"} for name in held) >= 5


def test_the_reel_holds_a_seventh_under_a_stretched_hand() -> None:
    # Common practice: G4 is 3 on the D string; F5 on the A string is then a fourth finger stretched beyond the frame.
    grips = [
        found for found in read_by_music21(sample("boathouse_reel")).recurse().notes if isinstance(found, chord.Chord)
    ]
    assert sum([pitch.nameWithOctave for pitch in grip.pitches] == ["G4", "F5"] for grip in grips) >= 5


def test_two_oars_is_double_stops_throughout() -> None:
    sounds = list(read_by_music21(sample("two_oars")).recurse().notes)
    assert all(isinstance(sound, chord.Chord) and len(sound.pitches) == 2 for sound in sounds)


def test_the_quartet_has_its_four_parts() -> None:
    names = [part.partName for part in read_by_music21(sample("lantern_quartet")).parts]
    assert names == ["Violin I", "Violin II", "Viola", "Violoncello"]


def test_the_march_has_a_pick_up_and_two_pairs_of_endings() -> None:
    tree = etree.fromstring(document(sample("pier_march")))
    assert tree.find("part/measure").get("implicit") == "yes"
    assert [ending.get("number") for ending in tree.findall(".//ending[@type='start']")] == ["1", "2", "1", "2"]
    assert [repeat.get("direction") for repeat in tree.findall(".//repeat")] == ["forward", "backward"] * 2
    # Eight bars twice, eight bars twice, and the pick-up.
    assert len(read_by_music21(sample("pier_march")).parts[0].expandRepeats().getElementsByClass(stream.Measure)) == 33


def test_the_first_bench_needs_nothing_but_first_position() -> None:
    found = [one for one in read_by_music21(sample("first_bench")).recurse().notes if isinstance(one, note.Note)]
    assert all(62 <= one.pitch.midi <= 74 for one in found)  # D4 to D5: the D and A strings in first position
    assert all(one.pitch.nameWithOctave not in {"D4", "A4", "E5"} for one in found if one.quarterLength > 1)
