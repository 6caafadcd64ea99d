"""Sheets read note by note as a teacher: nothing needless, untrue or out of order (common practice throughout)."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from fractions import Fraction

import pytest

from rules import VIOLIN, Key, Passage, Pitch, Plan, SheetNote, Tone, practice_sheet
from rules.practice.barring import bars_of, rest_pieces
from rules.practice.drills.position_drills import half_position_place, string_crossing
from rules.practice.drills.scale_drills import scale
from rules.practice.sheets.tasks import tasks
from tests.unit.test_practice import Make, drill, names, planned, sections_of

_PLACES = {"B4": "1 2 1", "C#5": "2 2 1", "D5": "1 2 3", "E5": "2 2 3", "F#5": "3 2 3", "G5": "4 2 3"}
"""On the A string: B4 and C#5 in first position, what is higher in third."""


def on_the_a_string(music: Passage, **others: str) -> Plan:
    pins = {f"r{note.row}": _PLACES[note.pitch.name] for note in music.notes if note.pitch.name in _PLACES}
    return planned(music, **(pins | others))


def slurred(music: Passage, first: int, last: int) -> Passage:
    events = (replace(event, slurred=first < n <= last) for n, event in enumerate(music.events))
    return replace(music, events=tuple(events))


@pytest.mark.parametrize(
    ("beats", "start", "meter", "lengths"),
    [
        ("3/2", "1", (6, 8), ("1/2", "1")),  # the beat is filled up, then a quarter begins the next
        ("1", "1/2", (6, 8), ("1/2", "1/2")),  # within a dotted beat each eighth by itself
        ("3", "0", (12, 8), ("3",)),
        ("3", "3/2", (12, 8), ("3/2", "3/2")),
        ("3/2", "5/2", (4, 4), ("1/2", "1")),
        ("2", "1", (4, 4), ("1", "1")),  # no half rest over the middle of the bar
        ("2", "2", (4, 4), ("2",)),
        ("2", "1", (3, 4), ("1", "1")),
        ("1/3", "2/3", (4, 4), ("1/3",)),
    ],
)
def test_rests_show_the_beats(beats: str, start: str, meter: tuple[int, int], lengths: tuple[str, ...]) -> None:
    assert rest_pieces(Fraction(beats), Fraction(start), meter) == tuple(map(Fraction, lengths))


def test_a_bar_of_the_sheet_has_such_rests() -> None:
    tone = Tone(Pitch.named("F4"), 2, 3)
    notes = [SheetNote((tone,), Fraction(1), 1), SheetNote((), Fraction(3, 2)), SheetNote((tone,), Fraction(1, 2), 1)]
    (bar,) = bars_of(notes, (6, 8), 0)
    assert [each.beats for each in bar.notes] == [1, Fraction(1, 2), 1, Fraction(1, 2)]


def test_bars_without_a_shift_say_that_the_hand_stays(passage: Make) -> None:
    away = " | ".join(["D5:1 E5:1 F#5:1 E5:1"] * 12)
    plan = on_the_a_string(passage(f"B4:4 | {away} | B4:4 | B4:4", fifths=2))
    texts = [each.text for each in practice_sheet(plan, "").exercises if each.title.startswith("Every finger")]
    assert texts == ["Slowly; between shifts the hand is quiet."] * 2
    longer = on_the_a_string(passage(f"B4:4 | {away} | {away} | B4:4 | B4:4", fifths=2))
    texts = [each.text for each in practice_sheet(longer, "").exercises if each.title.startswith("Every finger")]
    assert texts[1] == "Slowly; the hand stays in its place."


def test_other_fingers_on_the_same_way_do_not_repeat_what_teaches_the_way(passage: Make) -> None:
    music = passage("B4:2 F#5:2 | E5:2 A4:2 | C#5:2 G5:2 | A4:4", fifths=2)
    plan = on_the_a_string(music)
    (section,) = [each for each in sections_of(practice_sheet(plan, "")) if "first to third" in each.heading]
    counts = Counter(str(each.title) for each in section.exercises)
    assert counts["The shift alone, there and back"] == 2
    assert {counts[title] for title in ("Without the bow", "Over an open string", "In other rhythms")} == {1}


@pytest.mark.parametrize("meter", [(2, 4), (3, 4), (4, 4), (6, 8), (3, 8)])
@pytest.mark.parametrize("rest", [True, False])
def test_a_study_has_figures_in_both_positions_and_seldom_the_same_bar(
    passage: Make, meter: tuple[int, int], rest: bool
) -> None:
    whole = Fraction(4 * meter[0], meter[1])
    half = whole / 2
    gap = f"C#5:{whole - whole / 4} R:{whole / 4}" if rest else f"B4:{half} C#5:{half}"
    plan = on_the_a_string(passage(f"{gap} | F#5:{whole} | B4:{whole}", fifths=2, meter=meter))
    study = drill(practice_sheet(plan, ""), "Study")
    assert len(study.bars) == 8
    played = Counter(tuple((note.tones, note.beats) for note in bar.notes) for bar in study.bars[:-1])
    assert max(played.values()) <= 2
    for position in (1, 3):
        found = [sum(note.position == position and not note.is_open for note in bar.notes) for bar in study.bars[:-1]]
        assert sum(count >= 3 for count in found) >= 3


