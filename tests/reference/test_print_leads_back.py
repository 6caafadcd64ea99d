"""The print alone leads back to the plan: an independent player reads the marked bytes and takes every note as meant.

Source of the conventions: see `player` (common practice). Three laws, one for each amount of digits:

- `essential`: the player takes every note as planned, in written order and in the order of repeats and endings. Nothing
  can be left out, apart from the courtesies: the marks on the first note after a shift, and a digit again after
  eight bars or a jump away from first position.
- `all`: the same, and every note that is struck carries its digit.
- `shifts`: the player's hand arrives wherever the plan's does, and no digit stands elsewhere.

Set HANDFRAME_PIECES to one or more folders of MusicXML (separated as in PATH) to hold the laws to them as well.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import groupby
from pathlib import Path

import pytest
from lxml import etree

from rules import LEVELS, FingeredNote
from service.config.options import Options, read_options
from service.errors import ScoreError
from service.musicxml.file.container import open_document
from service.usecases.annotate import PartReview
from tests.conftest import ROOT
from tests.reference.player import Memory, Open, Taken, reading, take
from tests.reference.printed_page import Moment, Page, read_page
from tests.reference.test_corpus_annotated import answered
from tests.reference.test_corpus_bytes import documents

SAMPLES = sorted(path for path in (ROOT / "sample_scores").iterdir() if path.suffix in {".musicxml", ".mxl"})
GIVEN = sorted(
    path
    for folder in os.environ.get("HANDFRAME_PIECES", "").split(os.pathsep)
    if folder
    for path in Path(folder).iterdir()
    if path.suffix in {".musicxml", ".mxl", ".xml"}
)
_EVERY = 14
_BARS = 8
MOST_DIGITS = 0.18


@dataclass(frozen=True)
class Marked:
    """One marked part: what was planned for every note, by its order in the document, and the page.

    `unmet` are notes where the part prints what the plan could not keep, or asks for more than a hand holds;
    `own` those where it prints anything.
    """

    planned: dict[int, Taken]
    unmet: frozenset[int]
    own: frozenset[int]
    page: Page
    strings: Open


def _taken(fingered: FingeredNote) -> Taken | None:
    return None if fingered.stop is None else Taken(fingered.stop.string, fingered.stop.finger, fingered.position)


def marked_parts(path: Path, options: Options) -> Iterator[Marked]:
    """Mark a document and read every part of it back."""
    answer = answered(path.read_bytes(), options)
    if isinstance(answer, ScoreError):
        assert answer.status < 500, f"{path.name}: {answer}"
        return
    data = etree.tostring(open_document(answer.data).root)
    for part in answer.parts:
        yield _marked_part(part, data)


def _marked_part(part: PartReview, data: bytes) -> Marked:
    order = {id: place.note for id, place in part.reading.places.items()}
    planned = {
        order[fingered.note.id]: taken for fingered in part.review.plan.fingered_notes if (taken := _taken(fingered))
    }
    broken = {unmet.event for unmet in part.unmet} | {fingered.event for fingered in part.review.plan.unheld}
    unmet = frozenset(
        order[fingered.note.id] for fingered in part.review.plan.fingered_notes if fingered.event in broken
    )
    worded = {index for index, event in enumerate(part.passage.events) if event.position is not None or event.string}
    own = frozenset(
        order[fingered.note.id]
        for fingered in part.review.plan.fingered_notes
        if fingered.note.printed or fingered.event in worded
    )
    strings = tuple((pitch.letter, pitch.midi) for pitch in part.passage.instrument.open_strings)
    return Marked(planned, unmet, own, read_page(data, part.passage.part), strings)


def misread(marked: Marked) -> list[int]:
    """The notes, by order in the document, that the player takes otherwise than planned, in either order of bars."""
    wrong = set()
    for page in (marked.page, _as_played(marked.page)):
        for moment, _, after in reading(page.moments, marked.strings):
            taken = after.taken or (None,) * len(moment.signs)
            for sign, one in zip(moment.signs, taken, strict=True):
                if (
                    sign.order in marked.planned
                    and sign.order not in marked.unmet
                    and one != marked.planned[sign.order]
                ):
                    wrong.add(sign.order)
    return sorted(wrong)


def _as_played(page: Page) -> Page:
    bars = {bar: list(moments) for bar, moments in groupby(page.moments, key=lambda moment: moment.bar)}
    # Played again, a bar is another bar: the note before its first one is not "the same note again".
    played = []
    for time, bar in enumerate(page.played_bars):
        for moment in bars.get(bar, ()):
            played.append(replace(moment, signs=[replace(sign, bar=time) for sign in moment.signs]))
    return Page(played)


def needless(marked: Marked) -> list[str]:
    """Marks without which the player would take the note as planned all the same, and which are no courtesy."""
    found = []
    told, hand = 0, 1
    for moment, before, after, entered in _with_jumps(marked):
        arrives = after.position != hand
        again = after.position != 1 and moment.bar - told >= _BARS
        if moment.signs[0].order not in marked.own | marked.unmet:
            for name, less in _without(moment):
                courtesy = entered or (arrives and name != "word") or (again and name == "digits")
                if not courtesy and _same(take(less, before, marked.strings), after):
                    found.append(f"{name} on note {moment.signs[0].order} in bar index {moment.bar}")
        if arrives or ((again or entered) and any(digit for sign in moment.signs for digit in sign.digits)):
            told = moment.bar
        hand = after.position
    return found


def _with_jumps(marked: Marked) -> Iterator[tuple[Moment, Memory, Memory, bool]]:
    """The page as it is read, and whether the player may come from elsewhere.

    That holds in the bar to which a jump leads, and on to the first note that a finger stops.
    """
    jumps = _after_jumps(marked.page)
    bar, entered = -1, False
    for moment, before, after in reading(marked.page.moments, marked.strings):
        entered = entered or not jumps.isdisjoint(range(bar + 1, moment.bar + 1))
        bar = moment.bar
        yield moment, before, after, entered or bar in jumps
        planned = [marked.planned[sign.order] for sign in moment.signs if sign.order in marked.planned]
        entered = entered and not any(taken.finger for taken in planned)


def _same(one: Memory, other: Memory) -> bool:
    return (one.taken, one.position) == (other.taken, other.position)


def _after_jumps(page: Page) -> set[int]:
    """Bars that are not always played after the bar written before them."""
    repeated = {bar for last, bar in zip(page.played_bars, page.played_bars[1:], strict=False) if bar != last + 1}
    return repeated | page.entered


def _without(moment: Moment) -> Iterator[tuple[str, Moment]]:
    """The moment without its digits (a chord's go together), without one string mark, without its position word."""
    if any(sign.digits for sign in moment.signs):
        yield "digits", replace(moment, signs=[replace(sign, digits=()) for sign in moment.signs])
    for index, sign in enumerate(moment.signs):
        if sign.strings:
            signs = [*moment.signs]
            signs[index] = replace(sign, strings=())
            yield "string", replace(moment, signs=signs)
    if moment.position is not None:
        bare = [replace(sign, digits=(), strings=()) for sign in moment.signs]
        yield "word", replace(moment, position=None, signs=bare)


def hold_essential(path: Path, options: Options) -> tuple[int, int]:
    """Hold one document to the law of essential digits; returns its notes and its digits."""
    notes = digits = 0
    for marked in marked_parts(path, options):
        assert misread(marked) == [], f"{path.name}: the print does not lead to the plan"
        assert needless(marked) == [], f"{path.name}: printed without need"
        notes += len(marked.planned)
        digits += sum(bool(sign.digits) for moment in marked.page.moments for sign in moment.signs)
    return notes, digits


def hold_all(path: Path, options: Options) -> int:
    """Hold one document to the law of all digits; returns its notes."""
    notes = 0
    for marked in marked_parts(path, options):
        assert misread(marked) == [], f"{path.name}: the print does not lead to the plan"
        signs = [sign for moment in marked.page.moments for sign in moment.signs if sign.order in marked.planned]
        assert all(sign.digits for sign in signs), f"{path.name}: a note without its digit"
        notes += len(signs)
    return notes


def hold_shifts(path: Path, options: Options) -> int:
    """Hold one document to the law of digits at shifts; returns how often the hand arrives somewhere."""
    arrivals = 0
    for marked in marked_parts(path, options):
        hand = planned = 1
        for moment, _, after, entered in _with_jumps(marked):
            signs = [sign for sign in moment.signs if sign.order in marked.planned]
            position = next((p for sign in signs if (p := marked.planned[sign.order].position) is not None), planned)
            if not any(sign.order in marked.own | marked.unmet for sign in signs):
                wanted = position != hand or entered
                assert wanted or not any(sign.digits for sign in signs), f"{path.name}: a digit without a shift"
                assert after.position == position, f"{path.name}: the hand is elsewhere in bar index {moment.bar}"
                arrivals += position != planned
            hand, planned = after.position, position
    return arrivals


def options_of(level: str, fingers: str = "essential", instrument: str = "violin", **more: str) -> Options:
    """Options from words."""
    given = {"level": level, "fingers": fingers, "instrument": instrument, **more}
    return read_options({name: [value] for name, value in given.items()})


LEVELS_NAMED = pytest.mark.parametrize("level", LEVELS)
_SHORT = {"first-and-third", "all"}
SOME_LEVELS = pytest.mark.parametrize(
    "level", [pytest.param(level, marks=() if level in _SHORT else pytest.mark.long) for level in LEVELS]
)


@LEVELS_NAMED
def test_essential_marks_of_the_samples_lead_back_and_are_few(level: str) -> None:
    counted = [hold_essential(path, options_of(level)) for path in SAMPLES]
    notes, digits = (sum(numbers) for numbers in zip(*counted, strict=True))
    assert 0 < digits <= MOST_DIGITS * notes


@SOME_LEVELS
def test_all_digits_of_the_samples_lead_back(level: str) -> None:
    assert sum(hold_all(path, options_of(level, "all")) for path in SAMPLES) > 0


@SOME_LEVELS
def test_digits_at_shifts_of_the_samples_bring_the_hand_there(level: str) -> None:
    arrivals = sum(hold_shifts(path, options_of(level, "shifts")) for path in SAMPLES)
    assert arrivals > 0 or level == "first"


@pytest.mark.parametrize("strings", ["elements", "both"])
def test_strings_as_elements_lead_back_as_well(strings: str) -> None:
    assert sum(hold_essential(path, options_of("all", strings=strings))[0] for path in SAMPLES) > 0


@pytest.mark.parametrize("every", [6 * _EVERY, pytest.param(_EVERY, marks=pytest.mark.long)])
@pytest.mark.parametrize("instrument", ["violin", "viola"])
def test_a_sample_of_the_collection_leads_back(instrument: str, every: int) -> None:
    for path in documents()[::every]:
        hold_essential(path, options_of("first-and-third", instrument=instrument))
        hold_shifts(path, options_of("first-and-third", "shifts", instrument))


@pytest.mark.slow
@LEVELS_NAMED
@pytest.mark.parametrize("instrument", ["violin", "viola"])
def test_the_whole_collection_leads_back(instrument: str, level: str) -> None:
    notes = digits = 0
    for path in documents():
        found = hold_essential(path, options_of(level, instrument=instrument))
        notes, digits = notes + found[0], digits + found[1]
        hold_all(path, options_of(level, "all", instrument))
        hold_shifts(path, options_of(level, "shifts", instrument))
    assert 0 < digits <= MOST_DIGITS * notes


if GIVEN:

    @pytest.mark.parametrize("path", GIVEN, ids=lambda path: path.stem)
    @LEVELS_NAMED
    def test_pieces_given_lead_back(path: Path, level: str) -> None:
        hold_essential(path, options_of(level))
        hold_all(path, options_of(level, "all"))
        hold_shifts(path, options_of(level, "shifts"))
