"""What a teacher would cross out on a sheet must not come back (common practice, from reading sheets as a teacher)."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from math import ceil

import pytest

from rules import (
    TO_THIRD,
    VIOLA,
    VIOLIN,
    Constraint,
    Exercise,
    Key,
    Passage,
    Pin,
    Plan,
    SheetNote,
    ShiftKind,
    cheapest_route,
    decisions_with_pins,
    practice_card,
    practice_sheet,
    progressive_set,
    week_plan,
)
from rules.practice.barring import pieces
from rules.practice.drills.passage_drills import counted_value
from rules.practice.drills.position_drills import open_strings
from rules.practice.drills.scale_drills import arpeggio, scale
from rules.practice.sheets import card
from service.config.options import read_options
from service.config.sheet_options import read_sheet_options
from service.drawing.sheet_page import as_page
from service.usecases.practice import class_practice
from tests.unit.test_practice import drill, planned, same_finger
from tests.unit.test_samples import SAMPLES

__all__ = ["same_finger"]

Make = Callable[..., Passage]


def letters(exercise: Exercise) -> list[int]:
    return [note.tones[0].pitch.letter for note in exercise.notes if note.tones]


@pytest.mark.parametrize(
    ("meter", "tempo", "counted"),
    [
        ((2, 2), 168, 2),  # two halves in halves
        ((2, 2), 96, 1),  # but slow ones in quarters
        ((6, 8), 120, "3/2"),
        ((6, 8), 60, "1/2"),
        ((3, 8), 116, "3/2"),  # in one
        ((3, 8), 60, "1/2"),
        ((4, 4), 96, 1),
        ((3, 4), 72, 1),
        ((4, 4), 40, "1/2"),
        ((6, 16), 90, "3/4"),
    ],
)
def test_a_metronome_counts_what_musicians_count(meter: tuple[int, int], tempo: float, counted: str) -> None:
    assert counted_value(meter, tempo) == Fraction(counted)


def test_the_tempos_of_two_halves_are_those_of_half_notes(passage: Make) -> None:
    music = passage("B4:2 D5:2 | E5:1 D5:3 | B4:4", fifths=2, meter=(2, 2), tempo=168)
    plan = planned(music, r0="1 2 1", r1="1 2 3", r2="2 2 3", r3="1 2 3", r4="1 2 1")
    context = drill(practice_sheet(plan, ""), "In the piece")
    assert context.text.startswith("Half notes at 42, ")
    assert context.steps[-1] == 84
    assert context.tempo == 2 * context.steps[0] == 2 * context.beats_per_minute


def test_scales_in_half_position_have_every_step() -> None:
    """In A major the first finger of half position has no note of the key: the open strings fill the gaps."""
    for key in ("A", "Em", "E", "G"):
        line = scale(VIOLIN, Key.named(key), 0, (4, 4))
        assert line is not None
        assert {abs(after - before) for before, after in pairwise(letters(line))} == {1}, key
    chord = arpeggio(VIOLIN, Key.named("A"), 0, (6, 8))
    assert chord is not None
    assert [letter % 7 for letter in letters(chord)[:7]] == [5, 0, 2, 5, 0, 2, 5]


def test_a_long_note_shows_the_beats_of_compound_metre() -> None:
    assert pieces(Fraction(2), Fraction(1), (6, 8)) == (Fraction(1, 2), Fraction(3, 2))
    assert pieces(Fraction(2), Fraction(0), (6, 8)) == (Fraction(3, 2), Fraction(1, 2))
    assert pieces(Fraction(3), Fraction(0), (6, 8)) == (Fraction(3),)
    assert pieces(Fraction(2), Fraction(1), (4, 4)) == (Fraction(2),)


@pytest.mark.parametrize("meter", [(3, 8), (2, 4), (3, 4), (6, 8), (2, 2)])
def test_every_open_string_has_whole_bars_and_one_bow_mark(meter: tuple[int, int]) -> None:
    line = open_strings(VIOLIN, meter)
    for bar in line.bars:
        assert len({note.tones[0].string for note in bar.notes}) == 1
    assert sum(note.bow is not None for note in line.notes) == 1


def studied(passage: Make, rows: str, stops: tuple[str, ...], **options: object) -> Exercise:
    plan = planned(passage(rows, **options), **{f"r{row}": stop for row, stop in enumerate(stops)})
    return drill(practice_sheet(plan, ""), "Study")


def test_the_shift_of_a_study_in_three_four_comes_on_a_beat(passage: Make) -> None:
    study = studied(
        passage, "B4:1 C#5:1 B4:1 | D5:1 E5:1 D5:1 | B4:3",
        ("1 2 1", "2 2 1", "1 2 1", "1 2 3", "2 2 3", "1 2 3", "1 2 1"),
        fifths=2, meter=(3, 4),
    )  # fmt: skip
    for bar in study.bars:
        place, positions = Fraction(0), []
        for each in bar.notes:
            if each.position is not None and each.position not in positions:
                positions.append(each.position)
                assert place % 1 == 0
            place += each.beats
        assert positions == [1, 3]


def test_a_study_repeats_no_note_and_no_pitch_under_another_finger(passage: Make) -> None:
    """A low fourth finger stands where the third would: only one of them is in the study."""
    study = studied(
        passage, "F#4:1 A4:1 F#4:1 F#5:1 | E5:1 F#5:1 E5:1 D5:1 | F#4:4",
        ("2 3 1", "4 3 1", "2 3 1", "4 2 3", "2 2 3", "4 2 3", "2 2 3", "1 2 3", "2 3 1"), fifths=3,
    )  # fmt: skip
    sounding = [each for each in study.notes if each.tones]
    assert all(a.tones[0].pitch != b.tones[0].pitch for a, b in pairwise(sounding) if a.position == b.position)
    fingers: dict[tuple[object, object], set[int | None]] = {}
    for each in sounding:
        fingers.setdefault((each.position, each.tones[0].pitch), set()).add(each.tones[0].finger)
    assert all(len(used) == 1 for used in fingers.values())


def test_a_study_over_a_rest_has_more_than_two_notes_before_it(passage: Make) -> None:
    """In a bar of two quarters only a bar for each position has room for them."""
    music = passage("B4:1/3 C#5:1/3 B4:1/3 B4:1/3 C#5:1/3 B4:1/3 | B4:1/2 R:1/2 D5:1 | B4:2", fifths=2, meter=(2, 4))
    stops = ("1 2 1", "2 2 1", "1 2 1", "1 2 1", "2 2 1", "1 2 1", "1 2 1", "1 2 3", "1 2 1")
    plan = planned(music, **{f"r{row}": stop for row, stop in enumerate(stops)})
    study = drill(practice_sheet(plan, ""), "Study")
    assert [each.is_rest for bar in study.bars[:2] for each in bar.notes] == [False, False, False, True] * 2
    assert [{each.position for each in bar.notes if each.tones} for bar in study.bars] == [{1}, {3}] * 4
    assert "at every bar line" in study.text


def test_a_ladder_of_tempos_takes_the_time_that_it_takes(same_finger: Plan) -> None:
    context = drill(practice_sheet(same_finger, ""), "In the piece")
    beats = sum(float(each.beats) for each in context.notes)
    # Three times in each of the tempos that one of its three days takes.
    minutes = 3 * sum(beats / step for step in context.steps[: ceil(len(context.steps) / 3)])
    (row,) = [row for row in week_plan(practice_sheet(same_finger, "")) if row.exercise.title == context.title]
    assert minutes <= row.minutes < minutes + 1


def test_a_study_takes_no_rhythm_that_cannot_be_written(passage: Make) -> None:
    """Some programs round triplets: 341/1024 of a quarter note is no note value."""
    names = ("B4", "C#5", "B4", "D5", "E5", "D5", "E5", "D5")
    lengths = ("341/1024", "171/512", "341/1024", "341/1024", "171/512", "341/1024", "1", "1")
    rounded = " ".join(f"{name}:{beats}" for name, beats in zip(names, lengths, strict=True))
    stops = ("1 2 1", "2 2 1", "1 2 1", "1 2 3", "2 2 3", "1 2 3", "2 2 3", "1 2 3", "1 2 1")
    study = studied(passage, f"{rounded} | B4:4", stops, fifths=2)
    assert {each.beats.denominator for each in study.notes} <= {1, 2, 4}


def test_no_slur_binds_two_fingers_on_one_pitch(passage: Make) -> None:
    """It would be read as a tie."""
    music = passage("C6:2 C6:2 | B5:2 A5:2 | G5:4", fifths=1)
    plan = planned(music, r0="4 1 1", r1="3 1 3", r2="2 1 3", r3="1 1 3", r4="2 1 1")
    slurring = Plan(plan.passage, replace(plan.level, shifts=plan.level.shifts | {ShiftKind.SLUR}), plan.route)
    titles = [exercise.title for exercise in practice_sheet(slurring, "").exercises]
    assert titles.count("In the same bow") == 1  # the way home, from A to G


def test_key_and_metre_are_those_of_the_bars_that_are_practised(passage: Make) -> None:
    """Most of the piece is in three eighths without signs; its shift lies in four quarters with a sharp."""
    low = " | ".join(["E4:1/2 F4:1/2 G4:1/2"] * 12)
    first = passage(low, meter=(3, 8))
    music = _joined(first, passage("G5:1 F#5:1 G5:1 A5:1 | C6:1 B5:1 A5:1 D6:1 | G5:4", fifths=1))
    stops = {"G5": "2 1 1", "F#5": "1 1 1", "A5": "1 1 3", "C6": "3 1 3", "B5": "2 1 3", "D6": "4 1 3"}
    pins = [
        Pin(Constraint(*(frozenset({int(word)}) for word in stops[each.pitch.name].split())), row=each.row)
        for each in music.notes
        if each.pitch.name in stops
    ]
    plan = Plan(music, TO_THIRD, cheapest_route(music, TO_THIRD, decisions=decisions_with_pins(music, pins, {})))
    assert plan.excursions
    sheet = practice_sheet(plan, "")
    assert sheet.sections[0].heading == "Warm-up in G major"
    prepared = [exercise for section in sheet.sections[:2] for exercise in section.exercises]
    assert {exercise.bars[0].meter for exercise in prepared} == {(4, 4)}


def _joined(first: Passage, second: Passage) -> Passage:
    length = first.measures[-1].onset + first.measures[-1].beats
    bars, rows = len(first.measures), len(first.notes)
    later = tuple(
        replace(
            event, onset=event.onset + length, measure=event.measure + bars,
            notes=tuple(replace(each, row=each.row + rows, id=f"later{each.id}") for each in event.notes),
        )
        for event in second.events
    )  # fmt: skip
    measures = tuple(
        replace(measure, onset=measure.onset + length, label=str(bars + number))
        for number, measure in enumerate(second.measures, start=1)
    )
    return replace(first, events=(*first.events, *later), measures=(*first.measures, *measures))


def test_the_warm_up_comes_every_day(same_finger: Plan) -> None:
    sheet = practice_sheet(same_finger, "")
    warm_up = {exercise.number for exercise in sheet.sections[0].exercises}
    for row in week_plan(sheet):
        assert (row.days == tuple(range(7))) == (row.exercise.number in warm_up)


def test_a_shift_to_a_chord_that_no_hand_holds_has_a_sheet_and_a_card(passage: Make) -> None:
    """From it nothing can grow."""
    music = passage("[F3 A3 Eb4 C5]:2 C6:2 | D6:2 C6:2 | B5:2 [F3 A3 Eb4 C5]:2", fifths=-3)
    plan = Plan(music, TO_THIRD, cheapest_route(music, TO_THIRD))
    unheld = {found.event for found in plan.unheld}
    assert any({shift.departure, shift.arrival} & unheld for shift in plan.shifts)
    assert practice_sheet(plan, "").exercises
    assert practice_card(plan, "").exercises


def test_an_upbeat_goes_with_the_bar_to_which_it_leads(passage: Make) -> None:
    music = passage("D5:1 | E5:2 D5:2 | E5:1 D5:1 B4:2 | B4:4", fifths=2)
    labelled = tuple(replace(measure, label=str(number)) for number, measure in enumerate(music.measures))
    stops = ("1 2 3", "2 2 3", "1 2 3", "2 2 3", "1 2 3", "1 2 1", "1 2 1")
    plan = planned(replace(music, measures=labelled), **{f"r{row}": stop for row, stop in enumerate(stops)})
    sheet = practice_sheet(plan, "")
    said = [*(f"{each.heading} {each.text}" for each in sheet.sections), *(each.title for each in sheet.exercises)]
    assert any("bars 1 to 2" in text.lower() for text in said)
    assert not [text for text in said if re.search(r"\bbars? 0\b", text, re.IGNORECASE)]


@pytest.mark.parametrize(("key", "position", "instrument"), [("C#m", 3, VIOLIN), ("C#m", 2, VIOLIN), ("F#m", 2, VIOLA)])
def test_every_key_of_the_set_has_its_second_parts(key: str, position: int, instrument: object) -> None:
    """The dominant of these keys has no leading note in first position."""
    assert progressive_set(Key.named(key), (position,), instrument).exercises  # type: ignore[arg-type]


@pytest.mark.parametrize("key", ["G", "Bb"])
def test_tunes_leave_time_to_move_in_silence_and_change_no_string_on_a_note(key: str) -> None:
    for exercise in progressive_set(Key.named(key), (2,), VIOLIN).exercises:
        for before, after in pairwise(_sounding(exercise)):
            if before.position == after.position:
                same = before.tones[0].pitch == after.tones[0].pitch
                assert not same or before.tones[0].string == after.tones[0].string, exercise.title
        if "over a rest" in exercise.title and "Second" not in exercise.title:
            shortest = min(each.beats for bar in exercise.bars for each in bar.notes if each.is_rest)
            assert shortest >= Fraction(1, 2)


def _sounding(exercise: Exercise) -> list[SheetNote]:
    return [each for each in exercise.notes if each.tones]


def test_the_string_of_a_reach_is_printed(passage: Make) -> None:
    """The first finger on the E string would have this A as well: the digit alone looks like a slip."""
    music = passage("B4:2 D5:2 | G5:2 A5:2 | D5:2 B4:2", fifths=2)
    plan = planned(music, r0="1 2 1", r1="1 2 3", r2="4 2 3", r3="4 2 3", r4="1 2 3", r5="1 2 1")
    prepared = drill(practice_sheet(plan, ""), "Preparing the reach to A")
    assert [
        (each.tones[0].pitch.name, each.tones[0].string) for each in prepared.notes if each.tones[0].show_string
    ] == [
        ("F#5", 2),
        ("A5", 2),
    ]


def test_a_card_names_no_long_list_of_bars(passage: Make) -> None:
    rows = " | ".join(["B4:2 D5:2", "E5:2 B4:2", "B4:2 F#5:2", "G5:2 A4:2"] * 8)
    kinds = {"B4": "1 2 1", "D5": "1 2 3", "E5": "2 2 3", "F#5": "3 2 3", "G5": "4 2 3", "A4": "0 2 1"}
    music = passage(rows, fifths=2)
    plan = planned(music, **{f"r{each.row}": kinds[each.pitch.name] for each in music.notes if each.pitch.name != "A4"})
    (remark,) = [text for text in practice_card(plan, "").remarks if text.startswith("Not on the card")]
    assert re.fullmatch(r"Not on the card: other shifts, in \d+ bars\.", remark)
    assert int(re.findall(r"\d+", remark)[0]) > 12


def test_a_card_for_a_class_has_a_page_for_each_piece() -> None:
    names = ("reed_crossing.musicxml", "evening_on_the_jetty.musicxml")
    scores = [(name, (SAMPLES / name).read_bytes()) for name in names]
    found = class_practice(scores, read_options({}), read_sheet_options({"form": ["card"]}))
    assert found.parts == ("Reed Crossing, Violin", "Evening on the Jetty, Violin")
    page = as_page(found.sheet)
    assert page.count('class="fresh') == 1
    before, after = page.split('class="fresh')
    assert before.count("<h2>") >= 2
    assert after.count("<h2>") >= 2
    numbers = [int(text.split(".")[0]) for text in page.split("<h3>")[1:]]
    assert numbers == list(range(1, len(numbers) + 1))


def test_a_card_without_room_for_one_shift_has_the_next_one(passage: Make, monkeypatch: pytest.MonkeyPatch) -> None:
    """The second commonest has bars of sixteenth notes around it and takes five lines, the others three each."""
    monkeypatch.setattr(card, "SYSTEMS", 6)
    quick = "| ".join(["F#5:1/4 E5:1/4 " * 8] * 3)
    home = "D5:2 B4:2 | B4:2 A4:2 | A4:4 | A4:4 | A4:4"
    often = "B4:2 D5:2 | B4:4 | B4:2 D5:2 | B4:4 | A4:4 | A4:4 | A4:4"
    music = passage(f"{often} | B4:2 F#5:2 | {quick} | {home} | B4:2 F#5:2 | {home} | C#5:2 E5:2 | C#5:4", fifths=2)
    kinds = {"B4": "1 2 1", "C#5": "2 2 1", "D5": "1 2 3", "E5": "2 2 3", "F#5": "3 2 3"}
    stops = {f"r{each.row}": kinds[each.pitch.name] for each in music.notes if each.pitch.name != "A4"}
    sheet = practice_card(planned(music, **stops), "")
    assert [section.text.split(".")[0] for section in sheet.sections] == [
        "From finger 1 to finger 1 on string A",
        "From finger 2 to finger 2 on string A",
    ]
    assert [remark for remark in sheet.remarks if "bar 8" in remark or "bars 8" in remark]
