"""Excursions weighed against first position."""

from __future__ import annotations

from rules import FIRST, FIRST_AND_THIRD, Constraint, Reason, figures, propose
from rules.proposal.proposal import anchors
from tests.notation import plan_with_stops, read_passage

REACHING = "G5:1 A5:1 B5:1 C6:1 | D6:2 C6:1 B5:1 | C6:1 D6:1 B5:1 A5:1 | G5:4"


def test_notes_out_of_reach_are_the_reason() -> None:
    planned = propose(read_passage(REACHING), FIRST_AND_THIRD)
    assert planned.proposals
    assert Reason.REACH in planned.proposals[0].reasons
    assert planned.proposals[0].before.unreachable > planned.proposals[0].after.unreachable == 0


def test_every_proposal_names_a_reason_with_a_figure_that_falls() -> None:
    planned = propose(read_passage(REACHING), FIRST_AND_THIRD)
    for proposal in planned.proposals:
        before, after = proposal.before.as_mapping(), proposal.after.as_mapping()
        assert any(before[name] > after[name] for name in before if name != "shifts")


def test_anchor_of_third_position_is_where_the_third_finger_was() -> None:
    # Common practice: the first finger in third position lands where the third finger is in first position.
    planned = propose(read_passage(REACHING), FIRST_AND_THIRD)
    (strings,) = {tuple(p.anchors[3].items()) for p in planned.proposals if 3 in p.anchors}
    assert dict(strings)[1].name == "A5"


def test_no_anchor_is_an_open_string() -> None:
    """In half position the key may have the letter of the open string as it is: the first finger has no note there."""
    plan = plan_with_stops(read_passage("A#4:1 B4:1 C#5:1 E4:1 F#4:1", fifths=2), "A1 A2 A3 D2 D3")
    (excursion,) = plan.excursions
    assert excursion.positions == (0,)
    assert {string: pitch.name for string, pitch in anchors(plan, excursion)[0].items()} == {2: "A#4"}


def test_an_anchor_is_the_note_that_the_first_finger_plays_whichever_visit_it_plays_in() -> None:
    """On the D string it plays G sharp on the first visit, and not at all on the second; the key has G."""
    notes = "G#4:1 A4:1 B4:1 D4:1 C#5:1 E5:1 C#5:1 D4:1 B4:1 C5:1"
    plan = plan_with_stops(read_passage(notes), "D1 D2 D3 D0 A1 A3 A1 D0 D3 D4")
    anchors_there = [anchors(plan, excursion) for excursion in plan.excursions]
    assert {found[3][3].name for found in anchors_there if 3 in found} == {"G#4"}


def test_level_first_never_leaves_first_position() -> None:
    planned = propose(read_passage("D4:1 E4:1 F#4:1 G4:1 | A4:1 B4:1 C#5:1 D5:1"), FIRST)
    assert planned.proposals == ()
    assert planned.plan.shifts == ()


def test_scale_in_first_position_gets_no_excursion() -> None:
    planned = propose(read_passage("G3:1 A3:1 B3:1 C4:1 | D4:1 E4:1 F#4:1 G4:1 | A4:1 B4:1 C5:1 D5:1"), FIRST_AND_THIRD)
    assert planned.proposals == ()


def test_decided_excursion_stays_without_a_reason() -> None:
    passage = read_passage("D4:1 E4:1 F#4:1 G4:1 A4:4")
    last = passage.events[3].notes[0].id
    planned = propose(passage, FIRST_AND_THIRD, decisions={last: Constraint(positions=frozenset({3}))})
    fingered = planned.plan.by_note[last]
    assert fingered.position == 3


def test_an_excursion_that_is_kept_has_the_reasons_that_it_had() -> None:
    """Decisions for notes that first position lacks do not take the hand away in the plan that is compared with."""
    passage = read_passage(REACHING)
    (free,) = propose(passage, FIRST_AND_THIRD).proposals
    pins = {
        note.id: Constraint(positions=frozenset({3}))
        for index in free.excursion.events
        for note in passage.events[index].notes
    }
    kept = propose(passage, FIRST_AND_THIRD, decisions=pins)
    assert [(p.reasons, p.before, p.after) for p in kept.proposals] == [(free.reasons, free.before, free.after)]
    assert kept.home.shifts == ()


def test_figures_count_what_the_plan_does() -> None:
    plan = plan_with_stops(read_passage("E4:1 B4:1 E4:1 B4:1 | F5:1 E4:1 R:2"), "D1 A1 D1 A1 E1 D1")
    counted = figures(plan)
    # Four crossings between neighbours, one skip from E to D; the first finger moves by fifths until F5: two hops.
    assert (counted.crossings, counted.skips, counted.hops, counted.shifts) == (5, 1, 2, 0)
