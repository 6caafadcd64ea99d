"""What a piece asks for that is hard or beyond the level is said on the sheet, and its notes are left to the player."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from rules import (
    ALL,
    FIRST_AND_THIRD,
    NO_DECISIONS,
    TO_FIFTH,
    TO_THIRD,
    Constraint,
    Exercise,
    Passage,
    Pin,
    Plan,
    Severity,
    Sheet,
    cheapest_route,
    decisions_with_pins,
    practice_card,
    practice_sheet,
)
from service.config.options import read_options
from service.config.sheet_options import SheetFormat
from service.naming import Language
from service.usecases.annotate import review_score
from service.usecases.practice import written
from tests.small_scores import attributes, grace, notations, note, reading

Make = Callable[..., Passage]


def planned(music: Passage, **stops: str) -> Plan:
    pins = []
    for row, text in stops.items():
        finger, string, position = (frozenset({int(word)}) for word in text.split())
        pins.append(Pin(Constraint(finger, string, position), row=int(row[1:])))
    decisions = decisions_with_pins(music, pins, {}) if pins else NO_DECISIONS
    return Plan(music, FIRST_AND_THIRD, cheapest_route(music, FIRST_AND_THIRD, decisions=decisions))


def said(sheet: Sheet) -> str:
    return " ".join(section.text for section in sheet.sections)


def left_to_the_player(sheet: Sheet) -> set[str]:
    return {tone.pitch.name for e in sheet.exercises for note in e.notes if note.ad_libitum for tone in note.tones}


def test_a_piece_that_asks_for_nothing_special_has_no_such_words(passage: Make) -> None:
    plan = planned(passage("B4:2 D5:2 | E5:4 | B4:4", fifths=2), r0="1 2 1", r1="1 2 3", r2="2 2 3", r3="1 2 1")
    for sheet in (practice_sheet(plan, ""), practice_card(plan, "")):
        assert left_to_the_player(sheet) == set()
        assert "level" not in said(sheet)
        assert "wide" not in said(sheet)


def test_no_study_is_made_of_a_position_at_the_end_of_the_fingerboard(passage: Make) -> None:
    music = passage("A5:1 E6:1 G7:2 | G7:4 | A5:4")
    plan = Plan(music, ALL, cheapest_route(music, ALL))
    sheet = practice_sheet(plan, "")
    assert max(position for fingered in plan.fingered_notes if (position := fingered.position)) > 7
    studied = [exercise.title for section in sheet.sections for exercise in section.exercises if section.charts]
    assert not [title for title in studied if "pattern in 1" in title or "Scale in 1" in title]


def test_a_position_that_no_exercise_leads_to_is_named(passage: Make) -> None:
    """From first position no note on the E string tells where thirteenth position is."""
    music = passage("A5:1 E6:1 E7:1 G7:1 | G7:4 | A5:4")
    plan = planned(music, r0="3 1 1", r1="4 1 4", r2="2 1 13", r3="4 1 13", r4="4 1 13", r5="3 1 1")
    line = "Without an exercise of its own: 13th position. Find the notes slowly in the bars of the piece."
    assert line in practice_sheet(plan, "").remarks
    plan = planned(passage("B4:2 D5:2 | E5:4"), r0="1 2 1", r1="1 2 3")
    assert not any("of its own" in remark for remark in practice_sheet(plan, "").remarks)


def test_a_position_beyond_the_level_is_announced_and_left_to_the_player(passage: Make) -> None:
    plan = planned(passage("B4:2 E5:2 | F#5:4 | B4:4", fifths=2), r0="1 2 1", r1="1 2 4", r2="2 2 4", r3="1 2 1")
    for sheet in (practice_sheet(plan, ""), practice_card(plan, "")):
        assert "beyond the level" in said(sheet)
        assert {"E5", "F#5"} <= left_to_the_player(sheet)
        # First position is everybody's.
        assert "B4" not in left_to_the_player(sheet)


def test_a_wide_reach_and_a_jump_under_a_slur_are_said_with_their_bars(passage: Make) -> None:
    music = passage("B4:2 D5:2 | A4:1/2 (E6:1/2 G4:1 D5:2) | B4:4", fifths=2, tempo=120)
    stops = {"r0": "1 2 1", "r1": "1 2 3", "r2": "2 3 3", "r3": "4 1 3", "r4": "1 3 3", "r5": "1 2 3", "r6": "1 2 1"}
    sheet = practice_sheet(planned(music, **stops), "")
    assert "in bar 2" in said(sheet)
    assert "separate bows first" in said(sheet)
    assert "E6" in left_to_the_player(sheet)
    assert "B4" not in left_to_the_player(sheet)


def exercise(sheet: Sheet, title: str) -> Exercise:
    return next(found for found in sheet.exercises if found.title.startswith(title))


def test_bars_are_read_at_half_the_tempo_and_no_note_too_quick(passage: Make) -> None:
    stops = {"r0": "1 2 1", "r1": "1 2 3", "r2": "2 2 3", "r3": "1 2 1", "r4": "1 2 1"}
    slow = planned(passage("B4:2 D5:3/2 E5:1/2 | B4:4 | B4:4", fifths=2, tempo=60), **stops)
    assert exercise(practice_sheet(slow, ""), "Every finger").tempo == 30
    quick = planned(passage("B4:2 D5:2 | E5:4 | B4:4 | B4:4", fifths=2, tempo=200), **stops)
    assert exercise(practice_sheet(quick, ""), "Every finger").tempo == 60
    running = planned(passage("B4:2 D5:15/8 E5:1/8 | B4:4 | B4:4", fifths=2, tempo=120), **stops)
    # A thirty-second note of a quarter of a second.
    assert exercise(practice_sheet(running, ""), "Every finger").tempo == 30


def test_a_study_has_no_notes_too_quick_to_shift_from(passage: Make) -> None:
    rhythm = "B4:1/8 C#5:1/8 B4:1/8 C#5:1/8 B4:1/2 D5:1 E5:1/2 D5:1/2 D5:1"
    stops = {"r0": "1 2 1", "r1": "2 2 1", "r2": "1 2 1", "r3": "2 2 1", "r4": "1 2 1", "r5": "1 2 3", "r6": "2 2 3"}
    plan = planned(passage(f"{rhythm} | B4:4", fifths=2), **stops, r7="1 2 3", r8="1 2 3", r9="1 2 1")
    study = exercise(practice_sheet(plan, ""), "Study")
    assert min(note.beats for note in study.notes) >= Fraction(1, 4)


def test_a_finger_under_its_neighbours_letter_is_said_to_stand_high(passage: Make) -> None:
    plan = planned(passage("F5:2 A#5:2 | A#5:4 | F5:4"), r0="1 1 1", r1="1 1 3", r2="1 1 3", r3="1 1 1")
    assert "stands" not in exercise(practice_sheet(plan, ""), "The shift alone").text
    plan = planned(passage("F5:2 Bb5:2 | Bb5:4 | F5:4", fifths=-2), r0="1 1 1", r1="1 1 3", r2="1 1 3", r3="1 1 1")
    said_of_it = exercise(practice_sheet(plan, ""), "The shift alone").text
    assert "Finger 1 stands high: a half step above its place." in said_of_it


def test_the_anchor_is_climbed_to_under_its_own_letters(passage: Make) -> None:
    music = passage("Eb5:2 Bb5:2 | Bb5:2 Ab5:2 | Eb5:4", fifths=-3)
    plan = planned(music, r0="4 2 1", r1="2 1 3", r2="2 1 3", r3="1 1 3", r4="4 2 1")
    climb = [(n.tones[0].pitch.name, n.tones[0].finger) for n in exercise(practice_sheet(plan, ""), "Find").notes]
    # In first position A flat is a low third finger: F, G, A flat.
    assert climb[:3] == [("F5", 1), ("G5", 2), ("Ab5", 3)]


def test_what_is_to_be_sung_is_one_line(passage: Make) -> None:
    music = passage("[D4 B4]:2 [F#4 D5]:2 | [G4 E5]:2 [F#4 D5]:2 | B4:4", fifths=2)
    plan = planned(music, r1="3 3 3", r2="1 2 3", r3="4 3 3", r4="2 2 3", r5="3 3 3", r6="1 2 3", r7="1 2 1")
    sung = exercise(practice_sheet(plan, ""), "How it sounds")
    assert [tone.pitch.name for note in sung.notes for tone in note.tones] == ["B4", "D5", "E5", "D5", "B4"]


def test_small_notes_beyond_the_level_are_announced_once(passage: Make) -> None:
    music = passage("A5:2 D6:2 | G6:4 | D6:4", fifths=2)
    plan = Plan(music, TO_THIRD, cheapest_route(music, TO_THIRD))
    assert [note.note.pitch.name for note in plan.unheld] == ["G6"]
    words = said(practice_sheet(plan, ""))
    assert "The small notes lie beyond your level" in words
    assert "Part of it lies beyond the level" not in words


def test_a_card_speaks_of_small_notes_only_where_it_has_them(passage: Make) -> None:
    near = passage("A5:2 D6:2 | G6:4 | D6:4", fifths=2)
    far = passage(
        "B4:2 D6:2 | B4:2 D6:2 | B4:4 | B4:4 | B4:4 | B4:4 | B4:2 D6:2 | D6:4 | D6:4 | D6:4 | D6:4 | G6:4", fifths=2
    )
    for music, has_them in ((near, True), (far, False)):
        plan = Plan(music, TO_THIRD, cheapest_route(music, TO_THIRD))
        assert [note.note.pitch.name for note in plan.unheld] == ["G6"]
        card = practice_card(plan, "")
        assert ("G6" in left_to_the_player(card)) == has_them
        assert any("small notes" in remark for remark in card.remarks) == has_them


def test_no_exercise_begins_with_a_bar_of_silence() -> None:
    # A5, the last note in first position, is held through the bar before the shift.
    start, stop = notations('<tied type="start"/>'), notations('<tied type="stop"/>')
    held = note("A5", 4, start).replace("<voice>", '<tie type="start"/><voice>')
    on = note("A5", 4, stop).replace("<voice>", '<tie type="stop"/><voice>')
    bars = (note("F#5", 4), held, on, note("", 2) + note("D5", 2), note("E5", 4), note("B4", 4))
    music = reading(attributes() + bars[0], *bars[1:]).passage
    sheet = practice_sheet(planned(music, r0="1 1 1", r1="3 1 1", r2="1 2 3", r3="2 2 3", r4="1 2 1"), "")
    for title in ("How it sounds", "In the piece"):
        assert any(each.tones for each in exercise(sheet, title).bars[0].notes), title


def test_a_reach_is_named_with_its_accidental(passage: Make) -> None:
    plan = planned(passage("A4:2 F#4:2 | A4:4 | F#4:4", fifths=2), r0="2 3 3", r1="1 3 3", r2="2 3 3", r3="2 3 1")
    assert exercise(practice_sheet(plan, ""), "Preparing the reach").title == "Preparing the reach to F♯"


def test_a_slow_piece_is_counted_in_parts_of_the_beat(passage: Make) -> None:
    stops = {"r0": "1 2 1", "r1": "1 2 3", "r2": "2 2 3", "r3": "1 2 1"}
    music = passage("B4:2 D5:3/2 E5:1/2 | B4:4", tempo=38)
    slow = exercise(practice_sheet(planned(music, **stops), ""), "In the piece")
    assert slow.text.startswith("Eighth notes at 40, 46, 54, 66, 76.")
    assert slow.tempo == 20
    slowest = exercise(
        practice_sheet(planned(passage("B4:2 D5:3/2 E5:1/2 | B4:4", tempo=20), **stops), ""), "In the piece"
    )
    assert slowest.steps == (40,)
    assert slowest.text.startswith("The piece is slow: this is its tempo.")


def test_a_small_note_over_a_held_one_is_judged_as_it_stands_on_the_sheet() -> None:
    """Beside the held B5 the fourth finger takes A5 on the next string; alone before C6 it is a wide stretch."""
    start, stop = ('<tie type="start"/>', '<tied type="start"/>'), ('<tie type="stop"/>', '<tied type="stop"/>')
    held = note("B5", 4, start[0] + notations(start[1])) + grace("A5") + note("B5", 1, stop[0] + notations(stop[1]))
    music = reading(attributes(4) + note("D5", 4) + note("C6", 4) + held + note("C6", 1) + note("D6", 2)).passage
    plan = planned(music, r0="1 2 3", r1="3 1 3", r2="2 1 3", r3="3 1 3", r4="4 1 3")
    sheet = practice_sheet(plan, "")
    assert {"A5", "C6"} <= left_to_the_player(sheet)


def test_notes_above_the_usual_compass_are_pointed_out_and_a_review_of_the_sheet_is_content(passage: Make) -> None:
    """They may be misprints, so a review of the piece tells them. On the sheet it has been said."""
    music = passage("A5:1 E6:1 G7:2 | G7:4 | A5:4")
    plan = Plan(music, ALL, cheapest_route(music, ALL))
    for sheet in (practice_sheet(plan, ""), practice_card(plan, "")):
        assert "above what orchestral parts ask for: make sure that they are meant." in said(sheet)
        assert "G7" in left_to_the_player(sheet)
        assert "E6" not in left_to_the_player(sheet)
        assert found(sheet, "all") == []
    assert "orchestral" not in said(practice_sheet(planned(passage("B4:2 D5:2 | E5:4"), r0="1 2 1", r1="1 2 3"), ""))


def found(sheet: Sheet, level: str) -> list[str]:
    """What a review of the written sheet warns of."""
    data = written(sheet, SheetFormat.MUSICXML, Language.BRITISH)
    (part,) = review_score(data, read_options({"level": [level]}))
    return [flag.sentence for flag in part.review.flags if flag.severity is not Severity.NOTE]


RAISED = {"r0": "1 1 3", "r1": "3 1 5", "r2": "4 1 5", "r3": "1 1 3"}
"""F6 and G6 under the third and fourth finger in fifth position: the letters of sixth."""


def test_fingers_that_stand_high_under_their_position_word_are_explained(passage: Make) -> None:
    """A player would take the word or the digits for a misprint, and so would a review."""
    music = passage("A5:2 F6:2 | G6:4 | A5:4")
    sheet = practice_sheet(pinned(music, RAISED), "")
    every = exercise(sheet, "In the piece")
    assert "In bar 1 the fingers stand high in fifth position, almost in sixth position." in every.text
    assert {"F6", "G6"} <= {tone.pitch.name for note in every.notes if note.ad_libitum for tone in note.tones}
    assert "A5" not in {tone.pitch.name for note in every.notes if note.ad_libitum for tone in note.tones}
    assert found(sheet, "to-fifth") == []


def test_a_digit_bears_out_the_word_where_one_can(passage: Make) -> None:
    """A flat under 1 and G under 4 alone look like fourth position; D under 2, which lies between, shows the third."""
    music = passage("Eb4:2 Ab4:2 | D4:1 G4:3 | Eb4:4", fifths=-3)
    plan = pinned(music, {"r0": "1 3 1", "r1": "1 3 3", "r2": "2 4 3", "r3": "4 4 3", "r4": "1 3 1"})
    played = exercise(practice_sheet(plan, ""), "In the piece")
    shown = [(tone.pitch.name, tone.finger) for note in played.notes for tone in note.tones if tone.show_finger]
    assert shown[shown.index(("Ab4", 1)) :][:3] == [("Ab4", 1), ("D4", 2), ("G4", 4)]
    assert "stand high" not in played.text


def pinned(music: Passage, stops: dict[str, str]) -> Plan:
    """A plan within fifth position with these fingers, strings and positions."""
    pins = [
        Pin(Constraint(*(frozenset({int(word)}) for word in text.split())), row=int(row[1:]))
        for row, text in stops.items()
    ]
    return Plan(music, TO_FIFTH, cheapest_route(music, TO_FIFTH, decisions=decisions_with_pins(music, pins, {})))


def test_a_trill_on_the_fourth_finger_is_told() -> None:
    trill = notations("<ornaments><trill-mark/></ornaments>")
    music = reading(attributes() + note("A5", 4), note("D6", 2, trill) + note("C6", 2), note("A5", 4)).passage
    sheet = practice_sheet(planned(music, r0="1 1 3", r1="4 1 3", r2="3 1 3", r3="1 1 3"), "")
    assert "The fourth finger trills in bar 2: short and light, or leave the trill out." in said(sheet)
    assert left_to_the_player(sheet) == {"D6"}
    (part,) = review_score(
        written(sheet, SheetFormat.MUSICXML, Language.BRITISH), read_options({"level": ["first-and-third"]})
    )
    assert not [flag for flag in part.review.flags if flag.severity > Severity.NOTE]
