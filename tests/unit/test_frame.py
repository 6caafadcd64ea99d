"""The frame of the hand, stop by stop: what lies just within a limit and what just beyond.

The tables are common practice: low and high fingers, tenths under one and four, no elevenths. Numbers are semitones.
"""

from __future__ import annotations

import pytest

from rules import ALL, VIOLIN, Grip, Pitch, Stop
from rules.hand.grip import (
    EVERY_POSITION,
    FINGERBOARD,
    HIGHEST_POSITION,
    OPEN_KEEPS,
    USUAL_HEIGHT,
    along,
    fits_together,
    frame_excess,
    grips_for,
    outward,
    stops_for,
)
from rules.hand.reach import everywhere, reach, waiting


# The lowest and the highest place of each finger above the open string.
@pytest.mark.parametrize(
    ("position", "places"),
    [
        (0, [(-1, 1), (1, 2), (3, 4), (4, 6)]),
        (1, [(1, 2), (3, 4), (4, 6), (6, 7)]),
        (2, [(3, 4), (4, 6), (6, 8), (8, 9)]),
        (3, [(4, 6), (6, 8), (8, 9), (9, 11)]),
        (4, [(6, 8), (8, 9), (9, 11), (11, 13)]),
        (5, [(8, 9), (9, 11), (11, 13), (13, 14)]),
        (7, [(11, 13), (13, 14), (15, 16), (16, 18)]),
    ],
)
def test_frame_of_every_finger(position: int, places: list[tuple[int, int]]) -> None:
    for finger, (lowest, highest) in enumerate(places, start=1):
        for semitones in range(lowest, highest + 1):
            assert frame_excess(semitones, finger, position) == 0
        for beyond in (1, 2):
            assert frame_excess(lowest - beyond, finger, position) == -beyond
            assert frame_excess(highest + beyond, finger, position) == beyond


def test_quarter_tones_count_as_the_semitone_they_reach_into() -> None:
    assert [frame_excess(semitones, 1, 1) for semitones in (0.5, 1.0, 2.0, 2.5)] == [-1, 0, 0, 1]


# From which positions a finger takes a note on the A string: its own, a neighbour within the frame, or reaching (the
# first finger a semitone back, the fourth a semitone up).
@pytest.mark.parametrize(
    ("name", "positions"),
    [
        ("Bb4", {1: (0, 1), 2: (0,)}),
        ("B4", {1: (1, 2), 2: (0,)}),
        ("B#4", {1: (1, 2), 2: (0, 1), 3: (0,)}),
        ("C5", {1: (2, 3), 2: (1,), 3: (0,)}),
        ("C#5", {1: (2, 3), 2: (1, 2), 3: (0, 1), 4: (0,)}),
        ("D5", {1: (3, 4), 2: (2,), 3: (1,), 4: (0,)}),
        ("E5", {1: (4, 5), 2: (3,), 3: (2,), 4: (0, 1)}),
        ("F5", {1: (4, 5, 6), 2: (3, 4), 3: (2, 3), 4: (1, 2)}),
    ],
)
def test_positions_from_which_a_finger_takes_a_note(name: str, positions: dict[int, tuple[int, ...]]) -> None:
    found = {stop.finger: reached for stop, reached in stops_for(Pitch.named(name), VIOLIN) if stop.string == 2}
    assert found == positions


def test_the_fingerboard_ends_three_octaves_up() -> None:
    assert FINGERBOARD == 36
    top = [(stop.string, stop.finger, at) for stop, at in stops_for(Pitch.named("E8"), VIOLIN)]
    assert top == [(1, 4, (HIGHEST_POSITION - 1, HIGHEST_POSITION))]
    assert stops_for(Pitch.named("F8"), VIOLIN) == ()


