"""What a player's report says of other ways to play a passage."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rules import (
    Alternative,
    AlternativeKind,
    Aspect,
    Figures,
    Plan,
    Shift,
)
from service.config.options import read_options
from service.messages.message import Wording
from service.reports.player.other_ways import (
    difference_words,
    is_worth_a_try,
    near_ways,
    way_label,
    way_sentence,
    ways_compared,
)
from service.usecases.annotate import review_score
from tests.conftest import ROOT
from tests.marked_notation import placed

ENGLISH = Wording()


def another(
    *shifts: Shift, figures: Figures, proposed: Figures, kind: AlternativeKind = AlternativeKind.PLACE
) -> Alternative:
    """A way with some shifts that is hardly dearer."""
    return Alternative(kind, 0, 5, (3,), shifts, figures, proposed, 0.5, {}, {}, ())


def test_another_way_tells_where_it_begins_and_on_which_note() -> None:
    plan = placed("D5 E5 F5 G5 A4 B4", "A2@2 A3@2 A4@2 A3@4 D4@1 A1@1")
    (excursion,) = plan.excursions
    _, home = excursion.shifts
    there = placed("D5 E5 F5 G5 A4 B4", "A1@3 A2@3 A3@3 A4@3 D4@1 A1@1")
    notes = zip(plan.passage.notes, there.fingered_notes, strict=True)
    stops = {note.id: fingered.stop for note, fingered in notes if fingered.stop}
    other = another(replace(home, start=3), figures=Figures(shifts=1, crossings=1), proposed=Figures(shifts=2))
    assert way_sentence(ENGLISH, plan, excursion, replace(other, stops=stops)) == (
        "Begin in third position, on D (1st finger, A string): this needs one shift instead of 2, but one string "
        "crossing."
    ), "home it comes as proposed"


def test_a_way_that_leaves_a_shift_out_is_told_to_stay() -> None:
    plan = placed("D5 E5 F5 G5 A4 B4", "A1@3 A2@3 A3@3 A3@4 D3@1 A1@1")
    (excursion,) = plan.excursions
    up, home = excursion.shifts
    stops = {fingered.note.id: fingered.stop for fingered in plan.fingered_notes if fingered.stop}
    other = Alternative(
        AlternativeKind.POSITION, 0, 4, (3,), (replace(home, start=3),), Figures(shifts=1), Figures(shifts=2), 0.5,
        {Aspect.TONE: 0.75}, stops, (),
    )  # fmt: skip
    assert up.goal == 4
    assert way_sentence(ENGLISH, plan, excursion, other) == (
        "At bar 1, beat 4, stay in third position: this needs one shift instead of 2, but it sounds less well."
    )


def test_a_way_with_a_shift_of_its_own_names_those_that_differ_from_the_proposal() -> None:
    plan = placed("D5 E5 F5 G5 A4 B4", "A1@3 A2@3 A3@3 A3@4 D3@1 A1@1")
    (excursion,) = plan.excursions
    up, home = excursion.shifts
    down, sooner = replace(up, goal=2), replace(home, arrival=2, start=3, goal=2)

    def told(*shifts: Shift) -> str:
        return way_label(ENGLISH, plan, excursion, another(*shifts, figures=Figures(), proposed=Figures()))

    assert told(sooner, home).startswith("shift to second position at bar 1, beat 3")
    assert "first position" not in told(sooner, home), "home it comes as proposed"
    between = told(replace(sooner, arrival=1), up, replace(home, arrival=5))
    assert [between.count(f"{name} position at") for name in ("second", "fourth", "first")] == [1, 1, 1]
    assert told(up, replace(home, arrival=2)).startswith("come back earlier, to first position at bar 1, beat 3")
    assert told(up, replace(home, arrival=5)).startswith("come back later, to first position at bar 1, beat 6")
    assert told(down, home).startswith("shift to second position")


@pytest.mark.parametrize(
    ("theirs", "planned", "told"),
    [
        ("D3@2 A4@1 D3@2", "A0 A4@1 D3@2", "this avoids one long note on the open A string"),
        ("A0 A4@1 D3@2", "D3@2 A3@2 D3@2", "this needs 2 long notes on the open A string or the 4th finger"),
        (
            "A0 A4@1 D3@2",
            "D3@2 A3@2 D4@1",
            "this needs 2 long notes on the open A string or the 4th finger instead of one on the 4th finger",
        ),
        ("D4@1 A4@1 D3@2", "D3@2 A3@2 D4@1", "this needs 2 long notes on the 4th finger instead of one"),
    ],
)
def test_long_notes_that_sound_weak_both_ways_are_not_counted(theirs: str, planned: str, told: str) -> None:
    """A, E and A: what both ways have on an open string or the fourth finger makes no difference."""
    both = [placed("A4:4 | E5:4 | A4:4 | D5:4 E5:4", f"{stops} A1@3 A2@3") for stops in (planned, theirs)]
    plan, other = both
    counted = [Figures(held_weak=sum(each.counts.held_weak[:3])) for each in (other, plan)]
    stops = {n.id: each.stop for n, each in zip(plan.passage.notes, other.fingered_notes, strict=True) if each.stop}
    way = replace(another(figures=counted[0], proposed=counted[1]), last=4, stops=stops)
    said = difference_words(ENGLISH, plan, plan.excursions[-1], way)
    assert said.partition(" (in bars")[0] == told


def test_the_bars_of_a_comparison_reach_to_the_landing_of_the_last_shift_that_is_counted() -> None:
    """Two open strings in bar 2 are the last notes that differ; the hand lands in bar 3."""
    plan = placed("D5:2 E5:2 | A4:2 A4:2 | B4:2 C5:2", "A1@3 A2@3 D4@1 A0@1 A1@1 A2@1")
    longer = placed("D5:2 E5:2 | A4:2 A4:2 | B4:2 C5:2", "A1@3 A2@3 D1@3 A0@3 A1@1 A2@1")
    (excursion,) = plan.excursions
    stops = {n.id: each.stop for n, each in zip(plan.passage.notes, longer.fingered_notes, strict=True) if each.stop}
    way = replace(another(*longer.shifts, figures=Figures(shifts=1), proposed=Figures(shifts=2)), last=3, stops=stops)
    assert difference_words(ENGLISH, plan, excursion, way).endswith("(in bars 1-3)")


def test_a_hand_that_has_just_shifted_is_not_told_to_stay_on_the_same_note() -> None:
    plan = placed("D5 E5 F5 G5 A4 B4", "A1@3 A2@3 A3@3 A3@4 D3@1 A1@1")
    (excursion,) = plan.excursions
    up, home = excursion.shifts
    down = replace(up, goal=2)
    label = way_label(ENGLISH, plan, excursion, another(down, home, figures=Figures(), proposed=Figures()))
    assert "stay" not in label


@pytest.mark.parametrize(("spared", "offered"), [(3, False), (4, True)])
def test_one_shift_more_is_worth_more_than_three_string_crossings(spared: int, offered: bool) -> None:
    plan = placed("D5 E5 F5 G5 A4 B4", "A1@3 A2@3 A3@3 A3@4 D3@1 A1@1")
    (excursion,) = plan.excursions
    up, home = excursion.shifts
    figures, proposed = Figures(shifts=3), Figures(shifts=2, crossings=spared)
    other = another(up, replace(home, arrival=3), figures=figures, proposed=proposed)
    assert is_worth_a_try(plan, excursion, other) is offered


def test_staying_is_told_with_what_it_costs() -> None:
    plan = placed("D5 E5 F5 G5 A4 B4", "A1@3 A2@3 A3@3 A3@4 D3@1 A1@1")
    (excursion,) = plan.excursions
    proposed = Figures(shifts=2)
    stay = another(figures=Figures(crossings=5), proposed=proposed, kind=AlternativeKind.STAY)
    assert (
        way_sentence(ENGLISH, plan, excursion, stay)
        == "Stay in first position: this avoids 2 shifts, but needs 5 string crossings."
    )
    assert (
        way_sentence(ENGLISH, plan, excursion, stay, explain=True)
        == "Stay in first position: this avoids 2 shifts, but needs 5 string crossings (effort +0.5)."
    )
    with_a_gain = replace(stay, proposed=replace(proposed, stretches=1))
    assert way_sentence(ENGLISH, plan, excursion, with_a_gain) == (
        "Stay in first position: this avoids 2 shifts and one stretch, but needs 5 string crossings."
    )


def test_why_and_or_tell_the_same_numbers_of_staying_in_first_position() -> None:
    told = 0
    for path in sorted((ROOT / "sample_scores").glob("*.musicxml")):
        for part in review_score(path.read_bytes(), read_options({"level": ["all"]})):
            for explained in part.review.explanation.proposals:
                before, after = explained.proposal.before, explained.proposal.after
                for other in ways_compared(explained):
                    if other.kind is AlternativeKind.STAY:
                        told += 1
                        assert replace(other.figures, held_weak=0) == replace(before, held_weak=0)
                        assert replace(other.proposed, held_weak=0) == replace(after, held_weak=0)
    assert told


def test_what_is_planned_beyond_the_level_has_no_other_way() -> None:
    plan = placed("D5 E5 F5 G5 A4 B4", "A1@3 A2@3 A3@3 A3@4 D3@1 A1@1")
    (excursion,) = plan.excursions
    stay = another(figures=Figures(), proposed=Figures(shifts=2), kind=AlternativeKind.STAY)
    assert is_worth_a_try(plan, excursion, stay)
    options = plan.route.options
    beyond = (*options[:2], options[2]._replace(beyond=True), *options[3:])
    there = Plan(plan.passage, plan.level, replace(plan.route, options=beyond))
    assert not is_worth_a_try(there, excursion, stay)


def test_a_way_that_only_puts_a_finger_down_sooner_is_told_to_begin_there() -> None:
    plan = placed("A4 C5 D5 E5 A4 B4", "A0@2 A1@2 A2@2 A3@2 A0@1 A1@1")
    (excursion,) = plan.excursions
    sooner = placed("A4 C5 D5 E5 A4 B4", "D3@2 A1@2 A2@2 A3@2 A0@1 A1@1")
    stops = {
        note.id: fingered.stop
        for note, fingered in zip(plan.passage.notes, sooner.fingered_notes, strict=True)
        if fingered.stop
    }
    other = Alternative(
        AlternativeKind.POSITION, 0, 3, (2,), excursion.shifts, Figures(), Figures(held_weak=1), 0.5,
        {Aspect.HAND: 0.75}, stops, (),
    )  # fmt: skip
    assert way_label(ENGLISH, plan, excursion, other) == "begin in second position, on A (3rd finger, D string)"


def test_ways_of_more_than_three_steps_are_not_offered() -> None:
    quartet = (ROOT / "sample_scores" / "lantern_quartet.musicxml").read_bytes()
    for part in review_score(quartet, read_options({"level": ["all"]})):
        for explained in part.review.explanation.proposals:
            for other in near_ways(part.review.plan, explained):
                label = way_label(ENGLISH, part.review.plan, explained.proposal.excursion, other)
                assert label.count(", landing on") + label.count("begin in") <= 3
