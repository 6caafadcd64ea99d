"""What is counted at every event: stretches, hops, slides (what counts as which is common practice)."""

from __future__ import annotations

from rules.hand.grip import Grip, grips_for
from rules.plan.statistics import Counts, count
from tests.notation import read_passage

EVERYWHERE = frozenset(range(8))


def counted(notes: str, *stops: tuple[int, int, int]) -> Counts:
    """Counts of a line played on given strings, with given fingers, in given positions."""
    passage = read_passage(notes)
    grips: list[Grip | None] = []
    for event, (string, finger, position) in zip(passage.events, stops, strict=True):
        (grip,) = (
            g
            for g in grips_for(event.pitches, passage.instrument, EVERYWHERE)
            if (g.stops[0].string, g.stops[0].finger, g.position) == (string, finger, position)
        )
        grips.append(grip)
    return count(passage, grips)


def test_a_half_step_with_one_finger_is_no_slide_but_a_whole_step_is() -> None:
    assert counted("F5:1 F#5 G5", (1, 1, 1), (1, 1, 1), (1, 2, 1)).slides == (False, False, False)
    assert counted("C#5:1 D#5", (2, 1, 3), (2, 1, 3)).slides == (False, True)


def test_with_the_hand_no_finger_slides() -> None:
    assert counted("B4:1 D5", (2, 1, 1), (2, 1, 3)).slides == (False, False)


def test_the_fourth_finger_slides_badly_by_any_step() -> None:
    assert counted("B5:1/2 C6 B5", *[(1, 4, 1)] * 3).slides == (False, True, True)
    assert counted("F5:1/2 F#5 F5", *[(1, 1, 1)] * 3).slides == (False, False, False)


def test_a_rest_frees_the_finger() -> None:
    assert counted("B5:1/2 R:4 C6:1", *[(1, 4, 1)] * 2).slides == (False, False)


def test_a_note_repeated_under_a_reaching_finger_is_one_stretch() -> None:
    assert counted("C6:1 C6 C6 B5 C6", *[(1, 4, 1)] * 5).stretched == (True, False, False, False, True)
    assert counted("C6:1 R:4 C6", *[(1, 4, 1)] * 2).stretched == (True, True)


def test_the_low_first_finger_is_no_stretch_in_first_position_but_a_reach_in_third() -> None:
    assert counted("A#4:1 B4", *[(2, 1, 1)] * 2).stretched == (False, False)
    assert counted("C#5:1 D5", *[(2, 1, 3)] * 2).stretched == (True, False)


def test_the_fourth_beyond_its_letter_is_a_stretch_everywhere() -> None:
    assert counted("C6:1", (1, 4, 1)).stretched == (True,)
    assert counted("E6:1", (1, 4, 3)).stretched == (True,)
