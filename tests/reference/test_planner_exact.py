"""The planner's route is the least of all: by enumeration on short parts, by a general shortest path on long.

Least is the effort at a learner's level, and effort and doubt together at level `all` (see `test_consensus.py`).
The routes are summed here term by term from the quantities and circumstances, not from the tables that the planner adds
up; what is not a term (a note that goes on sounding keeps its stop, the hand does not move towards an open string,
decisions) is written out here again.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import pairwise, product
from math import inf
from pathlib import Path

import networkx as nx
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from rules import ALL, FIRST, FIRST_AND_THIRD, TO_THIRD, Constraint, Grip, Level, Passage, cheapest_route
from rules.candidates.candidates import candidates
from rules.cost.context import Character, circumstances
from rules.cost.grip_arrays import Block
from rules.cost.learner_terms import BEYOND_LEVEL, level_terms
from rules.cost.level_contexts import HOME_WOULD_DO
from rules.cost.passage_costs import BROKEN_DECISION
from rules.cost.quantities import holding, moving
from rules.cost.standard_terms import STANDARD, Kind
from rules.marks.constraints import Decisions
from rules.search.consensus import TEMPERATURE, TEMPERATURE_IF_SLOW, doubts
from rules.search.planner import Route
from service.musicxml.file.container import open_document
from service.musicxml.read.reader import read_part
from tests.notation import read_passage
from tests.reference.route_effort import effort_of

MOST_ROUTES = 4000
Array = NDArray[np.float64]


@lru_cache(maxsize=4096)
def held(grips: tuple[Grip, ...]) -> dict[str, Array]:
    """Every quantity of each grip."""
    return {name: values[0] for name, values in holding(Block.of([grips])).items()}


@lru_cache(maxsize=4096)
def moved(before: tuple[Grip, ...], now: tuple[Grip, ...]) -> dict[str, Array]:
    """Every quantity of each way."""
    return {name: values[0] for name, values in moving(Block.of([before]), Block.of([now])).items()}


class Sums:
    """Every effort of a passage, term by term."""

    def __init__(
        self, passage: Passage, level: Level, route: Route, decisions: Decisions, character: Character
    ) -> None:
        self.options = [option for option in route.options if option.grips]
        self.playable = [t for t, option in enumerate(route.options) if option.grips]
        self._terms = (*STANDARD.terms, *level_terms(level))
        self._when = circumstances(passage, character)
        reached = [not option.beyond for option in candidates(passage, FIRST, {})]
        lengths = [round(min(event.seconds / 0.75, 1.0) * 16) / 16 for event in passage.events]
        self._when[HOME_WOULD_DO] = np.array(reached, dtype=np.float64) * np.array(lengths)
        self._events = passage.events
        self._decisions = decisions
        self.grips = [tuple(option.grips) for option in self.options]
        self.holds = [self._hold(step) for step in range(len(self.grips))]
        self.ways = [self._way(step) for step in range(1, len(self.grips))]
        self.doubts = [np.zeros(len(grips)) for grips in self.grips]
        self.temperature = np.full(len(self.grips), TEMPERATURE)
        if not level.learner:
            stops = [[grip.stops for grip in grips] for grips in self.grips]
            alike = [np.array([of.index(one) for one in of]) for of in stops]
            slow = self._when["slow, demanding part"][self.playable]
            self.temperature = TEMPERATURE + (TEMPERATURE_IF_SLOW - TEMPERATURE) * slow
            self.doubts = doubts(self.holds, self.ways, alike, self.temperature)

    def _summed(self, kind: Kind, measured: dict[str, Array], step: int) -> Array:
        at = self.playable[step]
        terms = [term for term in self._terms if term.kind is kind]
        return sum((t.weight * self._when[t.circumstance][at] * measured[t.quantity] for t in terms), np.zeros(1))

    def _hold(self, step: int) -> Array:
        option, grips = self.options[step], self.grips[step]
        broken = [
            sum(
                self._decisions[n].violations(grip, slot) for slot, n in enumerate(option.slots) if n in self._decisions
            )
            for grip in grips
        ]
        return self._summed(Kind.HOLDING, held(grips), step) + BROKEN_DECISION * np.array(broken)

    def _way(self, step: int) -> Array:
        before, now = self.grips[step - 1], self.grips[step]
        way = np.array(self._summed(Kind.MOVING, moved(before, now), step))
        was, slots = self.options[step - 1].slots, self.options[step].slots
        for a, b in product(range(len(before)), range(len(now))):
            can_wait = any(grip.is_open and grip.position == before[a].position for grip in now)
            if now[b].is_open and now[b].position != before[a].position and can_wait:
                way[a, b] = inf
            for note in self._events[self.playable[step]].held:
                if note in was and note in slots:
                    old, new = before[a].stops[was.index(note)], now[b].stops[slots.index(note)]
                    way[a, b] += BEYOND_LEVEL * ((old.string, old.finger) != (new.string, new.finger))
        return way

    def of(self, chosen: Sequence[int]) -> float:
        steps = zip(self.ways, self.holds[1:], pairwise(chosen), strict=True)
        return float(self.holds[0][chosen[0]] + sum(way[a, b] + hold[b] for way, hold, (a, b) in steps))

    def weighed(self, chosen: Sequence[int]) -> float:
        """Effort and doubt of a route."""
        return self.of(chosen) + sum(float(doubt[k]) for doubt, k in zip(self.doubts, chosen, strict=True))

    def least_by_enumeration(self) -> float:
        return min(self.weighed(chosen) for chosen in product(*(range(len(grips)) for grips in self.grips)))

    def least_by_shortest_path(self) -> float:
        """The general shortest path of networkx; Bellman and Ford's, since some efforts are rewards."""
        graph = nx.DiGraph()
        holds = [hold + doubt for hold, doubt in zip(self.holds, self.doubts, strict=True)]
        for k, effort in enumerate(holds[0]):
            graph.add_edge("start", (0, k), weight=float(effort))
        for t, (way, hold) in enumerate(zip(self.ways, holds[1:], strict=True)):
            for (a, b), effort in np.ndenumerate(way):
                if effort < inf:
                    graph.add_edge((t, a), (t + 1, b), weight=float(effort + hold[b]))
        for k in range(len(self.grips[-1])):
            graph.add_edge((len(self.grips) - 1, k), "end", weight=0.0)
        return float(nx.bellman_ford_path_length(graph, "start", "end"))


