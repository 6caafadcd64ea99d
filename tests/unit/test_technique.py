"""Harmonics, slides, tremolo, left-hand pizzicato and ornaments in the hand.

Where nothing else is named, what is checked is common practice; places of harmonics are acoustics (any handbook).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from itertools import product
from math import log2

import pytest

from rules import (
    ALL,
    FIRST,
    FIRST_AND_THIRD,
    TO_FIFTH,
    VIOLIN,
    Constraint,
    Level,
    Passage,
    Pin,
    Pitch,
    Plan,
    Printed,
    Route,
    Stop,
    Technique,
    cheapest_route,
    constraint_violations,
    decisions_with_pins,
    printed_decisions,
    printed_plan,
    propose,
    required_level,
    touches,
)
from tests.notation import read_passage
from tests.reference.route_effort import effort_of

LEFT_PIZZICATO, GLISSANDO, TREMOLO = Technique.LEFT_PIZZICATO, Technique.GLISSANDO, Technique.TREMOLO
NATURAL, ARTIFICIAL, TRILL = Technique.NATURAL_HARMONIC, Technique.ARTIFICIAL_HARMONIC, Technique.TRILL
_BEATS = "B4:1 C5:1 D5:1 A4:1"


def marked(text: str, techniques: Mapping[int, Technique]) -> Passage:
    """The passage with techniques on some notes, by the number of the note in the passage."""
    passage = read_passage(text)
    events = []
    for event in passage.events:
        notes = tuple(
            replace(note, techniques=frozenset({techniques[note.row]}))
            if note.row is not None and note.row in techniques
            else note
            for note in event.notes
        )
        events.append(replace(event, notes=notes))
    return replace(passage, events=tuple(events))


def plan_of(passage: Passage, level: Level = ALL, pins: tuple[Pin, ...] = ()) -> Plan:
    decisions = decisions_with_pins(passage, pins, {})
    return Plan(passage, level, cheapest_route(passage, level, decisions=decisions))


def stop_at(plan: Plan, row: int) -> Stop:
    stop = plan.rows[row].stop
    assert stop is not None
    return stop


@pytest.mark.parametrize(
    ("name", "places"),
    [
        ("A5", {(2, 12), (3, 7), (3, 19)}),  # the octave of A; the twelfth of D, touched at the fifth or where it is
        (
            "A6",
            {(2, 5), (2, 24), (3, 3), (3, 31)},
        ),  # the double octave of A, touched at the fourth; the sixth partial of D
        ("F#6", {(3, 4), (3, 9), (3, 16), (3, 28)}),  # the fifth partial of D: major third, sixth, tenth
        ("E5", {(2, 7)}),  # sounds nowhere as written, so it is the place to touch
        ("G#4", set()),
    ],
)
def test_places_to_touch(name: str, places: set[tuple[int, int]]) -> None:
    assert {(touch.string, touch.semitones) for touch in touches(Pitch.named(name), VIOLIN)} == places


@pytest.mark.parametrize("name", ["A5", "A6", "D5", "D6", "E6", "B6", "F#6", "G#7"])
def test_a_touched_string_sounds_what_is_written(name: str) -> None:
    """Acoustics: touched at k/n of the string, n and k without common divisor, it sounds n times its frequency."""
    pitch = Pitch.named(name)
    for touch in touches(pitch, VIOLIN):
        frequency = VIOLIN.open_pitch(touch.string).frequency() * touch.partial
        assert abs(12 * log2(frequency / pitch.frequency())) < 0.2
        left = 2 ** (-touch.semitones / 12) * touch.partial
        assert abs(left - round(left)) < 0.08, "the finger lies within a hand's tolerance of a node"
        assert touch.pitch(VIOLIN).midi == VIOLIN.open_pitch(touch.string).midi + touch.semitones


@pytest.mark.parametrize(("level", "positions"), [(ALL, {3, 4}), (FIRST_AND_THIRD, {3}), (TO_FIFTH, {3, 4})])
def test_octave_harmonic_is_the_light_fourth_finger(level: Level, positions: set[int]) -> None:
    plan = plan_of(marked("E5:1 A5:2 E5:1", {1: NATURAL}), level)
    stop = stop_at(plan, 1)
    assert (stop.string, stop.finger) == (2, 4)
    assert plan.rows[1].position in positions


def test_twelfth_is_touched_at_the_fifth_in_first_position() -> None:
    plan = plan_of(marked("B4:1 E6:1 B4:1", {1: NATURAL}), FIRST)
    assert stop_at(plan, 1) == Stop(2, 4, 7, 4)
    assert plan.rows[1].position == 1
    assert not plan.route.options[1].beyond
    (told,) = [explained for explained in printed_plan(plan).notes if explained.fingered.note.row == 1]
    assert (told.finger, told.string) == (4, 2), "the reader has to be told where a note is that is written elsewhere"


def test_a_nought_over_a_harmonic_is_no_open_string() -> None:
    passage = marked("B4:1 A5:2 B4:1", {1: NATURAL})
    event = passage.events[1]
    notes = (replace(event.notes[0], printed=Printed(fingers=(0,))),)
    passage = replace(passage, events=(passage.events[0], replace(event, notes=notes), passage.events[2]))
    decisions = printed_decisions(passage)
    plan = Plan(passage, ALL, cheapest_route(passage, ALL, decisions=decisions))
    assert constraint_violations(plan, decisions) == ()
    assert stop_at(plan, 1).finger == 4


def test_harmonic_excursion_is_not_taken_back() -> None:
    planned = propose(marked("B4:1 C5:1 A5:2 | B4:1 C5:1 B4:2", {2: NATURAL}), FIRST_AND_THIRD)
    assert stop_at(planned.plan, 2) == Stop(2, 4, 12, 7)
    assert planned.plan.shifts[0].goal == 3


def test_decided_string_chooses_the_node() -> None:
    """On the D string the note is the twelfth, touched at the fifth."""
    passage = marked("E5:1 A5:2 E5:1", {1: NATURAL})
    plan = plan_of(passage, FIRST_AND_THIRD, (Pin(Constraint(strings=frozenset({3})), row=1),))
    assert stop_at(plan, 1) == Stop(3, 4, 7, 4)


def test_decided_finger_wins_over_the_usual_one() -> None:
    passage = marked("E5:1 A5:2 E5:1", {1: NATURAL})
    plan = plan_of(passage, ALL, (Pin(Constraint(fingers=frozenset({2}), strings=frozenset({2})), row=1),))
    assert stop_at(plan, 1) == Stop(2, 2, 12, 7)


def test_double_harmonic() -> None:
    """The octaves of D and A lie side by side, but the fourth finger is laid across both."""
    plan = plan_of(marked("E5:1 [D5 A5]:2", {1: NATURAL, 2: NATURAL}))
    assert [(stop_at(plan, row).finger, stop_at(plan, row).semitones) for row in (1, 2)] == [(4, 12), (4, 12)]


@pytest.mark.parametrize(("name", "level"), [("B4", FIRST), ("C5", FIRST), ("F5", FIRST_AND_THIRD), ("D5", ALL)])
def test_artificial_harmonic_is_stopped_by_the_first_finger(name: str, level: Level) -> None:
    plan = plan_of(marked(f"A4:1 {name}:2 A4:1", {1: ARTIFICIAL}), level)
    assert stop_at(plan, 1).finger == 1


def test_artificial_harmonic_outside_the_level_says_so() -> None:
    plan = plan_of(marked("A4:1 C5:2 A4:1", {1: ARTIFICIAL}), FIRST)
    assert plan.route.options[1].beyond
    assert stop_at(plan, 1).finger == 1


@pytest.mark.parametrize(
    ("technique", "name", "level"),
    [(ARTIFICIAL, "B4", FIRST), (ARTIFICIAL, "D5", FIRST_AND_THIRD), (NATURAL, "E6", FIRST), (TRILL, "B5", FIRST)],
)
def test_level_needed_counts_how_a_note_is_sounded(technique: Technique, name: str, level: Level) -> None:
    assert required_level(marked(f"A4:1 {name}:2 A4:1", {1: technique})).level is level


def test_left_pizzicato_leaves_a_finger_to_pluck() -> None:
    """B5 at the end of first position lies under the fourth finger, which nothing is left to pluck above."""
    plain = plan_of(read_passage("F#5:1 G5:1 A5:1 B5:1"), FIRST)
    assert stop_at(plain, 3).finger == 4
    assert stop_at(plan_of(marked("F#5:1 G5:1 A5:1 B5:1", {3: LEFT_PIZZICATO}), FIRST), 3).finger < 4


def test_left_pizzicato_of_an_open_string_beside_a_held_note() -> None:
    plan = plan_of(marked("A4:1 [A4 B5]:2", {1: LEFT_PIZZICATO}), FIRST)
    assert stop_at(plan, 1).finger == 0


@pytest.mark.parametrize("names", [("C5", "F5"), ("B4", "E5"), ("A4", "A5"), ("G4", "E6")])
def test_glissando_is_one_finger_on_one_string(names: tuple[str, str]) -> None:
    """The octave lies on the D string, since the open A cannot slide; the last one is known only to the G and D."""
    plan = plan_of(marked(f"{names[0]}:1 {names[1]}:1", {0: GLISSANDO, 1: GLISSANDO}))
    start, goal = stop_at(plan, 0), stop_at(plan, 1)
    assert start.finger == goal.finger > 0
    assert start.string == goal.string


def test_glissando_that_the_level_does_not_have_leaves_it() -> None:
    """In first and third position no finger reaches both notes on one string."""
    plan = plan_of(marked("B4:1 E5:1", {0: GLISSANDO, 1: GLISSANDO}), FIRST_AND_THIRD)
    start, goal = stop_at(plan, 0), stop_at(plan, 1)
    assert (start.string, start.finger) == (goal.string, goal.finger)
    assert any(option.beyond for option in plan.route.options)


def test_glissando_of_three_notes_is_a_chain_and_two_pairs_are_apart() -> None:
    text = "C5:1 F5:1 B4:1 E5:1"
    chain = plan_of(marked(text, {0: GLISSANDO, 1: GLISSANDO, 2: GLISSANDO}))
    assert len({(stop_at(chain, row).string, stop_at(chain, row).finger) for row in range(3)}) == 1
    pairs = plan_of(marked(text, dict.fromkeys(range(4), GLISSANDO)))
    for first in (0, 2):
        a, b = stop_at(pairs, first), stop_at(pairs, first + 1)
        assert (a.string, a.finger) == (b.string, b.finger)


def test_glissando_in_thirds_keeps_both_fingers() -> None:
    plan = plan_of(marked("[B4 D5]:1 [C5 E5]:1", dict.fromkeys(range(4), GLISSANDO)))
    stops = [stop_at(plan, row) for row in range(4)]
    assert {(s.string, s.finger) for s in stops[:2]} == {(s.string, s.finger) for s in stops[2:]}


@pytest.mark.parametrize("names", [("C5", "D6"), ("D5", "F6"), ("D5", "G6"), ("E5", "G6")])
def test_tremolo_lies_under_the_hand(names: tuple[str, str]) -> None:
    """Without the tremolo the hand would move between these, or one finger would hop."""
    text = f"G4:1 {names[0]}:1/2 {names[1]}:1/2 G4:1"
    assert not _lies_under_the_hand(plan_of(read_passage(text)))
    assert _lies_under_the_hand(plan_of(marked(text, {1: TREMOLO, 2: TREMOLO})))


def _lies_under_the_hand(plan: Plan) -> bool:
    """One position, and two fingers, or one laid across a fifth."""
    a, b = stop_at(plan, 1), stop_at(plan, 2)
    laid_across = a.string != b.string and a.semitones == b.semitones
    return plan.rows[1].position == plan.rows[2].position and (a.finger != b.finger or laid_across)


@pytest.mark.parametrize("row", [0, 1])
def test_trill_in_a_unison_is_on_the_note_under_the_first_finger(row: int) -> None:
    """Nothing is left above the fourth."""
    plan = plan_of(marked("[D5 D5]:2", {row: TRILL}))
    assert (stop_at(plan, row).finger, stop_at(plan, 1 - row).finger) == (1, 4)


@pytest.mark.parametrize("technique", list(Technique))
@pytest.mark.parametrize("level", [FIRST, ALL])
def test_the_plan_never_fails_and_adds_up(technique: Technique, level: Level) -> None:
    """Whatever is marked, also where no such grip exists: what the level reaches has a stop, the items make the sum."""
    text = "G3:1 G#3:1 A3:1 C6:1 | [G3 D4]:1 [G#4 E5]:1 [D5 A5]:1 B6:1"
    passage = marked(text, dict.fromkeys(range(11), technique))
    plan = plan_of(passage, level)
    assert {placed.event for placed in plan.unheld} == {i for i, o in enumerate(plan.route.options) if o.left_out}
    items = effort_of(passage, plan.route, level)
    assert sum(map(sum, (item.values() for item in items))) == plan.route.effort


@pytest.mark.parametrize("technique", [GLISSANDO, TREMOLO])
def test_bound_way_is_the_cheapest_of_all(technique: Technique) -> None:
    """Against enumeration of every route."""
    passage = marked("G5:1 B4:1/2 E5:1/2 D5:1 A5:1", {1: technique, 2: technique, 4: NATURAL})
    found = cheapest_route(passage, FIRST_AND_THIRD)
    choices = [range(len(option.grips)) for option in found.options]
    every = [Route(found.options, chosen, 0.0) for chosen in product(*choices)]
    efforts = [sum(sum(i.values()) for i in effort_of(passage, route, FIRST_AND_THIRD)) for route in every]
    assert len(efforts) > 50
    assert found.effort == min(efforts)


def test_without_techniques_nothing_changes() -> None:
    """One marked note leaves the grips that come into question for the others as they are."""
    plain, with_one = read_passage(f"{_BEATS} | A5:4 | {_BEATS}"), marked(f"{_BEATS} | A5:4 | {_BEATS}", {4: NATURAL})
    for index, (a, b) in enumerate(zip(plan_of(plain).route.options, plan_of(with_one).route.options, strict=True)):
        assert (a.grips == b.grips) is (index != 4)