def test_a_slur_that_outlasts_the_bow_is_talked_of(passage: Make) -> None:
    music = passage("B4:4 | D5:2 E5:2 | F#5:2 E5:2 | D5:2 E5:1 F#5:1 | B4:4 | B4:4", fifths=2, tempo=60)
    line = "At a slow tempo, change the bow within the long slurs."
    sheet = practice_sheet(on_the_a_string(slurred(music, 1, 7)), "")
    assert drill(sheet, "In the piece").text.endswith(line)
    assert drill(sheet, "Every finger").text.endswith(line)
    assert line not in drill(practice_sheet(on_the_a_string(slurred(music, 1, 2)), ""), "In the piece").text


def test_a_note_that_outlasts_the_bow_is_talked_of(passage: Make) -> None:
    line = "At a slow tempo, change the bow within the long notes."
    for tempo, is_said in ((24, True), (32, False)):
        music = passage("B4:4 | D5:4 | B4:4 | B4:4", fifths=2, tempo=tempo)
        assert drill(practice_sheet(on_the_a_string(music), ""), "In the piece").text.endswith(line) is is_said


def test_slow_practice_ends_where_every_note_is_long(passage: Make) -> None:
    """Quarter notes at 54 need no half tempo: only the bow would get too short."""
    plan = on_the_a_string(passage("B4:4 | D5:1 E5:1 F#5:1 E5:1 | D5:2 E5:2 | B4:4 | B4:4", fifths=2, tempo=54))
    sheet = practice_sheet(plan, "")
    assert drill(sheet, "In the piece").steps == (40, 46, 54)
    assert drill(sheet, "Every finger").tempo == 40
    plan = on_the_a_string(passage("B4:4 | D5:2 E5:2 | F#5:2 E5:2 | B4:4 | B4:4", fifths=2, tempo=60))
    context = drill(practice_sheet(plan, ""), "In the piece")
    assert (context.steps, context.text) == ((60,), "The notes are long: begin at the tempo of the piece.")


def test_a_bar_is_hard_by_what_is_in_it(passage: Make) -> None:
    """A shift and a crossing that lead into a bar are not practised by going around in it."""
    music = passage("G4:4 | D5:1 E5:1 F#5:1 E5:1 | D5:2 E5:2 | D5:4 | B4:4", fifths=2)
    titles = [each.title for each in practice_sheet(on_the_a_string(music, r0="3 3 1"), "").exercises]
    assert not any(title.startswith("The hardest bar") for title in titles)
    music = passage("B4:4 | B4:1 E5:1 F#5:1 B4:1 | D5:2 E5:2 | D5:4 | B4:4", fifths=2)
    titles = [each.title for each in practice_sheet(on_the_a_string(music), "").exercises]
    assert "The hardest bar: bar 2" in titles


def test_the_finger_that_arrives_leads_from_its_place_before_the_shift(passage: Make) -> None:
    """From 3 up to 2: finger 2 is set down behind finger 3 and goes with the hand."""
    plan = planned(passage("D5:2 E5:2 | E5:4 | D5:4", fifths=2), r0="3 2 1", r1="2 2 3", r2="2 2 3", r3="3 2 1")
    guided = drill(practice_sheet(plan, ""), "The guide heard, then hidden")
    assert names(guided)[:6] == ["D5", "C#5", "E5", "D5", "C#5", "E5"]
    assert [(note.beats, note.position) for note in guided.notes[1:5]] == [
        (2, 1),
        (4, 3),
        (Fraction(3, 2), 1),
        (Fraction(1, 2), 1),
    ]
    # Half a beat: of a small note the hand would have to go before it has sounded.
    assert guided.text.startswith("Finger 2 leads:")


def test_a_guide_on_another_string_is_named(passage: Make) -> None:
    pins = {"r0": "2 3 3", "r1": "4 2 3", "r2": "3 2 1", "r3": "1 1 1", "r4": "1 1 1"}
    plan = planned(passage("[A4 G5]:2 [D5 F#5]:2 | F#5:4", fifths=1), **pins)
    alone = drill(practice_sheet(plan, ""), "The shift alone")
    assert alone.text.startswith("Finger 4 stays lightly on string A while the hand travels")


def test_a_guide_that_is_too_far_off_to_be_heard_is_named(passage: Make) -> None:
    """From 1 to 2 on one pitch, a half position down: finger 1 would stand three half steps below finger 2."""
    plan = planned(passage("C#5:2 C#5:2 | D5:4", fifths=-1), r0="1 2 2", r1="2 2 1", r2="3 2 1")
    sheet = practice_sheet(plan, "")
    assert not any(each.title.startswith("The guide") for each in sheet.exercises)
    assert drill(sheet, "The shift alone").text.startswith("Finger 1 leads, lightly on the string")


