"""Our reading of violin and viola parts against music21's own reading of the same files.

Source: music21, its corpus and its suite of MusicXML cases (the lilypond test suite). Compared are, bar by bar, the
place, pitch and length of every written note, and the lengths after ties are joined. Where a bar begins is compared
apart, for music21 lets a mark that stands beyond the last beat lengthen its bar.
"""

from __future__ import annotations

import warnings
from collections import Counter
from fractions import Fraction
from functools import cache
from itertools import pairwise
from pathlib import Path

import music21
import pytest
from lxml import etree

from service.errors import ScoreError
from service.musicxml.file.container import Document, open_document
from service.musicxml.notation.part import WrittenPart
from service.musicxml.notation.part_list import list_parts
from service.musicxml.read.reader import read_part

COLLECTION = Path(music21.__file__).parent
SUFFIXES = (".mxl", ".musicxml", ".xml")
Placed = tuple[int, Fraction, float, Fraction, bool]
"""Bar index, place in the bar, MIDI key, length in quarters, whether it is a grace note."""

SAMPLE = (
    pytest.param("bach/bwv248.42-4.mxl", marks=pytest.mark.long),
    "beethoven/opus18no1/movement3.mxl",
    pytest.param("haydn/opus1no1/movement4.mxl", marks=pytest.mark.long),
    "haydn/opus74no1/movement3.mxl",
    "mozart/k80/movement3.mxl",
    "mozart/k155/movement2.mxl",
)


LENGTHENED = {
    "beethoven/opus59no1/movement2.mxl": "P1 P2",
    "beethoven/opus59no1/movement4.mxl": "P1",
    "beethoven/opus59no3/movement1.mxl": "P1 P2 P3",
    "beethoven/opus59no3/movement2.mxl": "P1 P2 P3",
    "haydn/opus1no1/movement3.mxl": "P1",
    "haydn/opus1no1/movement4.mxl": "P1",
    "haydn/opus1no1/movement5.mxl": "P1",
    "mozart/k155/movement3.mxl": "P1 P3",
    "mozart/k458/movement4.mxl": "P1 P2 P3",
    "mozart/k80/movement4.mxl": "P1 P3",
    "schumann_robert/opus41no1/movement1.mxl": "P3",
    "schumann_robert/opus41no1/movement5.mxl": "P1",
}
"""Parts with a bar that music21 makes longer than its notes, rests and `<forward>`s add up to: we are right there."""


def documents() -> list[Path]:
    """Every MusicXML document that music21 brings."""
    return sorted(path for path in COLLECTION.rglob("*") if path.suffix in SUFFIXES)


@cache
def opened(path: Path) -> Document:
    return open_document(path.read_bytes())


def named(path: Path) -> str:
    return "/".join(path.relative_to(COLLECTION).parts[1:])


def exactly(number: float | Fraction) -> Fraction:
    """music21 keeps floats where they are exact and fractions elsewhere."""
    return Fraction(number).limit_denominator(65536)


def reference_notes(part: music21.stream.Part) -> Counter[Placed]:
    """The notes of one part as music21 reads them."""
    found: Counter[Placed] = Counter()
    for index, measure in enumerate(part.getElementsByClass(music21.stream.Measure)):
        for element in measure.recurse().notes:
            if isinstance(element, music21.harmony.Harmony):
                continue
            place = exactly(element.getOffsetInHierarchy(measure))
            length = exactly(element.duration.quarterLength)
            for pitch in element.pitches:
                grace = element.duration.isGrace
                found[index, place, float(pitch.ps), Fraction(0) if grace else length, grace] += 1
    return found


def our_notes(written: WrittenPart) -> Counter[Placed]:
    """The same notes as we read them, before ties."""
    per_quarter = written.per_quarter
    return Counter(
        (
            note.measure,
            Fraction(note.onset - written.measures[note.measure].onset, per_quarter),
            float(note.pitch.midi),
            Fraction(note.end - note.onset, per_quarter),
            note.grace,
        )
        for note in written.notes
    )


def lengthened_by_a_mark(measure: music21.stream.Measure) -> bool:
    """Whether something other than notes and printed rests makes music21's bar end where it does.

    Marks with an offset count for it, and for `<forward>` with duration 0 it makes a hidden rest of a quarter.
    """
    ends = [
        element.getOffsetInHierarchy(measure) + element.duration.quarterLength
        for element in measure.recurse().notesAndRests
        if not element.style.hideObjectOnPrint
    ]
    return not ends or max(ends) < measure.highestTime


def misplaced_bars(part: music21.stream.Part, written: WrittenPart) -> tuple[list[str], list[str]]:
    """Bars whose length differs: without a reason, and where music21's is that of a mark beyond the last beat."""
    measures = list(part.getElementsByClass(music21.stream.Measure))
    wrong: list[str] = []
    excused: list[str] = []
    for index, (theirs, following) in enumerate(pairwise(measures)):
        length = exactly(following.offset) - exactly(theirs.offset)
        ours = Fraction(written.measures[index].length, written.per_quarter)
        if length != ours:
            (excused if lengthened_by_a_mark(theirs) else wrong).append(f"bar {theirs.number}: {length} against {ours}")
    return wrong, excused


