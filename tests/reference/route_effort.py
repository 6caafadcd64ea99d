"""What a given route costs, event by event: the price list that tests of the search add up by themselves."""

from __future__ import annotations

from collections.abc import Mapping

from rules import STANDARD, Character, Level, Passage, Route, Weights
from rules.cost.passage_costs import Tables


def effort_of(
    passage: Passage,
    route: Route,
    level: Level,
    weights: Weights = STANDARD,
    character: Character = Character.FROM_THE_PART,
) -> tuple[Mapping[str, float], ...]:
    """Return for every event what its grip and the way to it cost, itemised by term name; zero items left out."""
    playable = [t for t, index in enumerate(route.chosen) if index >= 0]
    items: list[Mapping[str, float]] = [{} for _ in route.chosen]
    if not playable:
        return tuple(items)
    tables = Tables(passage, route.options, playable, level, weights, character)
    for step, event in enumerate(playable):
        before = route.chosen[playable[step - 1]] if step else None
        items[event] = tables.itemised(step, route.chosen[event], before)
    return tuple(items)
