"""Natural harmonics bind to strings that have them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rules import ALL, NODES, PARTIALS, VIOLIN, Pitch, Plan, Technique, cheapest_route, node_strings, printed_decisions
from tests.notation import read_passage


@pytest.mark.parametrize("partial", [2, 3, 4, 5, 6])
def test_partials_lie_where_physics_puts_them(partial: int) -> None:
    """Acoustics: partial n sounds n times the frequency of the string; touched at any of its parts it sounds alike."""
    from math import log2

    assert PARTIALS[partial] == round(12 * log2(partial))
    touched = {round(-12 * log2(1 - part / partial)) for part in range(1, partial)}
    own = {place for place in touched if NODES.get(place) == partial}
    assert own, "every partial can be touched somewhere"
    assert {place for place, number in NODES.items() if number == partial} <= touched


@pytest.mark.parametrize(
    ("name", "strings"),
    [
        ("A5", {2, 3}),  # the octave on A; the twelfth on D
        ("E6", {1, 2}),  # the octave on E; the twelfth on A
        ("D5", {3, 4}),  # the octave on D; the twelfth on G
        ("G4", {4}),  # the octave on G
        ("B4", {3, 4}),  # touched a sixth above D, or a tenth above G
        ("G#3", set()),
    ],
)
def test_harmonic_lies_on_strings_that_have_it(name: str, strings: set[int]) -> None:
    assert node_strings(Pitch.named(name), VIOLIN) == frozenset(strings)


def test_printed_harmonic_binds_the_plan_to_its_string() -> None:
    passage = read_passage("B4:1 A5:2 E5:1", fifths=1)
    events = list(passage.events)
    (note,) = events[1].notes
    events[1] = replace(events[1], notes=(replace(note, techniques=frozenset({Technique.NATURAL_HARMONIC})),))
    passage = replace(passage, events=tuple(events))
    plan = Plan(passage, ALL, cheapest_route(passage, ALL, decisions=printed_decisions(passage)))
    stop = plan.by_note[note.id].stop
    assert stop is not None
    assert stop.string in {2, 3}
    assert not stop.is_open