def is_least(route: Route, sums: Sums, least: float) -> bool:
    """The route has the effort that it claims, and no other has less effort (and doubt)."""
    chosen = [route.chosen[t] for t in sums.playable]
    return sums.of(chosen) == route.effort and sums.weighed(chosen) == least


def sums_for(
    passage: Passage,
    level: Level,
    decisions: Decisions | None = None,
    character: Character = Character.FROM_THE_PART,
) -> tuple[Route, Sums]:
    decided = decisions or {}
    route = cheapest_route(passage, level, decisions=decided, character=character)
    return route, Sums(passage, level, route, decided, character)


LOW = st.sampled_from(["G3", "A3", "B3", "C4", "D4", "D#4", "Eb4", "F4", "G#4", "A4"])
HIGH = st.sampled_from(["A4", "Bb4", "C5", "C#5", "D5", "E5", "F5", "F#5", "A5", "B5", "D6", "F6", "A6"])
CHORD = st.sampled_from(
    ["[D4 B4]", "[G4 E5]", "[C5 A5]", "[A4 C#5]", "[E4 C5]", "[D5 D6]", "[G3 D4 B4 G5]", "[A4 E5]", "[B4 F#5]"]
)
BEATS = st.sampled_from(["1/4", "1/2", "1", "3"])