def test_no_rhythms_for_a_bow_that_jumps_over_a_string(passage: Make) -> None:
    for far, has_rhythms in (("F#4", False), ("B4", True)):
        pins = {"r0": "2 3 1" if far == "F#4" else "1 2 1", "r1": "3 1 3", "r2": "3 1 3"}
        sheet = practice_sheet(planned(passage(f"{far}:2 C#6:2 | C#6:4", fifths=2), **pins), "")
        assert any(each.title == "In other rhythms" for each in sheet.exercises) is has_rhythms


def test_a_drill_is_not_printed_twice_note_for_note(passage: Make) -> None:
    """Bars 5 and 11 have the same notes around their shifts; then the passages go different ways."""
    way = "C#5:1 B4:1 C#5:1 B4:1 | D5:1 E5:1 F#5:1 E5:1"
    plan = on_the_a_string(passage(f"B4:4 | {way} | D5:4 | B4:4 | B4:4 | {way} | F#5:2 G5:2 | B4:4 | B4:4", fifths=2))
    sheet = practice_sheet(plan, "")
    grown = [each.title for each in sheet.exercises if each.title.startswith("From the shift outward")]
    assert sum("first to third" in title for title in grown) == 1
    assert sum("The shift in bar 8 is the one in bar 3." in section.text for section in sheet.sections) == 1


def test_bars_with_nothing_around_them_are_printed_once(passage: Make) -> None:
    plan = on_the_a_string(passage("B4:2 D5:3/2 E5:1/2 | B4:4", fifths=2))
    titles = [each.title for each in practice_sheet(plan, "").exercises]
    assert not any(title.startswith("Every finger") for title in titles)
    context = drill(practice_sheet(plan, ""), "In the piece")
    assert all(tone.show_finger for note in context.notes for tone in note.tones)


def test_the_way_to_a_position_comes_before_the_way_on_from_it(passage: Make) -> None:
    music = passage("B4:2 D5:2 | E5:2 G5:2 | G5:2 B4:2", fifths=2)
    plan = planned(music, r0="1 2 1", r1="1 2 3", r2="2 2 3", r3="3 2 4", r4="3 2 4", r5="1 2 1")
    ways = [(task.move.start, task.move.goal) for task in tasks(plan)]
    assert ways.index((1, 3)) < ways.index((3, 4))


def test_two_notes_are_no_melody(passage: Make) -> None:
    plan = planned(passage("A4:4 | R:4 | D5:2 E5:2 | R:4 | A4:4", fifths=2), r1="1 2 3", r2="2 2 3", r3="0 2 3")
    assert not any(each.title.startswith("How it sounds") for each in practice_sheet(plan, "").exercises)


def test_a_harmonic_is_not_a_half_step_beside_the_note_of_the_piece(passage: Make) -> None:
    """The second finger goes to B flat; B, which would ring, is not where it has to learn to go."""
    plan = planned(passage("G5:2 Bb5:2 | Bb5:4 | G5:4"), r0="2 1 1", r1="2 1 3", r2="2 1 3", r3="2 1 1")
    ringing = [each for each in practice_sheet(plan, "").exercises if each.title == "On a harmonic"]
    assert all(
        tone.finger != 2 or tone.pitch.name != "B5" for each in ringing for note in each.notes for tone in note.tones
    )


def test_the_string_is_not_printed_again_where_no_other_has_the_note(passage: Make) -> None:
    plan = planned(passage("A5:2 D6:2 | E6:4 | A5:4", fifths=2), r0="1 1 3", r1="4 1 3", r2="4 1 3", r3="1 1 3")
    prepared = drill(practice_sheet(plan, ""), "Preparing the reach to E")
    assert sum(tone.show_string for note in prepared.notes for tone in note.tones) == 1


def test_a_natural_minor_scale_says_so() -> None:
    line = "This is the natural minor: the seventh note is not raised."
    told = {key: scale(VIOLIN, Key.named(key), 1, (4, 4), octaves=1) for key in ("Bm", "Em", "D")}
    assert {key: line in found.text for key, found in told.items() if found} == {"Bm": True, "Em": False, "D": False}


def test_half_position_is_found_by_ear_where_its_first_finger_has_no_note_of_the_key() -> None:
    """In E minor the open A rings where finger 1 would be; finger 2 takes the B that finger 1 has in first position."""
    found = half_position_place(VIOLIN, Key.named("Em"), 2, (4, 4))
    assert found is not None
    taken = [(note.tones[0].pitch.name, note.tones[0].finger, note.position) for note in found.notes]
    assert taken == [("B4", 1, 1), ("B4", 2, 0)] * 2
    beside_the_open_string = half_position_place(VIOLIN, Key.named("B"), 2, (4, 4))
    assert beside_the_open_string is not None
    assert [note.tones[0].finger for note in beside_the_open_string.notes] == [0, 1, 0, 1]


def test_one_bar_of_crossings_is_no_exercise() -> None:
    # In E minor half position has one such bar on these strings.
    assert string_crossing(VIOLIN, Key.named("Em"), 0, (2, 1), (4, 4)) is None
    assert string_crossing(VIOLIN, Key.named("G"), 3, (2, 1), (4, 4)) is not None
