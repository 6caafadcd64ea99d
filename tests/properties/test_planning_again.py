"""A part planned again after a decision has the plan that it would have if nothing had been planned before."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules import (
    ALL,
    FIRST_AND_THIRD,
    LEVELS,
    VIOLIN,
    Constraint,
    Decisions,
    Fingers,
    Level,
    PartMemory,
    Passage,
    PrintingMemory,
    explain,
    printed_plan,
    propose,
)
from service.musicxml.file.container import open_document
from service.musicxml.read.reader import read_part
from tests.notation import read_passage

_PITCHES = [
    "G3",
    "A3",
    "C#4",
    "D4",
    "E4",
    "F4",
    "A4",
    "B4",
    "C5",
    "D5",
    "E5",
    "F#5",
    "G5",
    "A5",
    "B5",
    "C6",
    "E6",
    "A6",
]
_words = st.one_of(
    st.builds("{}:{}".format, st.sampled_from(_PITCHES), st.sampled_from(["1", "1/2", "1/4", "2"])),
    st.sampled_from(["R:1", "[D4 B4]:1", "[G3 D4 B4 G5]:1", "(A4:1/2 B4:1/2)", "(C5:1/4 E5:1/4 G5:1/4)"]),
)


@st.composite
def _passages(draw: st.DrawFn) -> Passage:
    """Bars of which some come again, so that there is something to finger alike."""
    bars = [" ".join(draw(st.lists(_words, min_size=1, max_size=8))) for _ in range(draw(st.integers(1, 6)))]
    order = draw(st.lists(st.sampled_from(bars), min_size=1, max_size=12))
    return read_passage(" | ".join(order), fifths=draw(st.integers(-2, 3)))


def _constraint(choose: random.Random) -> Constraint:
    fingers, strings, positions = (
        frozenset({choose.randint(*limits)}) if choose.random() < share else None
        for limits, share in (((0, 4), 0.6), ((1, 4), 0.3), ((1, 5), 0.4))
    )
    return Constraint(fingers, strings, positions, choose.random() < 0.05)


def _next(decisions: Decisions, passage: Passage, choose: random.Random) -> Decisions:
    """The decisions with one more, with one taken back, or with some notes in a row kept in first position."""
    found = dict(decisions)
    if found and choose.random() < 0.3:
        del found[choose.choice(sorted(found))]
    elif choose.random() < 0.2:
        start = choose.randrange(len(passage.notes))
        home = Constraint(positions=frozenset({1}))
        found |= {note.id: home for note in passage.notes[start : start + choose.randint(1, 12)]}
    else:
        found[choose.choice(passage.notes).id] = _constraint(choose)
    return found


def _is_the_same_again(passage: Passage, level: Level, choose: random.Random, times: int, *, told: bool) -> None:
    memory, decisions, printed = PartMemory(passage), dict[str, Constraint](), PrintingMemory()
    for _ in range(times):
        again, anew = (propose(passage, level, decisions=decisions, memory=kept) for kept in (memory, None))
        assert again.plan.route == anew.plan.route
        assert again.home.route == anew.home.route
        assert again.verdicts == anew.verdicts
        for fingers in Fingers:
            assert printed_plan(again.plan, fingers, memory=printed) == printed_plan(anew.plan, fingers)
        if told:
            explained, anew_explained = explain(again), explain(anew)
            assert explained.proposals == anew_explained.proposals
            assert explained.curve == anew_explained.curve
        decisions = _next(decisions, passage, choose)


@given(passage=_passages(), level=st.sampled_from(list(LEVELS.values())), choose=st.randoms(use_true_random=False))
def test_invented_parts(passage: Passage, level: Level, choose: random.Random) -> None:
    if passage.notes:
        _is_the_same_again(passage, level, choose, 4, told=True)


@pytest.mark.parametrize("level", [FIRST_AND_THIRD, ALL], ids=lambda level: level.name)
@pytest.mark.parametrize("sample", ["ferry_waltz", "reed_crossing", "two_oars", "boathouse_reel"])
def test_samples(sample: str, level: Level, sample_scores: dict[str, Path]) -> None:
    passage = read_part(open_document(sample_scores[sample].read_bytes()).root, "P1", VIOLIN).passage
    _is_the_same_again(passage, level, random.Random(sample), 4, told=True)


@pytest.mark.parametrize("level", [FIRST_AND_THIRD, ALL], ids=lambda level: level.name)
@pytest.mark.parametrize(
    "work", ["mozart/k80/movement1", pytest.param("haydn/opus74no1/movement1", marks=pytest.mark.long)]
)
def test_parts_of_quartets(work: str, level: Level, tmp_path: Path) -> None:
    from music21 import corpus

    document = open_document(Path(str(corpus.getWork(work))).read_bytes())
    passage = read_part(document.root, document.root.find("part").get("id"), VIOLIN).passage  # type: ignore[union-attr]
    _is_the_same_again(passage, level, random.Random(work), 5, told=False)
