"""The cheapest route of the hand through a part, exactly.

The stages of `shortest_path` are the events of the part. The states of a stage are the grips that come into question
for the event. All efforts are multiples of 1/1024 far below 2**42, so sums are exact and equal efforts compare equal.
Ties go to the grip that comes first in the order of `grips_for`: towards the nut, within the frame.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ..candidates.candidates import Candidates, candidates
from ..cost.context import Character
from ..cost.passage_costs import BROKEN_DECISION, Tables
from ..cost.terms import STANDARD, Weights
from ..hand.grip import Grip
from ..hand.level import Level
from ..marks.constraints import Decisions
from ..music.passage import Passage
from .shortest_path import cheapest_path

NO_DECISIONS: Decisions = {}


@dataclass(frozen=True)
class Route:
    """The grip chosen for every event, what each event and the way to it cost, and the sum.

    `options[t]` and `chosen[t]` tell from which candidates the grip was taken; `chosen[t]` is -1 where nothing of the
    event can be sounded (the hand then keeps its place).
    """

    options: tuple[Candidates, ...]
    chosen: tuple[int, ...]
    effort: float

    def grip(self, event: int) -> Grip | None:
        """Return the grip at an event, or None if nothing of it can be sounded."""
        index = self.chosen[event]
        return None if index < 0 else self.options[event].grips[index]


def cheapest_route(
    passage: Passage,
    level: Level,
    weights: Weights = STANDARD,
    decisions: Decisions = NO_DECISIONS,
    character: Character = Character.FROM_THE_PART,
) -> Route:
    """Return the route of least effort through all events of the passage.

    >>> from rules.hand.level import FIRST
    >>> from rules.music.instrument import VIOLIN
    >>> cheapest_route(Passage("P1", "Violin", VIOLIN, (), ()), FIRST).effort
    0.0
    """
    options = candidates(passage, level, decisions)
    playable = [t for t, option in enumerate(options) if option.grips]
    if not playable:
        return Route(options, (-1,) * len(options), 0.0)
    tables = Tables(passage, options, playable, level, weights, character)
    chosen, effort = _search(tables, options, playable)
    return Route(options, tuple(chosen), effort)


def _search(tables: Tables, options: tuple[Candidates, ...], playable: list[int]) -> tuple[list[int], float]:
    steps = range(1, len(playable))
    path, effort = cheapest_path(tables.hold(0), ((tables.move(step), tables.hold(step)) for step in steps))
    chosen = [-1] * len(options)
    for event, state in zip(playable, path, strict=True):
        chosen[event] = state
    return chosen, effort


def effort_of(
    passage: Passage,
    route: Route,
    level: Level,
    weights: Weights = STANDARD,
    character: Character = Character.FROM_THE_PART,
) -> tuple[Mapping[str, float], ...]:
    """Return for every event what its grip and the way to it cost, itemised by term name; zero items left out."""
    playable = [t for t, index in enumerate(route.chosen) if index >= 0]
    items: list[dict[str, float]] = [{} for _ in route.chosen]
    if not playable:
        return tuple(items)
    tables = Tables(passage, route.options, playable, level, weights, character)
    for step, event in enumerate(playable):
        before = route.chosen[playable[step - 1]] if step else None
        items[event] = tables.itemised(step, route.chosen[event], before)
    return tuple(items)


__all__ = ["BROKEN_DECISION", "NO_DECISIONS", "Route", "cheapest_route", "effort_of"]
