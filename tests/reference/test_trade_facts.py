"""Facts of the trade, each with its source: not how a weight is tuned, only what it must lead to."""

from __future__ import annotations

import pytest

from rules import ALL, FIRST, FIRST_AND_THIRD, VIOLA, VIOLIN, Pitch, Reason, frame_excess, grips_for, propose
from service.config.options import Options
from service.usecases.annotate import review_score
from tests.conftest import ROOT
from tests.notation import read_passage
from tests.trade import ANCHORS

EVERYWHERE = ALL.positions


@pytest.mark.parametrize(("position", "notes"), ANCHORS.items())
def test_anchor_of_every_position_lies_under_the_first_finger(position: int, notes: str) -> None:
    for string, name in zip((4, 3, 2, 1), notes.split(), strict=True):
        grips = grips_for((Pitch.named(name),), VIOLIN, frozenset({position}), True)
        fingers = {g.stops[0].finger for g in grips if g.stops[0].string == string and not g.excess}
        assert 1 in fingers, f"{name} on string {string} in position {position}"


# Common practice: the highest note under the fourth finger without extension on the E string.
@pytest.mark.parametrize(("position", "name"), [(1, "B5"), (2, "C6"), (3, "D6"), (4, "E6"), (5, "F6"), (7, "A6")])
def test_highest_note_without_extension(position: int, name: str) -> None:
    top = Pitch.named(name)
    fourth = [g for g in grips_for((top,), VIOLIN, frozenset({position})) if g.stops[0].string == 1]
    assert (4, 0) in [(g.stops[0].finger, g.excess) for g in fourth]
    above = grips_for((Pitch(top.letter + 2),), VIOLIN, frozenset({position}))
    assert above == ()


def test_c6_is_reached_in_first_position_by_stretching_the_fourth_finger() -> None:
    # Common practice.
    (grip,) = grips_for((Pitch.named("C6"),), VIOLIN, FIRST.positions)
    assert (grip.stops[0].finger, grip.excess) == (4, 1)


def test_first_finger_in_third_position_lands_where_the_third_was_in_first() -> None:
    # Common practice: C4 on G, G4 on D, D5 on A, A5 on E.
    for string, name in ((4, "C4"), (3, "G4"), (2, "D5"), (1, "A5")):
        places = {
            (g.position, g.stops[0].finger)
            for g in grips_for((Pitch.named(name),), VIOLIN, frozenset({1, 3}))
            if g.stops[0].string == string
        }
        assert {(1, 3), (3, 1)} <= places


def test_long_a4_has_the_three_ways_that_teachers_name() -> None:
    # Common practice: open A, fourth finger on the D string in first, second finger on the D string in third position.
    grips = grips_for((Pitch.named("A4"),), VIOLIN, frozenset({1, 3}))
    ways = {(g.stops[0].string, g.stops[0].finger, g.position) for g in grips if not g.excess}
    assert {(2, 0, 1), (3, 4, 1), (3, 2, 3)} <= ways


def test_low_and_high_finger_of_one_letter_is_the_same_finger_in_the_same_position() -> None:
    # Common practice: F natural and F sharp on the D string in first position are low and high second finger.
    for name in ("F4", "F#4"):
        fingers = {g.stops[0].finger for g in grips_for((Pitch.named(name),), VIOLIN, FIRST.positions)}
        assert 2 in fingers
    assert frame_excess(3, 2, 1) == frame_excess(4, 2, 1) == 0


def test_nothing_sounds_below_the_lowest_open_string() -> None:
    assert grips_for((Pitch.named("F#3"),), VIOLIN, EVERYWHERE, True) == ()
    assert grips_for((Pitch.named("C3"),), VIOLA, EVERYWHERE) != ()


def test_pitch_of_a4_is_440_hertz() -> None:
    # ISO 16.
    assert Pitch.named("A4").frequency() == 440
    assert Pitch.named("A5").frequency(442) == 884


RUN = "A4:1/4 G4:1/4 A4:1/4 B4:1/4 A4:1/4 G4:1/4 A4:1/4 B4:1/4 C5:1/4 B4:1/4 A4:1/4 G4:1/4 A4:1/4 B4:1/4 A4:1/4 G4:1/4"


def test_run_between_d_and_a_string_lies_on_one_string_in_third_position() -> None:
    # S. George, "Teach Shifting to Young Violinists", The Instrumentalist, October 2012.
    text = f"G4:1 R:1 G4:1 R:1 | {RUN} | {RUN} | {RUN} | G4:2 R:2"
    planned = propose(read_passage(text, tempo=88), FIRST_AND_THIRD)
    (proposal,) = planned.proposals
    assert Reason.CROSSINGS in proposal.reasons
    assert proposal.after.crossings <= 2 < 15 < proposal.before.crossings


def test_bariolage_sounds_one_note_open_and_stopped_in_turn() -> None:
    """Bach, BWV 1006, Preludio, bars 12 to 16, from memory; the strings are common practice."""
    figure = (
        "G#5 E5 E5 E5 D#5 E5 E5 E5 F#5 E5 D#5 E5 | E5 E5 G#5 E5 F#5 E5 G#5 E5 A5 E5 F#5 E5 |"
        " G#5 E5 E5 E5 D#5 E5 E5 E5 F#5 E5 D#5 E5 | E5 E5 G#5 E5 F#5 E5 G#5 E5 A5 E5 F#5 E5"
    )
    text = f"E5:1/4 E6 D#6 C#6 B5 E5 C#6 E5 B5 E5 A5 E5 | {figure} | G#5:1 R:2"
    plan = propose(read_passage(text, tempo=112, meter=(3, 4), fifths=4), ALL).plan
    stops = [note.stop for note in plan.fingered_notes if note.stop]
    strings = "".join("?EADG"[stop.string] for stop in stops)
    assert strings[14:24] == strings[38:48] == "AE" * 5
    assert all(stop.is_open for stop in stops[13:60:2])


@pytest.mark.parametrize(
    ("name", "reason"),
    [
        ("ferry_waltz", Reason.REACH),
        ("reed_crossing", Reason.CROSSINGS),
        ("evening_on_the_jetty", Reason.TONE),
        ("boathouse_reel", Reason.HAND),
    ],
)
def test_sample_is_proposed_for_the_reason_it_was_written_for(name: str, reason: Reason) -> None:
    (part,) = review_score((ROOT / "sample_scores" / f"{name}.musicxml").read_bytes(), Options())
    assert reason in {r for proposal in part.review.planned.proposals for r in proposal.reasons}


@pytest.mark.parametrize("name", ["first_bench.musicxml", "two_oars.musicxml"])
def test_sample_that_lies_well_in_first_position_gets_no_excursion(name: str) -> None:
    (part,) = review_score((ROOT / "sample_scores" / name).read_bytes(), Options())
    assert part.review.planned.proposals == ()
