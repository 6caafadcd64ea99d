"""What a practice sheet contains: which shifts, in which order, with which steps, and bars that add up."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest

from rules import (
    FIRST_AND_THIRD,
    TO_FIFTH,
    TO_THIRD,
    VIOLIN,
    Bow,
    Constraint,
    Exercise,
    Key,
    Passage,
    Pin,
    Pitch,
    Plan,
    Section,
    Sheet,
    ShiftKind,
    bar_length,
    beat_length,
    cheapest_route,
    decisions_with_pins,
    practice_sheet,
    tasks,
)
from rules.practice.drills.scale_drills import scale, through_the_shift
from rules.practice.sheets.tasks import bars_in

Make = Callable[..., Passage]


def planned(passage: Passage, **stops: str) -> Plan:
    """Plan with stops pinned by row: `r3="1 2 3"` is finger, string, position of row 3."""
    pins = []
    for row, text in stops.items():
        finger, string, position = (frozenset({int(word)}) for word in text.split())
        pins.append(Pin(Constraint(finger, string, position), row=int(row[1:])))
    decisions = decisions_with_pins(passage, pins, {})
    return Plan(passage, FIRST_AND_THIRD, cheapest_route(passage, FIRST_AND_THIRD, decisions=decisions))


@pytest.fixture
def same_finger(passage: Make) -> Plan:
    """B4 to D5 and back, twice, on the first finger on the A string, in D major."""
    music = passage("B4:2 D5:2 | E5:2 D5:2 | B4:2 D5:2 | E5:2 D5:2 | B4:4", fifths=2)
    stops = {"B4": "1 2 1", "D5": "1 2 3", "E5": "2 2 3"}
    pins = {f"r{note.row}": stops[note.pitch.name] for note in music.notes}
    return planned(music, **pins)


def sections_of(sheet: Sheet) -> list[Section]:
    return [section for section in sheet.sections if section.heading.startswith("Shift ")]


def titles(section: Section) -> list[str]:
    return [exercise.title for exercise in section.exercises]


def drill(sheet: Sheet, title: str) -> Exercise:
    return next(exercise for exercise in sheet.exercises if exercise.title.startswith(title))


def names(exercise: Exercise) -> list[str]:
    """The pitches of an exercise, those that are tied on once, small notes in brackets."""
    found, held = [], False
    for note in exercise.notes:
        if not note.is_rest and not held:
            name = note.tones[0].pitch.name
            found.append(f"({name})" if note.is_small else name)
        held = note.tied
    return found


def test_alike_shifts_are_one_task_with_all_bars_and_the_way_home(same_finger: Plan) -> None:
    (task,) = tasks(same_finger)
    assert len(task.shifts) == len(same_finger.shifts) == 4
    assert bars_in(same_finger, (task,)) == ("1", "3", "5")
    assert (task.move.start, task.move.goal) == (1, 3)


def test_out_comes_before_home_and_near_before_far(passage: Make) -> None:
    music = passage("E5:2 B4:2 | B4:2 D5:2 | D5:2 B4:2 | C#5:2 F#5:2 | B4:4", fifths=2)
    stops = ["2 2 3", "1 2 1", "1 2 1", "1 2 3", "1 2 3", "1 2 1", "2 2 1", "2 2 4", "1 2 1"]
    plan = planned(music, **{f"r{row}": text for row, text in enumerate(stops)})
    ways = [(task.move.start, task.move.goal) for task in tasks(plan)]
    homewards = [goal < start for start, goal in ways]
    assert homewards == sorted(homewards)
    assert ways[0] == (1, 3)
    far = [goal - start for start, goal in ways if goal > start]
    assert far == sorted(far)


def test_the_way_out_to_half_position_comes_before_the_way_home(passage: Make) -> None:
    music = passage("E4:2 D#4:2 | E4:2 A#4:2 | B4:4", fifths=4)
    stops = {"r0": "1 3 1", "r1": "1 3 0", "r2": "2 3 0", "r3": "1 2 0", "r4": "1 2 1"}
    pins = [Pin(Constraint(*(frozenset({int(w)}) for w in t.split())), row=int(r[1:])) for r, t in stops.items()]
    decisions = decisions_with_pins(music, pins, {})
    found = tasks(Plan(music, TO_THIRD, cheapest_route(music, TO_THIRD, decisions=decisions)))
    assert [(task.move.start, task.move.goal) for task in found] == [(1, 0), (0, 1)]


def test_the_hand_is_in_its_place_before_it_shifts(same_finger: Plan) -> None:
    headings = [section.heading for section in practice_sheet(same_finger, "Piece").sections]
    assert headings == [
        "Warm-up in B minor",
        "The hand in third position",
        "Shift 1: first to third position on the same finger",
        "Bars 1 to 3 of the piece, in third position",
    ]


def test_a_position_without_a_shift_is_practised(passage: Make) -> None:
    music = passage("D5:1 E5:1 F#5:1 G5:1 | G5:1 F#5:1 E5:1 D5:1", fifths=2)
    stops = {"D5": "1 2 3", "E5": "2 2 3", "F#5": "3 2 3", "G5": "4 2 3"}
    plan = planned(music, **{f"r{note.row}": stops[note.pitch.name] for note in music.notes})
    sheet = practice_sheet(plan, "")
    assert plan.shifts == ()
    (section,) = [section for section in sheet.sections if section.heading == "The hand in third position"]
    assert "begins here" in section.text
    assert names(drill(sheet, "Find the anchor by ear"))[-1] == "D5"


def test_every_step_of_a_sounding_shift(same_finger: Plan) -> None:
    (section,) = sections_of(practice_sheet(same_finger, "Piece"))
    assert titles(section) == [
        "Without the bow",
        "On a harmonic",
        "The shift alone, there and back",
        "Check with the open string",
        "Over an open string",
        "In other rhythms",
        "Scale of B minor through a shift",
        "Study: the shift in eight bars",
    ]
    assert "4 times, in bars 1, 3 and 5." in section.text


def test_numbers_run_through_the_sheet(same_finger: Plan) -> None:
    sheet = practice_sheet(same_finger, "Piece")
    assert [exercise.number for exercise in sheet.exercises] == list(range(1, len(sheet.exercises) + 1))


def test_a_level_without_slurred_shifts_gets_none(same_finger: Plan) -> None:
    sheet = practice_sheet(same_finger, "")
    assert "In the same bow" not in [exercise.title for exercise in sheet.exercises]
    higher = practice_sheet(replace(same_finger, level=TO_FIFTH), "")
    assert "In the same bow" in [exercise.title for exercise in higher.exercises]


def test_no_finger_slides_across_strings_in_one_bow(passage: Make) -> None:
    music = passage("B4:2 A5:2 | A5:4", fifths=2)
    plan = replace(planned(music, r0="1 2 1", r1="1 1 3", r2="1 1 3"), level=TO_FIFTH)
    for exercise in sections_of(practice_sheet(plan, ""))[0].exercises:
        for before, after in pairwise(exercise.notes):
            if before.bowed_on and before.position != after.position:
                assert before.tones[0].string == after.tones[0].string


def test_anchor_is_found_from_the_open_string_by_both_ways(same_finger: Plan) -> None:
    anchor = drill(practice_sheet(same_finger, "Piece"), "Find the anchor by ear")
    assert names(anchor) == ["A4", "B4", "C#5", "D5", "A4", "B4", "D5"]
    last = [note for note in anchor.notes if not note.is_rest][-1]
    assert (last.tones[0].finger, last.position) == (1, 3)


def test_an_anchor_beyond_first_position_is_called_an_octave_higher(passage: Make) -> None:
    music = passage("A5:2 E6:2 | E6:4", fifths=2)
    plan = planned(music, r0="1 1 3", r1="2 1 6", r2="2 1 6")
    anchor = next(e for e in practice_sheet(plan, "").exercises if e.title.startswith("Find") and "octave" in e.text)
    heard, met = (note.tones[0].pitch for note in (anchor.notes[-1], anchor.bars[0].notes[-1]))
    assert "same pitch" not in anchor.text
    assert (heard.midi - met.midi) % 12 == 0


def test_shift_over_a_rest_is_not_drilled_as_a_slide(passage: Make) -> None:
    music = passage("B4:2 R:2 | D5:2 E5:2", fifths=2)
    plan = planned(music, r0="1 2 1", r1="1 2 3", r2="2 2 3")
    (section,) = sections_of(practice_sheet(plan, ""))
    assert "In the same bow" not in titles(section)
    assert "Over an open string" not in titles(section)
    alone = section.exercises[titles(section).index("The shift alone, there and back")]
    assert any(note.is_rest for note in alone.notes)


def test_arrival_is_checked_with_the_open_string_beside_it(same_finger: Plan, passage: Make) -> None:
    music = passage("G4:2 A4:2 | A4:4", fifths=2)
    plan = planned(music, r0="3 3 1", r1="2 3 3", r2="2 3 3")
    check = drill(practice_sheet(plan, ""), "Check with the open string")
    chord = next(note for note in check.notes if len(note.tones) == 2)
    assert {tone.pitch.name for tone in chord.tones} == {"A4"}
    assert {tone.finger for tone in chord.tones} == {0, 2}


def test_out_of_reach_in_first_position_sounds_an_octave_lower(passage: Make) -> None:
    music = passage("A5:1 B5:1 C#6:1 D6:1 | D6:4", fifths=2)
    plan = planned(music, r0="3 1 1", r1="2 1 3", r2="3 1 3", r3="4 1 3", r4="4 1 3")
    sounds = drill(practice_sheet(plan, ""), "How it sounds")
    assert "an octave lower" in sounds.text
    assert names(sounds) == ["A4", "B4", "C#5", "D5", "D5"]


def test_shift_grows_by_one_note_on_each_side(same_finger: Plan) -> None:
    grown = drill(practice_sheet(same_finger, ""), "From the shift outward")
    assert names(grown) == ["B4", "D5", "B4", "D5", "E5", "B4", "D5", "E5", "D5"]
    # A double bar line stands between the pieces, and the last note of each is held.
    assert [[note.beats for note in bar.notes] for bar in grown.bars] == [[1, 3], [1, 1, 2], [1, 1, 1, 1]]
    assert [bar.closes for bar in grown.bars] == [True, True, True]


def test_a_reach_is_announced_and_prepared(passage: Make) -> None:
    music = passage("A5:1 D6:1 E6:2 | D6:4", fifths=2)
    plan = planned(music, r0="1 1 3", r1="4 1 3", r2="4 1 3", r3="4 1 3")
    prepared = drill(practice_sheet(plan, ""), "Preparing the reach to E")
    assert names(prepared) == ["C#6", "D6", "E6", "D6", "C#6"]
    assert "leave it out" in prepared.text


@pytest.mark.parametrize("meter", [(4, 4), (3, 4), (2, 4), (6, 8), (3, 8), (2, 2)])
def test_rhythms_have_four_variants_that_can_be_told_apart(passage: Make, meter: tuple[int, int]) -> None:
    length = bar_length(meter)
    music = passage(f"B4:{length} | D5:{length} | B4:{length}", fifths=2, meter=meter)
    plan = planned(music, r0="1 2 1", r1="1 2 3", r2="1 2 1")
    rhythms = drill(practice_sheet(plan, ""), "In other rhythms")
    turns: list[list[Fraction]] = []
    for before, note in pairwise([None, *rhythms.notes]):
        if note and before and before.tones[0].pitch == note.tones[0].pitch:
            turns[-1].append(note.beats)
        elif note:
            turns.append([note.beats])
    first_bars = {tuple(turn) for turn in turns[:-2]}
    assert len(first_bars) == 4
    # Long and short differ by a half at least.
    assert all(max(turn) >= 1.5 * min(turn) for turn in first_bars if len(set(turn)) > 1)
    assert sum(len(set(turn)) > 1 for turn in first_bars) >= 3


def test_bowings_change_from_bar_to_bar_over_the_same_fingers(same_finger: Plan) -> None:
    lines = drill(practice_sheet(same_finger, ""), "Four bowings")
    fingers = [[note.tones[0].finger for note in bar.notes] for bar in lines.bars]
    assert fingers == [[1, 2, 3, 4]] * 4
    slurs = [[note.bowed_on for note in bar.notes] for bar in lines.bars]
    assert slurs == [
        [False] * 4, [True, False, True, False], [True, True, False, False], [True, True, True, False],
    ]  # fmt: skip
    assert [[tone.show_finger for note in bar.notes for tone in note.tones] for bar in lines.bars[1:]] == [
        [False] * 4
    ] * 3
    assert lines.dynamic == "mf"
    # Four strokes, two and two again: each of the bars begins down.
    assert [bar.notes[0].bow for bar in lines.bars] == [Bow.DOWN] * 4


def test_bowings_in_three_begin_up_after_an_odd_number_of_strokes(passage: Make) -> None:
    music = passage("B4:3 | D5:3 | E5:3 | D5:3 | B4:3", fifths=2, meter=(3, 4))
    plan = planned(music, r0="1 2 1", r1="1 2 3", r2="2 2 3", r3="1 2 3", r4="1 2 1")
    lines = drill(practice_sheet(plan, ""), "Four bowings")
    strokes = 0
    for bar in lines.bars:
        assert bar.notes[0].bow is (Bow.UP if strokes % 2 else Bow.DOWN)
        strokes += sum(not note.bowed_on for note in bar.notes)
    assert Bow.UP in {bar.notes[0].bow for bar in lines.bars}


def test_study_has_eight_bars_with_the_shift_in_each(same_finger: Plan) -> None:
    study = drill(practice_sheet(same_finger, ""), "Study")
    assert len(study.bars) == 8
    assert all({note.position for note in bar.notes} == {1, 3} for bar in study.bars)


def test_study_takes_rhythm_and_figure_from_the_piece(passage: Make) -> None:
    # D5 F#5 E5 D5 before the shift, F#5 A5 G5 F#5 after it, in the rhythm of its bar.
    music = passage("B4:1/2 D5:1/2 C#5:1/2 B4:1/2 D5:1 F#5:1/2 D5:1/2 | B4:4", fifths=2)
    stops = ("1 2 1", "3 2 1", "2 2 1", "1 2 1", "1 2 3", "3 2 3", "1 2 3", "1 2 1")
    plan = planned(music, **{f"r{row}": stop for row, stop in enumerate(stops)})
    study = drill(practice_sheet(plan, ""), "Study")
    first, second = study.bars[:2]
    assert [note.tones[0].pitch.name for note in first.notes] == ["B4", "D5", "C#5", "B4", "D5", "F#5", "D5"]
    assert [note.beats for note in first.notes] == [note.beats for note in music.events[:7]]
    assert [note.tones[0].pitch.name for note in second.notes] != [note.tones[0].pitch.name for note in first.notes]


@pytest.mark.parametrize(
    ("key", "scale"),
    [
        ("G", "G4 A4 B4 C5 D5 E5 F#5 G5"),
        ("D", "D4 E4 F#4 G4 A4 B4 C#5 D5 E5 F#5 G5 A5 B5 C#6 D6"),
        ("F", "F4 G4 A4 Bb4 C5 D5 E5 F5 G5 A5 Bb5 C6 D6"),
    ],
)
def test_scale_goes_from_tonic_to_tonic_with_the_shift_in_it(key: str, scale: str) -> None:
    line = through_the_shift(VIOLIN, Key.named(key), 1, 3, 2, (4, 4))
    assert line is not None
    notes = [note for note in line.notes if note.tones]
    names = [note.tones[0].pitch.name for note in notes]
    top = len(names) // 2
    assert scale.startswith(" ".join(names[: top + 1])), "up, letter by letter"
    assert {notes[0].tones[0].pitch.step, notes[top].tones[0].pitch.step, notes[-1].tones[0].pitch.step} == {key}
    shifts = [(a.position, b.position, b.tones[0].finger) for a, b in pairwise(notes) if a.position != b.position]
    assert shifts == [(1, 3, 1), (3, 1, 2)]


def test_a_scale_whose_shift_would_come_at_its_end_is_none() -> None:
    # On the E string G is the first note of second position in G major, and the next G out of reach.
    assert through_the_shift(VIOLIN, Key.named("G"), 1, 2, 1, (4, 4)) is None


def test_octaves_are_practised_on_the_first_finger_which_leads(passage: Make) -> None:
    music = passage("[E4 E5]:2 [G4 G5]:2 | [E4 E5]:4", fifths=2)
    lower, upper = ("1 3 1", "1 3 3", "1 3 1"), ("4 2 1", "4 2 3", "4 2 1")
    pins = {f"r{2 * number}": stop for number, stop in enumerate(lower)}
    pins |= {f"r{2 * number + 1}": stop for number, stop in enumerate(upper)}
    (task, *_) = tasks(planned(music, **pins))
    assert (task.move.departure.finger, task.move.arrival.finger, task.move.arrival.string) == (1, 1, 3)
    assert task.move.kind is ShiftKind.SAME_FINGER


def test_steps_of_the_tempo_rise_to_that_of_the_piece(passage: Make) -> None:
    music = passage("B4:2 D5:3/2 E5:1/2 | D5:4 | B4:4", fifths=2)
    plan = planned(music, r0="1 2 1", r1="1 2 3", r2="2 2 3", r3="1 2 3", r4="1 2 1")
    context = drill(practice_sheet(plan, ""), "In the piece")
    assert context.steps[-1] == 96
    assert list(context.steps) == sorted(context.steps)
    assert context.steps[0] <= 0.6 * 96
    assert all(after / before <= 1.3 for before, after in pairwise(context.steps))
    assert context.beats_per_minute == context.steps[0]


def test_open_string_outside_the_key_is_not_used(passage: Make) -> None:
    music = passage("Db5:2 Eb5:2 | Eb5:4", fifths=-5)
    plan = planned(music, r0="3 2 1", r1="2 2 3", r2="2 2 3")
    (section,) = sections_of(practice_sheet(plan, ""))
    drills = [e for e, title in zip(section.exercises, titles(section), strict=True) if "open string" in title]
    assert drills == []


def test_a_plan_without_shifts_still_has_a_warm_up(passage: Make) -> None:
    plan = planned(passage("D4:1 E4:1 F#4:1 G4:1", fifths=2))
    sheet = practice_sheet(plan, "")
    assert sheet.remarks
    assert [section.heading for section in sheet.sections] == [
        "Warm-up in D major",
        "The piece in first position",
    ]
    assert "no shifts to practise" in sheet.sections[1].text
    assert "stays in first position" in sheet.remarks[0]
    assert "shift" not in sheet.sections[0].text


@pytest.mark.parametrize(
    ("meter", "notes"),
    [((4, 4), "two and four"), ((2, 4), "two and four"), ((3, 4), "three and six"), ((6, 8), "three and six")],
)
def test_a_scale_is_slurred_by_the_bar(meter: tuple[int, int], notes: str) -> None:
    """In three, four notes to a bow would cross every bar line (common practice: as many as fill a bar, or half)."""
    exercise = scale(VIOLIN, Key(1), 1, meter)
    assert exercise is not None
    assert f"Then {notes} notes to a bow." in exercise.text


def test_chosen_excursions_only_and_at_most_so_many(same_finger: Plan) -> None:
    assert len(tasks(same_finger, [0])[0].shifts) == 2
    with pytest.raises(IndexError, match="2 excursions"):
        tasks(same_finger, [7])
    assert sections_of(practice_sheet(same_finger, "", most=0)) == []


@pytest.mark.parametrize("meter", [(4, 4), (3, 4), (2, 4), (6, 8), (9, 8), (12, 8), (3, 8), (5, 4), (2, 2), (7, 8)])
def test_all_bars_are_full_in_every_metre(passage: Make, meter: tuple[int, int]) -> None:
    length = bar_length(meter)
    music = passage(f"B4:{length} | D5:{length} | F#5:{length} | B4:{length}", fifths=2, meter=meter)
    stops = {"B4": "1 2 1", "D5": "1 2 3", "F#5": "3 2 3"}
    plan = planned(music, **{f"r{note.row}": stops[note.pitch.name] for note in music.notes})
    for exercise in practice_sheet(plan, "").exercises:
        for bar in exercise.bars:
            assert sum((note.beats for note in bar.notes), Fraction(0)) == bar_length(bar.meter), exercise.title


@pytest.mark.parametrize(
    ("meter", "beat"), [((4, 4), 1), ((6, 8), Fraction(3, 2)), ((3, 8), Fraction(1, 2)), ((2, 2), 1)]
)
def test_beats_of_metres(meter: tuple[int, int], beat: Fraction) -> None:
    assert beat_length(meter) == beat


def test_half_steps_of_a_position_are_bracketed_and_named(passage: Make) -> None:
    music = passage("C#4:1 G4:1 D5:1 A5:1 | C#4:1 G4:1 D5:1 A5:1", fifths=2)
    plan = planned(music, **{f"r{note.row}": f"1 {4 - note.row % 4} 3" for note in music.notes})
    pattern = drill(practice_sheet(plan, ""), "Finger pattern")
    by_bar = [[note.half_step for note in bar.notes] for bar in pattern.bars]
    # D major in third position: C sharp to D on the G string (1-2), F sharp to G on the A string (3-4), C sharp to D
    # on the E string (3-4); none on the D string.
    assert by_bar == [
        [True, False, False, False], [False] * 4, [False, False, True, False], [False, False, True, False],
    ]  # fmt: skip
    assert pattern.text == ("Fingers that touch: string G: 1 and 2; string D: none; strings A and E: 3 and 4.")
    assert VIOLIN.open_pitch(4) == Pitch.named("G3")


def test_half_position_is_found_a_half_step_above_the_open_string(passage: Make) -> None:
    music = passage("A#4:2 B4:2 | A#4:2 D#4:2", fifths=5)
    plan = planned(music, r0="1 2 0", r1="2 2 0", r2="1 2 0", r3="1 3 0")
    plan = replace(plan, level=TO_THIRD)
    assert names(drill(practice_sheet(plan, ""), "Find the place by ear")) == ["A4", "A#4", "A4", "A#4"]


def test_notes_that_no_finger_reaches_are_named(passage: Make) -> None:
    music = passage("A5:2 D6:2 | G6:4 | D6:4", fifths=2)
    plan = Plan(music, TO_THIRD, cheapest_route(music, TO_THIRD))
    assert [note.note.pitch.name for note in plan.unheld] == ["G6"]
    sheet = practice_sheet(plan, "")
    assert sheet.remarks[0] == "The small notes in bar 2 lie beyond your level: ask your teacher."
    assert any("small notes lie beyond your level" in section.text for section in sheet.sections)
    # Small on paper, and in no drill.
    drilled = [note for e in sheet.exercises if not any(bar.label for bar in e.bars) for note in e.notes]
    assert all(tone.finger is not None for note in drilled for tone in note.tones)


def test_key_is_judged_by_the_last_note_under_its_signature(passage: Make) -> None:
    music = passage("D5:2 D5:2 | B4:4", fifths=2)
    modulating = replace(music, measures=(music.measures[0], replace(music.measures[1], fifths=0)))
    assert practice_sheet(planned(modulating), "").sections[0].heading == "Warm-up in D major"
    assert practice_sheet(planned(music), "").sections[0].heading == "Warm-up in B minor"


def test_what_is_left_out_is_named_by_its_bars(same_finger: Plan) -> None:
    sheet = practice_sheet(same_finger, "", most=0)
    assert sheet.remarks == ("Without drills: first to third position on the same finger, in bars 1, 3 and 5.",)