@st.composite
def passages(draw: st.DrawFn) -> Passage:
    """Two to four events: notes, chords, rests, slurs, some notes held on under the next."""
    words = []
    for _ in range(draw(st.integers(2, 4))):
        word = f"{draw(st.one_of(LOW, HIGH, CHORD))}:{draw(BEATS)}"
        words.append(draw(st.sampled_from([word, word, f"R:1/2 {word}"])))
    if draw(st.booleans()):
        words[0], words[-1] = f"({words[0]}", f"{words[-1]})"
        words = [word if "(R" not in word else word.replace("(R:1/2 ", "R:1/2 (") for word in words]
    passage = read_passage(" ".join(words), tempo=draw(st.sampled_from([60.0, 120.0])))
    if draw(st.booleans()):
        passage = held_on(passage)
    return passage


def held_on(passage: Passage) -> Passage:
    """The lowest note of the first event goes on sounding under the second."""
    first, second = passage.events[0], passage.events[1]
    low = replace(first.notes[0], beats=first.beats + second.beats)
    events = (
        replace(first, notes=(low, *first.notes[1:]), beats=low.beats),
        replace(second, held=(low.id,)),
        *passage.events[2:],
    )
    return replace(passage, events=events)


@settings(max_examples=60)
@given(passages(), st.sampled_from([FIRST, FIRST_AND_THIRD, TO_THIRD, ALL]), st.sampled_from(list(Character)))
def test_the_route_is_the_least_of_all(passage: Passage, level: Level, character: Character) -> None:
    route, sums = sums_for(passage, level, character=character)
    count = 1
    for grips in sums.grips:
        count *= len(grips)
    least = sums.least_by_enumeration() if count <= MOST_ROUTES else sums.least_by_shortest_path()
    assert is_least(route, sums, least)


@settings(max_examples=40)
@given(
    passages(),
    st.sampled_from([FIRST_AND_THIRD, ALL]),
    st.sets(st.integers(0, 4), min_size=1, max_size=2),
    st.one_of(st.none(), st.sets(st.integers(1, 4), min_size=1, max_size=1)),
)
def test_decisions_bind_and_the_rest_is_still_the_least(
    passage: Passage, level: Level, fingers: set[int], strings: set[int] | None
) -> None:
    note = passage.events[-1].notes[-1].id
    decision = Constraint(fingers=frozenset(fingers), strings=None if strings is None else frozenset(strings))
    route, sums = sums_for(passage, level, {note: decision})
    assert is_least(route, sums, sums.least_by_shortest_path())


@pytest.mark.parametrize("name", ["ferry_waltz", "evening_on_the_jetty", "boathouse_reel"])
@pytest.mark.parametrize("level", [FIRST_AND_THIRD, ALL])
def test_whole_parts_equal_the_shortest_path(name: str, level: Level, sample_scores: dict[str, Path]) -> None:
    root = open_document(sample_scores[name].read_bytes()).root
    passage = read_part(root, root.find("part").get("id")).passage
    route, sums = sums_for(passage, level)
    assert is_least(route, sums, sums.least_by_shortest_path())
    items = effort_of(passage, route, level)
    assert sum(sum(item.values()) for item in items) == route.effort


def test_chords_and_moving_voices_equal_the_shortest_path() -> None:
    # A scale in sixths, then octaves and thirds, with a bass note held under the second chord.
    text = "[B3 G4]:1 [C4 A4] [D4 B4] [E4 C5] [G4 G5] [A4 A5] [F5 A5] [E5 G5] [D5 F5] [G3 D4 B4 G5]:2 R:1 A6:1 E5 A4"
    passage = held_on(read_passage(text, tempo=80))
    for level in (FIRST_AND_THIRD, ALL):
        route, sums = sums_for(passage, level)
        assert is_least(route, sums, sums.least_by_shortest_path())


def test_same_input_same_route() -> None:
    passage = read_passage("G4:1/2 A4 B4 C5 D5 E5 F#5 G5 | A5 G5 F#5 E5 D5 C5 B4 A4 | G4:4", tempo=100.0)
    routes = {cheapest_route(passage, ALL).chosen for _ in range(3)}
    assert len(routes) == 1
