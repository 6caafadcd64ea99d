"""After a trip through another program the marks are found again: nothing is doubled, and `printed` decides.

Sources: music21 (reads and writes MusicXML itself: our instructions, ids and layout are gone), verovio (MusicXML to
MEI, and the picture of a score), and by hand what editors are known to do: drop our instructions, complete half-written
ties, move a fingering to the lowest note of its chord.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest
import verovio
from lxml import etree
from music21 import converter, musicxml

from service.config.options import Options, read_options
from service.usecases.annotate import annotate
from service.usecases.clean import clean
from tests.reference.test_corpus_bytes import documents

_INSTRUCTION = re.compile(rb"<\?handframe [^?]*\?>")
_SAMPLES = Path(__file__).resolve().parents[2] / "sample_scores"
ALL = read_options({"level": ["all"], "fingers": ["all"]})
ESSENTIAL = read_options({"level": ["to-fifth"]})
OPTIONS = pytest.mark.parametrize("options", [ALL, ESSENTIAL], ids=["all", "essential"])


def samples() -> list[Path]:
    return sorted(path for path in _SAMPLES.iterdir() if path.suffix == ".musicxml")


@cache
def scores_with_violins() -> list[Path]:
    """Some documents of the corpus with violin parts, the smallest first."""
    found = []
    for path in documents():
        if path.suffix == ".mxl" or path.stat().st_size > 400_000:
            continue
        if re.search(rb"<part-name[^>]*>\s*(Violin|Violino)", path.read_bytes()):
            found.append(path)
        if len(found) == 6:
            break
    return found


_CHOSEN = [*samples(), *(pytest.param(path, marks=pytest.mark.slow) for path in scores_with_violins())]
SCORES = pytest.mark.parametrize("path", _CHOSEN, ids=lambda path: path.stem)
_SHORT = {"ferry_waltz", "two_oars"}
_OUTSIDE = [pytest.param(path, marks=() if path.stem in _SHORT else pytest.mark.long) for path in samples()]
SCORES_OUTSIDE = pytest.mark.parametrize("path", [*_OUTSIDE, *_CHOSEN[len(_OUTSIDE) :]], ids=lambda path: path.stem)
"""For trips through other programs, which take their time: two of the samples in a short run."""


@cache
def marked(path: Path, options: Options) -> bytes:
    """A document with marks; tests ask for the same ones."""
    return annotate(path.read_bytes(), options).data


def without_instructions(data: bytes) -> bytes:
    """The marks stay, what tells that they are ours goes."""
    return _INSTRUCTION.sub(b"", data)


@cache
def through_music21(data: bytes) -> bytes:
    return bytes(musicxml.m21ToXml.GeneralObjectExporter(converter.parse(data, format="musicxml")).parse())


def words_by_onset(root: etree._Element) -> Counter[tuple[int, int, Fraction, str]]:
    """How often each text stands at each moment of each part: by position and offset, not by neighbours."""
    found: Counter[tuple[int, int, Fraction, str]] = Counter()
    for number, part in enumerate(root.iter("part")):
        divisions = 1
        for bar, measure in enumerate(part.iter("measure")):
            here = start = Fraction(0)
            for child in measure:
                divisions = int(child.findtext("divisions") or divisions)
                length = Fraction(child.findtext("duration") or 0) / divisions
                if child.tag == "note" and child.find("chord") is None and child.find("grace") is None:
                    start, here = here, here + length
                elif child.tag in ("backup", "forward"):
                    here += length if child.tag == "forward" else -length
                elif child.tag == "direction":
                    onset = here + Fraction(child.findtext("offset") or 0) / divisions
                    for words in child.iter("words"):
                        found[number, bar, onset, " ".join((words.text or "").split())] += 1
            assert start >= 0
    return found


def nothing_doubled(data: bytes, before: bytes | None = None) -> None:
    """No note has two fingerings or strings, no moment the same words twice, beyond what was there `before`."""
    root = etree.fromstring(data)
    allowed = etree.fromstring(before) if before else None
    for tag in ("fingering", "string"):
        twice = sum(len(list(note.iter(tag))) > 1 for note in root.iter("note"))
        assert twice <= (0 if allowed is None else sum(len(list(n.iter(tag))) > 1 for n in allowed.iter("note")))
    had = Counter() if allowed is None else words_by_onset(allowed)
    assert [key for key, count in words_by_onset(root).items() if count > max(1, had[key])] == []


def added(before: bytes, after: bytes, tag: str) -> int:
    return after.count(b"<" + tag.encode()) - before.count(b"<" + tag.encode())


def plain(data: bytes) -> bytes:
    """UTF-8, so that marks can be counted in the bytes."""
    return data if data[:2] not in (b"\xff\xfe", b"\xfe\xff") else data.decode("utf-16").encode()


@SCORES
@OPTIONS
def test_marks_without_our_instructions_are_the_players_own(path: Path, options: Options) -> None:
    first = marked(path, options)
    theirs = without_instructions(plain(first).replace(b"UTF-16", b"UTF-8").replace(b"utf-16", b"utf-8"))
    again = annotate(theirs, options).data
    nothing_doubled(again, path.read_bytes())
    assert clean(again) == theirs
    if options is ALL:
        # Every finger is printed and binds, so the plan is the same and there is nothing left to print.
        assert (added(theirs, again, "fingering"), added(theirs, again, "words")) == (0, 0)


@SCORES
def test_replaced_they_are_written_anew_and_come_back_when_cleaned(path: Path) -> None:
    first = marked(path, ALL)
    theirs = without_instructions(plain(first).replace(b"UTF-16", b"UTF-8").replace(b"utf-16", b"utf-8"))
    again = annotate(theirs, read_options({"printed": ["replace"]}, ALL)).data
    nothing_doubled(without_instructions(again), path.read_bytes())
    assert clean(again) == theirs
    assert annotate(again, read_options({"printed": ["replace"]}, ALL)).data == again


@SCORES_OUTSIDE
@pytest.mark.parametrize("printed", ["keep", pytest.param("ignore", marks=pytest.mark.long), "replace"])
def test_through_music21(path: Path, printed: str) -> None:
    first = marked(path, ALL)
    try:
        theirs = through_music21(first)
    except Exception as error:
        pytest.xfail(f"music21 cannot write this score: {type(error).__name__}")
    options = read_options({"printed": [printed]}, ALL)
    again = annotate(theirs, options).data
    nothing_doubled(without_instructions(again), theirs)
    assert clean(again) == theirs
    if printed == "keep":
        total = theirs.count(b"<fingering")
        assert added(theirs, again, "fingering") <= 0.05 * total, "at most what moved within its chord"


@SCORES_OUTSIDE
@pytest.mark.parametrize("program", [without_instructions, through_music21])
def test_marks_for_one_level_are_replaced_by_those_for_another(path: Path, program: Callable[[bytes], bytes]) -> None:
    """Nothing stale stays: the words, lines and fingers are those that the score alone would get."""
    data = path.read_bytes()
    lined = read_options({"range_lines": ["true"], "shift_lines": ["true"]}, ESSENTIAL)
    simple = read_options({"level": ["first"]})
    try:
        untouched, theirs = (program(each) for each in (data, annotate(data, lined).data))
    except Exception as error:
        pytest.xfail(f"music21 cannot write this score: {type(error).__name__}")
    again = annotate(theirs, read_options({"printed": ["replace"]}, simple)).data
    assert clean(again) == theirs
    expected, found = (plain(each) for each in (annotate(untouched, simple).data, again))
    for tag in (b"bracket", b"slide", b"fingering"):
        assert found.count(b"<" + tag) == expected.count(b"<" + tag), tag
    assert words_by_onset(etree.fromstring(found)) == words_by_onset(etree.fromstring(expected))


@pytest.mark.parametrize("path", _OUTSIDE, ids=lambda path: path.stem)
def test_through_verovio_and_back(path: Path) -> None:
    """To MEI through verovio, to MusicXML again through music21, which reads no fingerings from MEI."""
    engraver = verovio.toolkit()
    assert engraver.loadData(marked(path, ALL).decode())
    try:
        back = converter.parse(engraver.getMEI(), format="mei")
        theirs = bytes(musicxml.m21ToXml.GeneralObjectExporter(back).parse())
    except Exception as error:
        pytest.xfail(f"music21 cannot read or write this score: {type(error).__name__}")
    part = etree.fromstring(theirs).find("part").get("id")
    again = annotate(theirs, read_options({"part": [part]}, ALL)).data
    nothing_doubled(again, theirs)
    assert clean(again) == theirs


@pytest.mark.parametrize("path", _OUTSIDE, ids=lambda path: path.stem)
def test_in_the_picture_each_finger_stands_once(path: Path) -> None:
    first = marked(path, ALL)
    again = annotate(without_instructions(first), ALL).data
    for data in (first, again):
        engraver = verovio.toolkit()
        engraver.setOptions({"breaks": "none", "header": "none", "footer": "none", "adjustPageHeight": True})
        assert engraver.loadData(data.decode())
        pages = [engraver.renderToSVG(number) for number in range(1, engraver.getPageCount() + 1)]
        drawn = sum(len(re.findall(r'class="fing"', page)) for page in pages)
        assert drawn == data.count(b"<fingering")


def test_drift_by_completed_ties_doubles_nothing() -> None:
    """An editor that completes half-written ties moves the plan by a note; what is kept binds."""
    data = (_SAMPLES / "ferry_waltz.musicxml").read_bytes()
    half = re.sub(rb"(<duration>\d+</duration>)", rb'\1<tie type="start"/>', data, count=12)
    first = annotate(half, ALL).data
    theirs = without_instructions(first).replace(b'<tie type="start"/>', b'<tie type="stop"/><tie type="start"/>')
    again = annotate(theirs, ALL).data
    nothing_doubled(again, theirs)
    assert clean(again) == theirs


def test_words_before_a_grace_note_are_seen() -> None:
    """The position is named before the grace note, and belongs to the note behind it."""
    note = "<note>{}<pitch><step>{}</step><octave>{}</octave></pitch>{}<voice>1</voice></note>"
    bars = [note.format("", "A", 6, "<duration>1</duration>"), note.format("<grace/>", "C", 5, "")]
    bars += [note.format("", step, 5, "<duration>1</duration>") for step in "BAG"]
    score = (
        "<score-partwise><part-list><score-part id='P1'><part-name>Violin</part-name></score-part></part-list>"
        "<part id='P1'><measure number='1'><attributes><divisions>1</divisions></attributes>{}</measure></part>"
        "</score-partwise>"
    ).format("".join(bars))
    theirs = without_instructions(annotate(score.encode(), ALL).data)
    assert b"pos." in theirs
    assert added(theirs, annotate(theirs, ALL).data, "words") == 0


def test_half_of_the_marks_gone() -> None:
    """Marks that an editor lost are written again; those that stayed are not doubled."""
    data = (_SAMPLES / "boathouse_reel.musicxml").read_bytes()
    theirs = without_instructions(annotate(data, ALL).data)
    count = theirs.count(b"<fingering")
    pieces = re.split(rb"(<fingering[^>]*>\d</fingering>)", theirs)
    lost = b"".join(piece for n, piece in enumerate(pieces) if n % 4 != 1)
    assert 0 < lost.count(b"<fingering") < count
    again = annotate(lost, ALL).data
    nothing_doubled(again)
    assert again.count(b"<fingering") == count


@pytest.mark.parametrize("path", samples(), ids=lambda path: path.stem)
def test_lines_are_not_doubled(path: Path) -> None:
    options = read_options({"range_lines": ["true"], "shift_lines": ["true"]}, ALL)
    theirs = without_instructions(marked(path, options))
    again = annotate(theirs, options).data
    for tag in ("fingering", "words", "bracket", "slide"):
        assert added(theirs, again, tag) == 0, tag
