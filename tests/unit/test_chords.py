"""What to hold of a chord that is too much for one hand, and where notes sound. The order is common practice."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from rules import Note, Pitch
from rules.hand.chords import MOST_STOPS, sounding_in, what_to_hold
from tests.notation import read_passage


def note(name: str, voice: str = "1") -> Note:
    return Note(f"{name}/{voice}", Pitch.named(name), 0, Fraction(1), voice)


def names(choices: list[tuple[list[Note], bool]]) -> list[tuple[str, bool]]:
    return [(" ".join(one.pitch.name for one in notes), may_leave) for notes, may_leave in choices]


def test_one_voice_gives_up_what_is_held_then_the_lower_notes() -> None:
    held = [note("G3")]
    assert names(what_to_hold([note("A4"), note("D4")], held)) == [
        ("G3 D4 A4", False),
        ("D4 A4", False),
        ("G3 D4 A4", True),
        ("D4 A4", True),
        ("A4", True),
        ("D4", True),
    ]


def test_of_two_voices_the_upper_one_goes_on_within_the_level() -> None:
    found = names(what_to_hold([note("D4", "2"), note("A4", "1"), note("F4", "2")], ()))
    assert found[:3] == [("D4 F4 A4", False), ("A4", False), ("D4 F4 A4", True)]


def test_fewer_notes_keep_the_top_and_then_the_bass() -> None:
    found = names(what_to_hold([note("G3"), note("D4"), note("B4")], ()))
    assert found == [
        ("G3 D4 B4", False),
        ("G3 D4 B4", True),
        ("G3 B4", True),
        ("D4 B4", True),
        ("G3 D4", True),
        ("B4", True),
        ("D4", True),
        ("G3", True),
    ]


def test_a_chord_of_four_is_tried_whole_and_a_fifth_note_never() -> None:
    four = [note(name) for name in ("G3", "D4", "B4", "G5")]
    five = [*four, note("B5")]
    assert MOST_STOPS == 4, "one finger and one string each"
    assert names(what_to_hold(four, ()))[0] == ("G3 D4 B4 G5", False)
    assert max(len(notes) for notes, _ in what_to_hold(five, ())) == 4
    assert names(what_to_hold(five, ()))[0] == ("G3 D4 B4 B5", True), "the top, then the bass, then the lower notes"
    assert all(may_leave for _, may_leave in what_to_hold(five, ()))


def test_of_a_cluster_only_the_outer_notes_are_tried() -> None:
    eight = [note(name) for name in ("G3", "A3", "B3", "C4", "D4", "E4", "F4", "G4")]
    nine = [*eight, note("A4")]
    assert {one.pitch.name for notes, _ in what_to_hold(eight, ()) for one in notes} == {n.pitch.name for n in eight}
    tried = {one.pitch.name for notes, _ in what_to_hold(nine, ()) for one in notes}
    assert tried == {"G3", "A3", "B3", "C4", "E4", "F4", "G4", "A4"}


def test_a_single_note_is_all_there_is() -> None:
    assert names(what_to_hold([note("A4")], ())) == [("A4", False), ("A4", True)]


def test_a_note_sounds_where_it_starts_and_where_it_is_held() -> None:
    passage = read_passage("A4:1 B4:1 C5:1")
    first = passage.events[0].notes[0].id
    events = (passage.events[0], *(replace(event, held=(first,)) for event in passage.events[1:]))
    found = sounding_in(replace(passage, events=events))
    assert found[first] == [0, 1, 2]
    assert found[events[2].notes[0].id] == [2]


def test_a_note_that_started_outside_still_sounds_where_it_is_held() -> None:
    passage = read_passage("A4:1 B4:1")
    events = (passage.events[0], replace(passage.events[1], held=("before",)))
    assert sounding_in(replace(passage, events=events))["before"] == [1]
