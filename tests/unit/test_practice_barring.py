"""Any lengths become full bars of note values that can be written."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules import FIRST, Bar, Passage, Plan, SheetNote, bar_length, bars_of_plan, cheapest_route, practice_sheet
from rules import tuplet_of as tuplet
from service.musicxml.new.document import compose
from tests.notation import read_passage
from tests.schema import is_valid

METERS = [(4, 4), (3, 4), (2, 4), (6, 8), (9, 8), (3, 8), (5, 4), (7, 8)]
VALUES = [Fraction(8, 2**power) for power in range(9)]
WRITABLE = {*VALUES, *(value * 3 / 2 for value in VALUES)}


def lengths(bars: tuple[Bar, ...]) -> list[Fraction]:
    return [note.beats for bar in bars for note in bar.notes if not whole_rest(note, bar)]


def whole_rest(note: SheetNote, bar: Bar) -> bool:
    return note.is_rest and note.beats == bar_length(bar.meter)


@given(
    beats=st.lists(st.sampled_from([*map(Fraction, ("1/4", "1/2", "3/4", "1", "3/2", "2", "3", "4", "1/3", "2/3", "4/3",
                                                    "1/5", "1/6", "5/2", "7/2", "1/7", "5/12", "11/48", "1/15"))]),
                   min_size=2, max_size=12),
    meter=st.sampled_from(METERS),
)  # fmt: skip
def test_whatever_a_piece_brings_fills_its_bars(beats: list[Fraction], meter: tuple[int, int]) -> None:
    music = _barred(beats, meter)
    for exercise in practice_sheet(_plan(music), "").exercises:
        for bar in exercise.bars:
            assert sum((note.beats for note in bar.notes), Fraction(0)) == bar_length(bar.meter)
    context = _context(music)
    for length in lengths(context):
        many, time = tuplet(length)
        assert length * many / time in WRITABLE


def _plan(music: Passage) -> Plan:
    return Plan(music, FIRST, cheapest_route(music, FIRST))


def _barred(beats: list[Fraction], meter: tuple[int, int]) -> Passage:
    """A5 and B4 in turn with these lengths, bar lines where they fall together with a note."""
    words, place = [], Fraction(0)
    for index, length in enumerate(beats):
        words.append(f"{'A4' if index % 2 else 'B4'}:{length}")
        place += length
        if place % bar_length(meter) == 0:
            words.append("|")
    return read_passage(" ".join(words), meter=meter)


def _context(music: Passage) -> tuple[Bar, ...]:
    return bars_of_plan(_plan(music))


def test_tuplets_within_tuplets_are_rounded_to_what_can_be_read(passage: Callable[..., Passage]) -> None:
    music = passage("A4:1/15 B4:2/15 C5:4/5 D5:1 | A4:2", meter=(2, 4))
    bars = _context(music)
    assert {note.tones[0].pitch.name for note in bars[0].notes if note.tones} == {"A4", "B4", "C5", "D5"}
    assert sum((note.beats for note in bars[0].notes), Fraction(0)) == 2


def test_triplets_stay_triplets(passage: Callable[..., Passage]) -> None:
    music = passage("A4:1/3 B4:1/3 C5:1/3 D5:1 | A4:2", meter=(2, 4))
    assert [note.beats for note in _context(music)[0].notes] == [Fraction(1, 3)] * 3 + [Fraction(1)]


@pytest.mark.parametrize("meter", METERS)
def test_a_pick_up_is_led_in_by_rests(passage: Callable[..., Passage], meter: tuple[int, int]) -> None:
    length = bar_length(meter)
    music = passage(f"A4:1/2 | B4:{length}", meter=meter)
    first = _context(music)[0]
    assert first.notes[0].is_rest
    assert not first.notes[-1].is_rest
    assert is_valid(compose(practice_sheet(_plan(music), "")))
