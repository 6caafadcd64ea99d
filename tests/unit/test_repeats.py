"""What repeats, and fingering it alike where that costs little."""

from __future__ import annotations

import pytest

from rules import (
    ALL,
    FIRST_AND_THIRD,
    Constraint,
    Passage,
    Plan,
    RouteSearch,
    align_repeats,
    cheapest_route,
    propose,
    repeats,
)
from rules.proposal.repeats import EDGE
from tests.notation import read_passage

MOTIF = "A4:1/4 C#5 E5 D5 C#5 B4"
LOWER = "G4:1/4 B4 D5 C#5 B4 A4"


def found(text: str, exact: bool) -> list[tuple[int, int, int]]:
    return [(r.earlier, r.later, r.length) for r in repeats(read_passage(text, fifths=2)) if r.exact is exact]


def test_repeated_notes_in_the_same_rhythm_are_found() -> None:
    assert found(f"{MOTIF} F#4:1 {MOTIF} D4:2", True) == [(0, 7, 6)]


def test_other_rhythm_is_no_repeat() -> None:
    assert found(f"{MOTIF} F#4:1 A4:1/2 C#5 E5 D5 C#5 B4 D4:2", True) == []


def test_sequence_a_step_lower_is_found_by_its_letters() -> None:
    assert found(f"{MOTIF} F#5:1 {LOWER} D4:2", False) == [(0, 7, 6)]
    assert found(f"{MOTIF} F#5:1 {LOWER} D4:2", True) == []


def test_place_that_repeats_exactly_is_not_a_sequence_as_well() -> None:
    assert found(f"{MOTIF} F#4:1 {MOTIF} D4:2", False) == []


def test_repeat_does_not_overlap_its_model() -> None:
    for earlier, later, length in found("D4:1/4 " * 40, True):
        assert earlier + length <= later


def test_long_repeat_is_cut_into_pieces_that_cover_it() -> None:
    theme = "A4:1/4 C#5 E5 D5 C#5 B4 F#4 G4 B4 E4 A4 F#5 G5 E5 C#5 D5 B4 G4 E4 D4"
    pieces = found(f"{theme} E5:1 {theme} D5:2", True)
    assert sum(length for _, _, length in pieces) == 20
    assert all(length <= 16 for _, _, length in pieces)
    assert pieces[0][1] + pieces[0][2] == pieces[1][1]


def two_contexts() -> Passage:
    """A figure that comes once from below and once from above, so that its cheapest fingerings differ."""
    figure = "A4:1/4 D5 A4 D5 C#5 E5 D5 A4"
    return read_passage(
        f"D4:1/4 E4 F#4 G4 | {figure} | F#5:1/4 A5 D6 C#6 B5 D6 | {figure} | D6:1/4 A5 F#5 D5", fifths=2
    )


def planned_alike(passage: Passage, amount: float) -> tuple[Plan, Plan]:
    """The cheapest plan by itself, and with what repeats fingered alike."""
    alone = Plan(passage, ALL, cheapest_route(passage, ALL))
    routes = RouteSearch(passage, alone.route.options, ALL)
    alike = align_repeats(alone, lambda: routes, amount=amount, on_the_same_notes=amount)
    return alone, Plan(passage, ALL, cheapest_route(passage, ALL, decisions=alike))


def fingering(plan: Plan, first: int, length: int) -> list[object]:
    return [(g.stops, None if g.is_open else g.position) for i in range(first, first + length) if (g := plan.grip(i))]


def test_same_figure_gets_the_same_fingering_if_enough_may_be_spent() -> None:
    passage = two_contexts()
    (repeat,) = [r for r in repeats(passage) if r.exact]
    _, alike = planned_alike(passage, 100.0)
    inner = repeat.length - 2 * EDGE
    assert fingering(alike, repeat.earlier + EDGE, inner) == fingering(alike, repeat.later + EDGE, inner)


def test_what_is_decided_names_finger_string_and_position_and_nothing_where_all_is_alike() -> None:
    for passage, changes in ((two_contexts(), True), (read_passage(f"{MOTIF} D4:1 | {MOTIF} D4:1", fifths=2), False)):
        alone = Plan(passage, ALL, cheapest_route(passage, ALL))
        routes = RouteSearch(passage, alone.route.options, ALL)
        decided = align_repeats(alone, lambda routes=routes: routes, amount=100.0, on_the_same_notes=100.0)
        assert bool(decided) is changes
        for decision in decided.values():
            assert len(decision.fingers or ()) == len(decision.strings or ()) == 1
            assert (decision.positions is None) == (decision.fingers == frozenset({0}))


@pytest.mark.parametrize("amount", [0.0, 0.5, 2.0, 100.0])
def test_effort_rises_by_no_more_than_the_amount_for_each_place(amount: float) -> None:
    passage = two_contexts()
    alone, alike = planned_alike(passage, amount)
    rise = alike.route.effort - alone.route.effort
    assert 0 <= rise <= amount * len(repeats(passage))


@pytest.mark.parametrize(("share", "is_alike"), [(1.01, True), (0.99, False)])
def test_what_a_learner_spends_on_a_repeat_grows_with_its_length(
    share: float, is_alike: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    run = "C6:1/4 B5 A5 G5 F5 E5"
    passage = read_passage(f"G4:1/2 A4 B4 C5 D5 E5 F5 G5 | {run} D5:1 R:2 A4:2 | D4:2 E4 | E6:1/4 D6 E6 D6 E6 D6 {run}")
    (repeat,) = [r for r in repeats(passage) if r.exact]
    alone = Plan(passage, FIRST_AND_THIRD, cheapest_route(passage, FIRST_AND_THIRD))
    routes = RouteSearch(passage, alone.route.options, FIRST_AND_THIRD)

    def rise() -> float:
        alike = cheapest_route(passage, FIRST_AND_THIRD, decisions=align_repeats(alone, lambda: routes))
        return alike.effort - alone.route.effort

    needed = rise()
    assert needed > 1.5
    monkeypatch.setattr("rules.proposal.repeats.AMOUNT_ON_THE_SAME_NOTES", 0.0)
    monkeypatch.setattr("rules.proposal.repeats.AMOUNT_FOR_LEARNERS", share * needed / repeat.length)
    assert (rise() > 0) == is_alike


def test_nothing_is_decided_where_nothing_repeats() -> None:
    passage = read_passage("D4:1 E4:2 F#4:1/2 A4:1 G4:1/2 C#5:2 B4:3 D5:1/4", fifths=2)
    plan = Plan(passage, FIRST_AND_THIRD, cheapest_route(passage, FIRST_AND_THIRD))

    def refuse() -> RouteSearch:
        raise AssertionError("the ways are not to be looked up")

    assert repeats(passage) == ()
    assert align_repeats(plan, refuse) == {}


def test_the_players_decision_spreads_to_the_repeat_or_stays_alone_but_is_never_undone() -> None:
    passage = two_contexts()
    (repeat,) = [r for r in repeats(passage) if r.exact]
    note = passage.events[repeat.later + 1].notes[0]
    wanted = Constraint(frozenset({4}), frozenset({3}))
    plan = propose(passage, ALL, decisions={note.id: wanted}).plan
    stop = plan.by_note[note.id].stop
    assert stop is not None
    assert (stop.finger, stop.string) == (4, 3)