def test_lower_strings_are_used_up_to_a_twelfth_unless_a_mark_asks() -> None:
    def strings(name: str, any_height: bool) -> set[int]:
        return {grip.stops[0].string for grip in grips_for((Pitch.named(name),), VIOLIN, EVERY_POSITION, any_height)}

    assert USUAL_HEIGHT == 19
    assert strings("D5", False) == {2, 3, 4}
    assert strings("Eb5", False) == {2, 3}
    assert strings("Eb5", True) == {2, 3, 4}
    assert strings("C7", False) == {1}, "the highest string goes on to its end"


def test_steps_grow_narrower_up_the_string() -> None:
    # Half the string is an octave (acoustics); the step at the fourth semitone is the unit.
    assert along(0) == 0
    assert along(24) - along(12) == pytest.approx((along(12) - along(0)) / 2)
    assert along(4.5) - along(3.5) == pytest.approx(1, abs=0.002)


def pair(low: tuple[int, int], high: tuple[int, int]) -> bool:
    """Whether one hand holds two stops on neighbouring strings, each a finger and its semitones."""
    return fits_together(Stop(4, low[0], low[1], low[1]), Stop(3, high[0], high[1], high[1]))


@pytest.mark.parametrize(
    ("first", "second", "narrowest", "widest"),
    [(1, 2, 1, 4), (2, 3, 1, 4), (3, 4, 1, 4), (1, 3, 2, 6), (2, 4, 2, 6), (1, 4, 3, 9)],
)
def test_two_fingers_reach_so_far_and_no_further(first: int, second: int, narrowest: int, widest: int) -> None:
    # The lower finger stands a semitone above the nut.
    for semitones in range(-1, 12):
        fits = narrowest <= semitones <= widest
        assert pair((first, 1), (second, semitones)) is fits, semitones
        assert pair((second, semitones), (first, 1)) is fits, "whichever string is the lower one"


def test_one_finger_lies_across_two_neighbouring_strings() -> None:
    assert fits_together(Stop(2, 2, 3, 2), Stop(1, 2, 3, 2))
    assert not fits_together(Stop(2, 2, 3, 2), Stop(1, 2, 4, 2))
    assert not fits_together(Stop(3, 2, 3, 2), Stop(1, 2, 3, 2)), "a string between"
    assert fits_together(Stop(3, 0, 0, 0), Stop(1, 2, 30, 2)), "an open string fits to anything"
    assert fits_together(Stop(3, 2, 30, 2), Stop(1, 0, 0, 0))


def test_a_letter_outward_is_a_reach_of_the_outer_fingers() -> None:
    back, own, up = Stop(2, 1, 4, 2), Stop(2, 1, 5, 3), Stop(2, 4, 11, 7)
    assert [outward(stop, 3) for stop in (back, own, up)] == [True, False, True]
    assert not outward(Stop(2, 1, 6, 4), 3), "up is no reach for the first finger"
    assert not outward(Stop(2, 4, 9, 5), 3), "nor back for the fourth"
    assert not outward(Stop(2, 2, 6, 3), 3), "inner fingers never reach so"


def test_a_grip_reaches_if_a_finger_leaves_the_frame_or_its_letter() -> None:
    def reaches(finger: int, semitones: int, letters: int, position: int) -> bool:
        return Grip((Stop(2, finger, semitones, letters),), position).reaches

    assert not reaches(4, 7, 4, 1)
    assert reaches(4, 8, 4, 1), "out of the frame"
    assert reaches(4, 11, 7, 3), "to the next letter"
    assert reaches(1, 4, 2, 3), "a letter back"
    assert not reaches(1, 1, 0, 1), "the low first finger of first position is an everyday one"


def test_a_plain_grip_has_every_finger_under_its_own_letter_and_within_the_frame() -> None:
    def plain(*stops: Stop, position: int = 1) -> bool:
        return Grip(stops, position).plain

    assert plain(Stop(3, 0, 0, 0), Stop(2, 1, 2, 1))
    assert not plain(Stop(2, 1, 2, 0))
    assert not plain(Stop(2, 4, 8, 4))
    assert not plain(Stop(3, 1, 2, 1), Stop(2, 4, 8, 4))