def joined(part: music21.stream.Part, written: WrittenPart) -> dict[tuple[int, Fraction, float], Fraction]:
    """Bar, place and key of every struck note with the length of its tied notes, by music21's notes and tie marks.

    Where bars begin is taken from our reading; their lengths are compared apart (`misplaced_bars`).
    """
    notes = []
    left_out = for_playback(written)
    for index, measure in enumerate(part.getElementsByClass(music21.stream.Measure)):
        onset = Fraction(written.measures[index].onset, written.per_quarter)
        for element in measure.recurse().notes:
            if isinstance(element, music21.harmony.Harmony) or element.duration.isGrace:
                continue
            place, length = exactly(element.getOffsetInHierarchy(measure)), exactly(element.duration.quarterLength)
            for each in element.notes if element.isChord else (element,):
                if (index, onset + place, float(each.pitch.ps)) not in left_out:
                    notes.append((onset + place, (index, place), each.pitch, length, each.tie and each.tie.type))
    return _join(notes)


def for_playback(written: WrittenPart) -> set[tuple[int, Fraction, float]]:
    """Bar, onset and key of notes that are not printed and stand beside printed ones: they are left to a program.

    music21 reads them as notes; on paper and under a hand they are the printed note, so we are right there.
    """
    keys: dict[bool, set[tuple[int, Fraction, float]]] = {True: set(), False: set()}
    for note in written.notes:
        onset = Fraction(note.onset, written.per_quarter)
        keys[note.head is note].add((note.measure, onset, float(note.pitch.midi)))
    return keys[True] - keys[False]


def _join(notes: list) -> dict[tuple[int, Fraction, float], Fraction]:  # type: ignore[type-arg]
    """Join each note with a tie to those of the same name that begin where it ends."""
    result: dict[tuple[int, Fraction, float], Fraction] = {}
    open_ends: dict[tuple[str, Fraction], tuple[int, Fraction, float]] = {}
    for onset, (bar, place), pitch, length, tie in sorted(notes, key=lambda note: (note[0], note[3])):
        head = open_ends.get((pitch.nameWithOctave, onset))
        key = head or (bar, place, float(pitch.ps))
        result[key] = result[key] + length if head else max(result.get(key, Fraction(0)), length)
        if tie in ("start", "continue"):
            open_ends[pitch.nameWithOctave, onset + length] = key
    return result


def staves(part: etree._Element) -> int:
    """How many staves a part has; music21 makes a part of each, so such parts are left out on both sides."""
    return max((int(element.text or "1") for element in part.iter("staves")), default=1)


def compare(path: Path) -> tuple[int, int]:
    """Compare every violin and viola part of a document; return how many parts and notes."""
    root = opened(path).root
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # music21 says what it repairs
        score = music21.converter.parse(path, forceSource=True)
    parts = {part.get("id"): part for part in root.iterchildren("part")}
    compared = notes = 0
    single = [part for part in score.parts if not isinstance(part, music21.stream.PartStaff)]
    listings = [listing for listing in list_parts(root) if staves(parts[listing.id]) < 2]
    for listing, reference in zip(listings, single, strict=True):
        if listing.instrument is None:
            continue
        written = WrittenPart(parts[listing.id], listing.id, 0)
        ours, theirs = our_notes(written), reference_notes(reference)
        assert ours - theirs == Counter(), f"{named(path)} {listing}: notes that music21 does not have"
        assert theirs - ours == Counter(), f"{named(path)} {listing}: notes that only music21 has"
        wrong, excused = misplaced_bars(reference, written)
        assert wrong == [], f"{named(path)} {listing}"
        assert bool(excused) == (listing.id in LENGTHENED.get(named(path), "").split()), f"{named(path)} {listing}"
        assert struck(root, listing.id) == joined(reference, written), f"{named(path)} {listing}: tied lengths"
        compared, notes = compared + 1, notes + sum(ours.values())
    return compared, notes


def struck(root: etree._Element, part_id: str) -> dict[tuple[int, Fraction, float], Fraction]:
    """Bar, place and key of every note of the passage that is no grace note, with its length."""
    passage = read_part(root, part_id).passage
    return {
        (event.measure, event.onset - passage.measures[event.measure].onset, float(note.pitch.midi)): note.beats
        for event in passage.events
        if not event.grace
        for note in event.notes
    }


@pytest.mark.parametrize("name", SAMPLE)
def test_sample_of_parts_equals_the_reference(name: str) -> None:
    compared, _ = compare(COLLECTION / "corpus" / name)
    assert compared >= 2


@pytest.mark.slow
def test_every_violin_and_viola_part_equals_the_reference() -> None:
    compared = 0
    for path in documents():
        if any(listing.instrument for listing in list_parts(opened(path).root)):
            compared += compare(path)[0]
    assert compared > 180


def read_or_refused(path: Path) -> tuple[int, int]:
    """Read every part of a document for a violin; return how many were read and how many refused."""
    read = refused = 0
    root = opened(path).root
    for listing in list_parts(root):
        try:
            passage = read_part(root, listing.id).passage
        except ScoreError:
            refused += 1
        else:
            assert [event.onset for event in passage.events] == sorted(event.onset for event in passage.events)
            read += 1
    return read, refused


@pytest.mark.parametrize(("every", "least"), [(100, 20), pytest.param(10, 200, marks=pytest.mark.long)])
def test_a_share_of_the_documents_is_read_or_refused(every: int, least: int) -> None:
    counts = [read_or_refused(path) for path in documents()[::every]]
    assert sum(read for read, _ in counts) > least


@pytest.mark.slow
def test_every_document_is_read_or_refused() -> None:
    counts = [read_or_refused(path) for path in documents()]
    assert len(counts) > 800
    assert sum(refused for _, refused in counts) <= 10  # fretted instruments, a tuning in mid-part, a part without id
