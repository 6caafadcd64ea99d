"""What the left hand does in each bar, and the bars that are practised first."""

from __future__ import annotations

from rules import BarWork, bars_with_most, work_by_bar
from tests.notation import plan_with_stops, read_passage


def bar(measure: int, content: str, *, events: int = 4, shifts: int = 0, stretches: int = 0) -> BarWork:
    return BarWork(measure, events, shifts, stretches, 0, 0, 0, 0, 0, content)


def named(*bars: BarWork) -> list[int]:
    return [bar.measure for bar in bars_with_most(bars)]


EASY = [bar(measure, f"easy {measure}") for measure in range(10, 20)]


def test_a_bar_counts_what_the_hand_does_and_no_crossings() -> None:
    passage = read_passage("B4:1 E4 | D5:2 | B5:2 | E4:1/2 Bb4 E4 G3")
    found = work_by_bar(plan_with_stops(passage, "A1 D1 A1 E4 D1 A1 D1 G0"))
    assert [bar.shifts for bar in found] == [0, 1, 1, 0]
    assert [bar.hops for bar in found] == [0, 0, 0, 2]
    assert [bar.total for bar in found] == [0, 1, 1, 2]


def test_a_double_stop_needs_two_fingers_and_a_chord_three_strings() -> None:
    passage = read_passage("[D4 B4]:1 [E4 C5] [E4 C5] [G3 D4 B4]")
    (found,) = work_by_bar(plan_with_stops(passage, "D0+A1 D1+A2 D1+A2 G0+D0+A1"))
    assert (found.double_stops, found.chords, found.repeated) == (2, 1, 1)
    assert found.total == 2


def test_bars_with_two_shifts_come_before_bars_with_one() -> None:
    assert named(bar(1, "a", shifts=1), bar(2, "b", shifts=2), bar(3, "c", shifts=2), *EASY) == [2, 3]


def test_bars_with_equally_much_to_do_are_all_named_or_none_is() -> None:
    four = [bar(number, str(number), shifts=2) for number in range(4)]
    assert named(*four[:3], *EASY) == [0, 1, 2]
    assert named(*four, *EASY) == []
    assert named(bar(5, "most", shifts=3), *four, *EASY) == [5]


def test_bars_that_are_alike_are_named_together() -> None:
    alike = [bar(number, "same", shifts=2 if number == 1 else 1, stretches=1) for number in range(1, 6)]
    assert named(*alike, *EASY) == [1, 2, 3, 4, 5]


def test_a_single_note_or_a_single_stretch_makes_no_bar_hard() -> None:
    assert named(bar(1, "a", stretches=1), bar(2, "b", events=1, shifts=1, stretches=1), *EASY) == []
    assert named() == []
