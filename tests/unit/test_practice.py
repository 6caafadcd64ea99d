"""What a practice sheet contains: which shifts, in which order, with which steps, and bars that add up."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest

from rules import (
    FIRST_AND_THIRD,
    VIOLIN,
    Constraint,
    Exercise,
    Passage,
    Pin,
    Pitch,
    Plan,
    Section,
    Sheet,
    bar_length,
    beat_length,
    cheapest_route,
    decisions_with_pins,
    practice_sheet,
    tasks,
)

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
    return [exercise.title[3:] for exercise in section.exercises]


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
    assert task.bars == ("1", "3", "5")
    assert (task.move.start, task.move.goal) == (1, 3)


def test_commonest_shift_comes_first(passage: Make) -> None:
    music = passage("B4:2 D5:2 | B4:2 D5:2 | C#5:2 E5:2 | B4:4", fifths=2)
    stops = {"B4": "1 2 1", "D5": "1 2 3", "C#5": "2 2 1", "E5": "2 2 3"}
    plan = planned(music, **{f"r{note.row}": stops[note.pitch.name] for note in music.notes})
    counts = [len(task.shifts) for task in tasks(plan)]
    assert counts == sorted(counts, reverse=True)
    assert counts[0] > counts[-1]


def test_every_step_of_a_sounding_shift(same_finger: Plan) -> None:
    (section,) = sections_of(practice_sheet(same_finger, "Piece"))
    assert titles(section) == [
        "How it sounds",
        "Find the anchor by ear",
        "The shift alone, there and back",
        "Over an open string",
        "In the same bow",
        "In other rhythms",
        "The passage in the new position",
        "In context",
    ]
    assert "4 times: bar 1, 3, 5" in section.text


def test_anchor_is_found_from_the_open_string_by_both_ways(same_finger: Plan) -> None:
    (section,) = sections_of(practice_sheet(same_finger, "Piece"))
    anchor = section.exercises[1]
    assert names(anchor) == ["A4", "B4", "C#5", "D5", "A4", "B4", "D5"]
    last = [note for note in anchor.notes if not note.is_rest][-1]
    assert (last.tones[0].finger, last.position) == (1, 3)


def test_shift_over_a_rest_is_not_drilled_as_a_slide(passage: Make) -> None:
    music = passage("B4:2 R:2 | D5:2 E5:2", fifths=2)
    plan = planned(music, r0="1 2 1", r1="1 2 3", r2="2 2 3")
    (section,) = sections_of(practice_sheet(plan, ""))
    assert "In the same bow" not in titles(section)
    assert "Over an open string" not in titles(section)
    alone = section.exercises[titles(section).index("The shift alone, there and back")]
    assert any(note.is_rest for note in alone.notes)


def test_guide_note_is_written_small(passage: Make) -> None:
    music = passage("B4:2 F#5:2 | F#5:4", fifths=2)
    plan = planned(music, r0="1 2 1", r1="3 2 3", r2="3 2 3")
    (section,) = sections_of(practice_sheet(plan, ""))
    alone = section.exercises[titles(section).index("The shift alone, there and back")]
    assert names(alone)[:3] == ["B4", "(D5)", "F#5"]


def test_out_of_reach_in_first_position_sounds_an_octave_lower(passage: Make) -> None:
    music = passage("A5:1 B5:1 C#6:1 D6:1 | D6:4", fifths=2)
    plan = planned(music, r0="3 1 1", r1="2 1 3", r2="3 1 3", r3="4 1 3", r4="4 1 3")
    (section,) = sections_of(practice_sheet(plan, ""))
    sounds = section.exercises[0]
    assert "an octave lower" in sounds.text
    assert names(sounds) == ["A4", "B4", "C#5", "D5", "D5"]


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
    assert [section.heading for section in sheet.sections] == ["Warm-up in D major"]


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


def test_half_steps_of_a_position_are_bracketed(same_finger: Plan) -> None:
    warm_up = practice_sheet(same_finger, "").sections[0]
    pattern = next(exercise for exercise in warm_up.exercises if exercise.title.startswith("Finger pattern"))
    by_bar = [[note.half_step for note in bar.notes] for bar in pattern.bars]
    # D major in third position: C sharp to D on the G string (1-2), F sharp to G on the A string (3-4), C sharp to D
    # on the E string (3-4); none on the D string.
    assert by_bar == [
        [True, False, False, False], [False] * 4, [False, False, True, False], [False, False, True, False],
    ]  # fmt: skip
    assert VIOLIN.open_pitch(4) == Pitch.named("G3")