def test_excess_of_a_grip_is_that_of_all_fingers() -> None:
    grip = Grip((Stop(3, 1, 0, 0), Stop(2, 0, 0, 0), Stop(1, 4, 9, 5)), 1)
    assert grip.excess == 1 + 2


def test_ties_go_to_the_nut_the_frame_the_upper_strings_and_the_lower_fingers() -> None:
    grips = grips_for((Pitch.named("C#5"),), VIOLIN, frozenset({1, 2}))
    keys = [(g.position, g.excess, tuple(s.string for s in g.stops), tuple(s.finger for s in g.stops)) for g in grips]
    assert keys == sorted(keys)
    assert len(keys) == len(set(keys)) > 3


def test_chords_leave_the_frame_only_where_a_mark_asks() -> None:
    chord = (Pitch.named("Ab3"), Pitch.named("B4"))
    within = grips_for(chord, VIOLIN, frozenset({1}))
    marked = grips_for(chord, VIOLIN, frozenset({1}), True)
    assert set(within) < set(marked)
    assert max(grip.excess for grip in marked) > max((grip.excess for grip in within), default=0)


def test_chords_lie_on_neighbouring_strings() -> None:
    found = grips_for((Pitch.named("G3"), Pitch.named("E5")), VIOLIN, EVERY_POSITION, True)
    assert all(abs(grip.stops[0].string - grip.stops[1].string) == 1 for grip in found)
    three = grips_for((Pitch.named("D4"), Pitch.named("A4"), Pitch.named("F#5")), VIOLIN, ALL.positions)
    assert {tuple(sorted(stop.string for stop in grip.stops)) for grip in three} == {(1, 2, 3), (2, 3, 4)}


def test_a_waiting_hand_rests_no_higher_than_seventh_position() -> None:
    opened = grips_for((Pitch.named("A4"),), VIOLIN, EVERY_POSITION)
    assert OPEN_KEEPS == 7
    assert {grip.position for grip in waiting(opened) if grip.is_open} == set(range(8))
    assert {grip.position for grip in waiting(opened) if not grip.is_open} == {
        grip.position for grip in opened if not grip.is_open
    }
    assert tuple(everywhere((Pitch.named("A4"),), VIOLIN)) == tuple(
        waiting(grips_for((Pitch.named("A4"),), VIOLIN, EVERY_POSITION, True))
    )


def test_beyond_the_level_the_lowest_positions_without_a_stretch_come_into_question() -> None:
    within, needed = reach((Pitch.named("B5"),), VIOLIN, frozenset({1}))
    assert not needed
    assert {grip.position for grip in within} == {1}
    beyond, needed = reach((Pitch.named("A6"),), VIOLIN, frozenset({1}))
    assert needed
    positions = {grip.position for grip in beyond}
    assert positions == {7, 8, 9, 10}, "the lowest, and one for each finger above it"
    assert all(grip.plain for grip in beyond)
    assert reach((Pitch.named("F3"),), VIOLIN, frozenset({1})) == ((), True)


@pytest.mark.parametrize(
    ("low", "high", "position", "held"),
    [
        (("A3", 1), ("A4", 4), 1, True),  # both within the frame
        (("A3", 1), ("B4", 4), 1, True),  # the fourth finger two semitones out
        (("A3", 1), ("C5", 4), 1, False),  # three
        (("A3", 1), ("G4", 2), 1, True),  # an inner finger one semitone out
        (("A3", 1), ("G#4", 2), 1, False),  # two
    ],
)
def test_in_a_marked_chord_an_outer_finger_leaves_the_frame_by_two_semitones_an_inner_by_one(
    low: tuple[str, int], high: tuple[str, int], position: int, held: bool
) -> None:
    chord = (Pitch.named(low[0]), Pitch.named(high[0]))
    grips = grips_for(chord, VIOLIN, frozenset({position}), True)
    assert ((low[1], high[1]) in {tuple(stop.finger for stop in grip.stops) for grip in grips}) is held
