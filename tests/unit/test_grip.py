"""Stops, grips and the frame: what one hand can hold. Facts of the trade are common practice unless named otherwise."""

from __future__ import annotations

import pytest

import rules.hand.grip as hand
from rules import ALL, FIRST, VIOLA, VIOLIN, Grip, Pitch, Stop
from rules.hand.grip import HIGHEST_POSITION, fits_together, frame_excess, grips_for, own_position, stops_for

EVERYWHERE = frozenset(range(HIGHEST_POSITION + 1))


def pitches(*names: str) -> tuple[Pitch, ...]:
    return tuple(map(Pitch.named, names))


def fingers(grips: tuple[Grip, ...]) -> set[tuple[int, ...]]:
    return {tuple(stop.finger for stop in grip.stops) for grip in grips}


@pytest.mark.parametrize(
    ("name", "string", "finger", "position"),
    [
        ("C4", 4, 1, 3),
        ("G4", 3, 1, 3),
        ("D5", 2, 1, 3),
        ("A5", 1, 1, 3),
        ("B5", 1, 4, 1),
        ("D6", 1, 4, 3),
        ("F6", 1, 4, 5),
        ("A6", 1, 4, 7),
        ("F4", 3, 2, 1),
        ("F#4", 3, 2, 1),
        ("G#3", 4, 1, 0),
    ],
)
def test_charts_of_the_positions(name: str, string: int, finger: int, position: int) -> None:
    found = {(stop.string, stop.finger): positions for stop, positions in stops_for(Pitch.named(name), VIOLIN)}
    assert position in found[string, finger]
    assert own_position(Pitch.named(name).letter - VIOLIN.open_pitch(string).letter, finger) == position


def test_enharmonic_spelling_needs_no_shift() -> None:
    # C sharp on the A string and D flat: the same place, within reach of the same hand.
    sharp = {(s.string, s.finger, p) for s, at in stops_for(Pitch.named("C#5"), VIOLIN) for p in at}
    flat = {(s.string, s.finger, p) for s, at in stops_for(Pitch.named("Db5"), VIOLIN) for p in at}
    assert (2, 2, 1) in sharp & flat or (2, 3, 1) in sharp & flat


def test_open_string_says_nothing_about_the_hand() -> None:
    stop, positions = next((s, p) for s, p in stops_for(Pitch.named("A4"), VIOLIN) if s.is_open)
    assert (stop.string, positions) == (2, ())
    grips = [g for g in grips_for(pitches("A4"), VIOLIN, frozenset({1, 3})) if g.is_open]
    assert [g.position for g in grips] == [1, 3]


def test_frame_in_first_position() -> None:
    # On one string: first finger one or two semitones above the nut, fourth six or seven; one more is an extension.
    assert [frame_excess(s, 1, 1) for s in (1, 2)] == [0, 0]
    assert [frame_excess(s, 4, 1) for s in (6, 7, 8)] == [0, 0, 1]


def test_nothing_below_the_lowest_string() -> None:
    assert stops_for(Pitch.named("F#3"), VIOLIN) == ()
    assert stops_for(Pitch.named("F#3"), VIOLA)


def test_high_c_in_first_position_is_an_extended_fourth() -> None:
    # Common practice: C6 is reached from first position by the fourth finger.
    grips = grips_for(pitches("C6"), VIOLIN, FIRST.positions)
    assert {(g.stops[0].finger, g.excess) for g in grips} == {(4, 1)}


@pytest.mark.parametrize(
    ("low", "high", "pair"),
    [
        ("E4", "B4", (1, 1)),  # a fifth: one finger laid across
        ("E4", "C5", (1, 2)),  # a minor sixth: neighbouring fingers
        ("G4", "B4", (3, 1)),  # a third: 3 below 1
        ("A4", "C5", (4, 2)),  # a third: 4 below 2
        ("E4", "E5", (1, 4)),  # an octave: 1 below 4
    ],
)
def test_double_stops(low: str, high: str, pair: tuple[int, int]) -> None:
    assert pair in fingers(grips_for(pitches(low, high), VIOLIN, EVERYWHERE))


def test_tenths_are_stretched_one_to_four() -> None:
    # Nobody reaches an eleventh from the nut.
    assert fingers(grips_for(pitches("A3", "C5"), VIOLIN, EVERYWHERE)) == {(1, 4)}
    assert fingers(grips_for(pitches("E4", "G#5"), VIOLIN, EVERYWHERE, any_height=True)) == {(1, 4)}
    assert grips_for(pitches("Ab3", "D5"), VIOLIN, EVERYWHERE, any_height=True) == ()


def test_chords_lie_on_neighbouring_strings_one_note_each() -> None:
    for grip in grips_for(pitches("G3", "D4", "B4", "G5"), VIOLIN, ALL.positions):
        assert [stop.string for stop in grip.stops] == [4, 3, 2, 1]


def test_one_finger_on_two_strings_only_for_a_fifth() -> None:
    assert fits_together(Stop(3, 1, 2, 1), Stop(2, 1, 2, 1))
    assert not fits_together(Stop(3, 1, 2, 1), Stop(2, 1, 3, 2))
    assert not fits_together(Stop(4, 1, 2, 1), Stop(2, 1, 2, 1))


def test_order_breaks_ties_towards_the_nut() -> None:
    grips = grips_for(pitches("D5"), VIOLIN, EVERYWHERE)
    assert [g.position for g in grips] == sorted(g.position for g in grips)
    assert grips == grips_for(pitches("D5"), VIOLIN, EVERYWHERE)


def test_a_chord_with_more_notes_than_strings_has_no_grip() -> None:
    cluster = tuple(Pitch.named(name) for name in ("A4", "B4", "C5", "D5", "E5", "F5"))
    assert grips_for(cluster[:4], VIOLIN, EVERYWHERE, True) is not None
    assert grips_for(cluster, VIOLIN, EVERYWHERE, True) == ()


def test_a_chord_is_searched_string_by_string(monkeypatch: pytest.MonkeyPatch) -> None:
    # Six notes have about 16 stops each: every combination of them would be 16 ** 6 looks at two stops.
    looks = 0
    plainly = hand.fits_together

    def counted(low: Stop, high: Stop) -> bool:
        nonlocal looks
        looks += 1
        return plainly(low, high)

    monkeypatch.setattr(hand, "fits_together", counted)
    four = tuple(Pitch.named(name) for name in ("A4", "C5", "E5", "A5"))
    grips_for.__wrapped__(four, VIOLIN, EVERYWHERE, True)
    assert 0 < looks < 20_000
