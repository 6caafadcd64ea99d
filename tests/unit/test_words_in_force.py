"""Words that hold: positions until the next one, restez until the hand has to leave."""

from __future__ import annotations

from dataclasses import replace

from rules import (
    ALL,
    FIRST_AND_THIRD,
    Passage,
    Plan,
    Printed,
    cheapest_route,
    constraint_violations,
    events_after_restez,
    positions_in_force,
    printed_decisions,
)
from tests.notation import read_passage


def with_words(
    text: str,
    positions: dict[int, int] | None = None,
    restez: tuple[int, ...] = (),
    fingers: dict[int, int] | None = None,
) -> Passage:
    """Return a passage with positions in words, restez and fingers printed at some events."""
    passage = read_passage(text, fifths=2)
    events = list(passage.events)
    for index, position in (positions or {}).items():
        events[index] = replace(events[index], position=position)
    for index in restez:
        events[index] = replace(events[index], restez=True)
    for index, finger in (fingers or {}).items():
        (note,) = events[index].notes
        events[index] = replace(events[index], notes=(replace(note, printed=Printed(fingers=(finger,))),))
    return replace(passage, events=tuple(events))


def test_position_holds_until_the_next_word() -> None:
    passage = with_words("D5 E5 F#5 G5 F#5 E5 D5", positions={1: 3, 5: 2})
    assert positions_in_force(passage) == [None, 3, 3, 3, 3, 2, 2]


def test_first_position_holds_as_any_other() -> None:
    passage = with_words("D5 E5 F#5 G5 F#5 E5 D5", positions={1: 3, 4: 1})
    assert positions_in_force(passage) == [None, 3, 3, 3, 1, 1, 1]
    # D6 is beyond it, and D5 under the first finger in third position.
    assert positions_in_force(with_words("D5 E5 D6 D5", positions={0: 1})) == [1, 1, None, None]
    assert positions_in_force(with_words("D5 E5 D5 C#5", positions={0: 1}, fingers={2: 1})) == [1, 1, None, None]


def test_hand_does_not_leave_before_the_word_that_says_so() -> None:
    """Between "1st pos." and "3rd pos." the hand stays at home, though it would rather leave before the slur."""
    notes = "A4:1 (B4:1/2 C#5 D5 E5 F#5) E6:1"

    def hand(positions: dict[int, int]) -> set[int | None]:
        passage = with_words(notes, positions)
        plan = Plan(passage, ALL, cheapest_route(passage, ALL, decisions=printed_decisions(passage)))
        return {row.position for row in plan.rows if 0 < row.event < 6}

    assert hand({0: 1, 6: 3}) == {1}
    assert hand({6: 3}) == {3}


def test_position_ends_where_a_note_or_a_finger_leads_out_of_it() -> None:
    # In third position the A string has D5 to G5 (first to fourth finger) and the E string A5 to D6: G6 lies beyond.
    assert positions_in_force(with_words("D5 E5 G6 D5", positions={0: 3})) == [3, 3, None, None]
    # E5 under the first finger is fourth position on A: third position would take it with the second.
    assert positions_in_force(with_words("D5 E5 D5", positions={0: 3}, fingers={1: 1})) == [3, None, None]


def test_position_in_force_binds_the_plan() -> None:
    passage = with_words("D5 E5 F#5 G5 E5 D5", positions={0: 3})
    plan = Plan(
        passage, FIRST_AND_THIRD, cheapest_route(passage, FIRST_AND_THIRD, decisions=printed_decisions(passage))
    )
    assert {fingered.position for fingered in plan.rows} <= {3, None}
    assert constraint_violations(plan, printed_decisions(passage)) == ()


def test_restez_keeps_the_hand_where_it_is() -> None:
    notes = "F#5:1/2 G5 A5 B5 A5 G5 F#5 E5 D5 C#5 B4 A4"
    passage = with_words(notes, restez=(4,), fingers={3: 2})
    decisions = printed_decisions(passage)
    plan = Plan(passage, ALL, cheapest_route(passage, ALL, decisions=decisions))
    kept = {grip.position for i in range(4, 13) if i < len(passage.events) and (grip := plan.grip(i))}
    assert len(kept) == 1
    assert constraint_violations(plan, decisions) == ()


def test_restez_ends_at_a_rest_and_where_no_position_has_the_notes() -> None:
    assert events_after_restez(with_words("A5:1/2 G5 F#5 R:4 E5 D5", restez=(0,))) == frozenset({1, 2})
    assert events_after_restez(with_words("E6:1/2 D6 A3 D5", restez=(0,))) == frozenset({1})


def test_restez_at_the_last_note_asks_for_nothing() -> None:
    assert events_after_restez(with_words("A5 G5", restez=(1,))) == frozenset()


def test_a_note_without_a_digit_does_not_reach() -> None:
    """A5 in third position is the first finger on the E string; the fourth on the A string would be printed."""
    passage = with_words("D5:1/2 F#5 D5 A5 F#5", positions={0: 3})
    by_note = printed_decisions(passage)
    (note,) = passage.events[3].notes
    assert (by_note[note.id].fingers, by_note[note.id].strings) == ({1}, {1})
    (open_note,) = with_words("D5 E5", positions={0: 3}).events[1].notes
    assert printed_decisions(with_words("D5 E5", positions={0: 3}))[open_note.id].fingers == {0, 2}
    (in_first,) = with_words("D5 C6", positions={0: 1}).events[1].notes
    assert printed_decisions(with_words("D5 C6", positions={0: 1}))[in_first.id].fingers is None
