"""How one shift is practised: in silence, on a harmonic, grown from its two notes, with others of its kind."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rules import TO_THIRD, VIOLIN, Head, as_heard, cheapest_route, practice_sheet
from tests.unit.test_practice import Make, Plan, drill, planned, same_finger, sections_of

__all__ = ["same_finger"]


def test_a_shift_over_a_rest_grows_with_the_rest_in_it(passage: Make) -> None:
    music = passage("C#5:1 B4:1 R:2 | D5:2 E5:2", fifths=2)
    plan = planned(music, r0="2 2 1", r1="1 2 1", r2="1 2 3", r3="2 2 3")
    grown = drill(practice_sheet(plan, ""), "From the shift outward")
    assert [note.is_rest for note in grown.bars[0].notes] == [False, True, False]


def test_shifts_that_lead_the_same_way_share_a_section(passage: Make) -> None:
    music = passage("B4:2 F#5:2 | E5:2 A4:2 | C#5:2 G5:2 | A4:4", fifths=2)
    stops = ("1 2 1", "3 2 3", "2 2 3", "0 2 3", "2 2 1", "4 2 3", "0 2 3")
    plan = planned(music, **{f"r{row}": stop for row, stop in enumerate(stops)})
    shared = [section for section in sections_of(practice_sheet(plan, "")) if "first to third" in section.heading]
    (section,) = [section for section in shared if "guide" in section.heading]
    told = [exercise.text for exercise in section.exercises if exercise.text.startswith("From finger")]
    assert told[0].startswith("From finger 1 to finger 3 on string A.")
    assert told[1].startswith("From finger 2 to finger 4 on string A.")
    assert section.text == "It occurs twice, in bars 1 and 3."


def test_the_hand_shifts_in_silence_and_the_bow_tells_where_it_landed(same_finger: Plan) -> None:
    silent = drill(practice_sheet(same_finger, ""), "Without the bow")
    heads = [(note.tones[0].pitch.name, note.tones[0].head) for note in silent.notes if note.tones]
    there = [("B4", Head.SILENT), ("D5", Head.SILENT), ("D5", Head.PLAIN)]
    back = [("D5", Head.SILENT), ("B4", Head.SILENT), ("B4", Head.PLAIN)]
    assert heads == there + back
    assert [note.is_rest for note in as_heard(VIOLIN, silent).notes] == [True, True, True, True, False] * 2


@pytest.mark.parametrize(
    ("key", "stops", "touched", "sounds"),
    [
        # The nodes of an acoustics handbook: a quarter of the string two octaves, a third an octave and a fifth.
        (2, ("1 2 1", "1 2 3"), "D5", "A6"),
        (2, ("1 2 1", "2 2 3"), "E5", "E6"),
        # D sharp divides the string nowhere: the second finger beside it does.
        (4, ("1 2 1", "1 2 3"), "E5", "E6"),
    ],
)
def test_a_light_finger_rings_where_the_string_divides(
    passage: Make, key: int, stops: tuple[str, str], touched: str, sounds: str
) -> None:
    arrival = "E5" if stops[1].startswith("2") else "D#5" if key > 2 else "D5"
    music = passage(f"B4:2 {arrival}:2 | {arrival}:4", fifths=key)
    plan = planned(music, r0=stops[0], r1=stops[1], r2=stops[1])
    ringing = drill(practice_sheet(plan, ""), "On a harmonic")
    light = [note for note in ringing.notes if note.tones[0].head is Head.LIGHT]
    assert [note.tones[0].pitch.name for note in light] == [touched]
    heard = as_heard(VIOLIN, ringing).notes
    assert [note.tones[0].pitch.name for note in heard] == ["B4", sounds, touched]


@pytest.mark.parametrize(("music", "goes_around"), [("B4:1/2 D5:1/2 B4:1/2 D5:1/2 F#5:1 B4:1", True),
                                                    ("B4:1/2 D5:1/2 B4:1/2 D5:1/2 F#5:1 D5:1", False)])  # fmt: skip
def test_a_bar_is_gone_around_only_if_the_hand_ends_where_it_began(
    passage: Make, music: str, goes_around: bool
) -> None:
    whole = passage(f"B4:4 | {music} | D5:4 | B4:4", fifths=2)
    stops = {"B4": "1 2 1", "D5": "1 2 3", "F#5": "3 2 3"}
    hardest = drill(
        practice_sheet(planned(whole, **{f"r{note.row}": stops[note.pitch.name] for note in whole.notes}), ""),
        "The hardest bar: bar 2",
    )
    assert hardest.is_repeated is goes_around
    assert ("Round and round" in hardest.text) is goes_around


def test_no_slur_leads_to_a_note_that_is_left_out(passage: Make) -> None:
    music = passage("A5:1 D6:1 G6:1 D6:1 | D6:4", fifths=2)
    music = replace(music, events=tuple(replace(event, slurred=0 < n < 4) for n, event in enumerate(music.events)))
    plan = Plan(music, TO_THIRD, cheapest_route(music, TO_THIRD))
    whole = drill(practice_sheet(plan, ""), "In the piece")
    assert [tone.finger is None for note in whole.bars[0].notes for tone in note.tones] == [False, False, True, False]
    assert [note.bowed_on for note in whole.bars[0].notes] == [True, False, False, False]
