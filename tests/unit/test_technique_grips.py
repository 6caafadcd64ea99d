"""Which grips play a technique, and which events a technique binds. All of it is common practice."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rules import VIOLIN, Event, Passage, Pitch, Technique
from rules.hand.grip import EVERY_POSITION
from rules.hand.technique import Asked, Link, asked_of, bonds, grips_as_played
from tests.notation import read_passage

FIRST = frozenset({1})


def asked(name: str, *techniques: Technique, strings: frozenset[int] | None = None) -> Asked:
    return Asked(Pitch.named(name), frozenset(techniques), strings)


def fingers(*notes: Asked, positions: frozenset[int] = FIRST) -> tuple[set[tuple[int, ...]], bool]:
    grips, beyond = grips_as_played(notes, VIOLIN, positions)
    return {tuple(stop.finger for stop in grip.stops) for grip in grips}, beyond


def with_techniques(text: str, **techniques: tuple[Technique, ...]) -> Passage:
    """A passage whose notes carry techniques: `e0=(TRILL,)` on every note of the first event."""
    passage = read_passage(text)
    events: list[Event] = list(passage.events)
    for name, wanted in techniques.items():
        index = int(name[1:])
        notes = tuple(replace(note, techniques=frozenset(wanted)) for note in events[index].notes)
        events[index] = replace(events[index], notes=notes)
    return replace(passage, events=tuple(events))


def test_an_artificial_harmonic_is_stopped_by_the_first_finger() -> None:
    assert fingers(asked("B4", Technique.ARTIFICIAL_HARMONIC)) == ({(1,)}, False)
    assert fingers(asked("C5", Technique.ARTIFICIAL_HARMONIC))[1], "first position has no first finger there"


def test_an_artificial_harmonic_leaves_the_third_and_fourth_finger_free() -> None:
    beside = (asked("B4", Technique.ARTIFICIAL_HARMONIC), asked("E5"))
    assert all(max(pair) <= 2 for pair in fingers(*beside, positions=EVERY_POSITION)[0])
    held = (asked("E4", Technique.ARTIFICIAL_HARMONIC), asked("C5"))
    assert fingers(*held)[0] == {(1, 2)}
    assert fingers(asked("E4", Technique.ARTIFICIAL_HARMONIC), asked("D5"))[1], "the third finger is needed to touch"


@pytest.mark.parametrize(("name", "stopping"), [("B4", {(1,)}), ("C5", {(2,)}), ("D5", {(3,)})])
def test_left_hand_pizzicato_needs_a_finger_above(name: str, stopping: set[tuple[int, ...]]) -> None:
    assert fingers(asked(name, Technique.LEFT_PIZZICATO)) == (stopping, False)


def test_the_fourth_finger_cannot_be_plucked_by_another() -> None:
    found, beyond = fingers(asked("E5", Technique.LEFT_PIZZICATO))
    assert (found, beyond) == ({(0,)}, False)
    found, beyond = fingers(asked("B5", Technique.LEFT_PIZZICATO))
    assert beyond
    assert (4,) not in found


def test_a_finger_that_is_down_on_another_string_does_not_pluck() -> None:
    # D5 under the third finger is plucked by the fourth, which must not be on the E string.
    found, _ = fingers(asked("D5", Technique.LEFT_PIZZICATO), asked("B5"), positions=FIRST)
    assert (3, 4) not in found


def test_a_trill_in_a_chord_has_one_of_the_two_fingers_above() -> None:
    trilled = asked("E4", Technique.TRILL)
    assert fingers(trilled, asked("C5"))[0] == {(1, 2)}, "the third finger trills"
    assert fingers(asked("F#4", Technique.TRILL), asked("D5"))[0] == {(2, 3)}, "the fourth finger trills"
    assert fingers(asked("B4"), asked("A5", Technique.TRILL))[0] == {(1, 3)}


def test_a_trill_that_no_grip_leaves_a_finger_for_is_played_as_well_as_it_goes() -> None:
    assert fingers(asked("G4", Technique.TRILL), asked("E5")) == ({(3, 4)}, False)


def test_a_glissando_does_not_start_from_an_open_string() -> None:
    assert (0,) not in fingers(asked("A4", Technique.GLISSANDO))[0]


def test_a_single_ornamented_note_chooses_no_grip() -> None:
    assert fingers(asked("B4", Technique.TRILL)) == (set(), False)


def test_a_decided_string_binds_a_harmonic() -> None:
    free, _ = grips_as_played((asked("A5", Technique.NATURAL_HARMONIC),), VIOLIN, EVERY_POSITION)
    bound, _ = grips_as_played(
        (asked("A5", Technique.NATURAL_HARMONIC, strings=frozenset({3})),), VIOLIN, EVERY_POSITION
    )
    assert {grip.stops[0].string for grip in free} == {2}, "the octave is a lower partial than the twelfth"
    assert {grip.stops[0].string for grip in bound} == {3}


def test_strings_are_asked_for_harmonics_only() -> None:
    passage = with_techniques("A5:1 B5:1", e0=(Technique.NATURAL_HARMONIC,), e1=(Technique.TRILL,))
    harmonic, trill = passage.notes
    assert asked_of(harmonic, passage, frozenset({3})).strings == frozenset({3})
    assert asked_of(trill, passage, frozenset({3})).strings is None


@pytest.mark.parametrize(
    ("passage", "events"),
    [
        (with_techniques("A4:1 B4:1", e1=(Technique.TRILL,)), ()),
        (with_techniques("A4:1 [B4 G5]:1", e1=(Technique.TRILL,)), (1,)),
        (with_techniques("A4:1 B4:1", e1=(Technique.LEFT_PIZZICATO,)), (1,)),
        (with_techniques("A4:1 B4:1 C5:1", e1=(Technique.LEFT_PIZZICATO,), e2=(Technique.TRILL,)), (1,)),
        (with_techniques("[A4 E5]:1 B4:1 [D5 A5]:1", e0=(Technique.NATURAL_HARMONIC,)), (0,)),
        (read_passage("A4:1 B4:1"), ()),
    ],
)
def test_events_whose_grips_a_technique_chooses(passage: Passage, events: tuple[int, ...]) -> None:
    assert bonds(passage).events == events


def test_a_note_that_is_held_under_others_keeps_its_technique() -> None:
    passage = with_techniques("[A4 E5]:2 B4:1", e0=(Technique.TRILL,))
    held = passage.events[0].notes[0].id
    events = (passage.events[0], replace(passage.events[1], held=(held,)))
    assert bonds(replace(passage, events=events)).events == (0, 1)


@pytest.mark.parametrize(("count", "linked"), [(1, []), (2, [1]), (3, [1, 2]), (4, [1, 3]), (5, [1, 2, 3, 4])])
def test_slides_in_a_row_are_pairs_if_their_number_is_even_else_one_chain(count: int, linked: list[int]) -> None:
    names = ["B4", "C5", "D5", "E5", "F5"][:count]
    slides = {f"e{index}": (Technique.GLISSANDO,) for index in range(count)}
    passage = with_techniques(" ".join(f"{name}:1" for name in [*names, "A4"]), **slides)
    assert sorted(bonds(passage).links) == linked
    assert all(link is Link.GLIDE for link in bonds(passage).links.values())


def test_each_end_of_a_slide_knows_the_others() -> None:
    passage = with_techniques(
        "B4:1 C5:1 D5:1", e0=(Technique.GLISSANDO,), e1=(Technique.GLISSANDO,), e2=(Technique.GLISSANDO,)
    )
    others = {note.pitch.name: [p.name for p in bonds(passage).others[note.id]] for note in passage.notes}
    assert others == {"B4": ["C5"], "C5": ["B4", "D5"], "D5": ["C5"]}
