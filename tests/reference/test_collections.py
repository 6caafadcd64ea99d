"""Two collections of the music21 package, planned and looked at as a whole (source of the scores: music21's corpus).

Every violin and viola part is planned on the whole fingerboard, and nothing that a finger can stop is left out. A
collection of fiddle tunes (Ryan's Mammoth Collection, in ABC) lies in first position and stays there.
"""

from __future__ import annotations

import sys
from collections import Counter
from pathlib import Path

import music21
import pytest

from rules import FIRST, stops_for
from service.config.options import read_options
from service.errors import ScoreError
from service.musicxml.file.container import open_document
from service.musicxml.notation.part_list import choose_parts
from service.usecases.annotate import PartReview, review_document, review_score

CORPUS = Path(music21.__file__).parent / "corpus"
_EVERY_TUNE = 8
_MOST_AWAY = 0.08
"""Common practice: a fiddle tune that lies in first position is hardly ever taken out of it."""

pytestmark = pytest.mark.slow


def reviewed(instrument: str) -> list[PartReview]:
    """Every part named for the instrument, planned on the whole fingerboard."""
    found: list[PartReview] = []
    for path in sorted(p for p in CORPUS.rglob("*") if p.suffix in {".mxl", ".xml", ".musicxml"}):
        document = open_document(path.read_bytes())
        try:
            listings = choose_parts(document.root, instrument, ())
        except ScoreError:
            continue
        names = [listing.id for listing in listings if listing.instrument == instrument]
        if names:
            found += review_document(
                document, read_options({"instrument": [instrument], "level": ["all"], "part": names})
            )
    return found


@pytest.mark.parametrize(("instrument", "fewest"), [("violin", 100), ("viola", 40)])
def test_every_part_of_the_corpus_is_planned_and_no_single_note_is_left_out(instrument: str, fewest: int) -> None:
    parts = reviewed(instrument)
    assert len(parts) >= fewest
    levels = Counter(part.review.need.level.name for part in parts)
    for name, count in levels.most_common():
        sys.stdout.write(f"{instrument}: {count} of {len(parts)} parts ({count / len(parts):.0%}) need {name}\n")
    for part in parts:
        for fingered in part.review.plan.unheld:
            alone = len(part.passage.events[fingered.event].notes) == 1
            stops = stops_for(fingered.note.pitch, part.passage.instrument)
            assert not (alone and stops), f"{part.passage.name}: {fingered.note.pitch.name}"


def test_fiddle_tunes_that_lie_in_first_position_stay_there() -> None:
    # The collection prints fingerings here and there; without them the planner decides.
    options = read_options({"level": ["first-and-third"], "printed": ["ignore"]})
    at_home, away = 0, Counter[str]()
    tunes_away = 0
    for path in sorted((CORPUS / "ryansMammoth").glob("*.abc"))[::_EVERY_TUNE]:
        try:
            parts = review_score(path.read_bytes(), options)
        except ScoreError:
            continue
        (part,) = parts
        if part.review.need.level is FIRST:
            at_home += 1
            proposals = part.review.planned.proposals
            tunes_away += bool(proposals)
            away.update(proposal.reasons[0].value for proposal in proposals)
    sys.stdout.write(f"{tunes_away} of {at_home} tunes within first position leave it: {dict(away)}\n")
    assert at_home >= 100
    assert tunes_away / at_home <= _MOST_AWAY
