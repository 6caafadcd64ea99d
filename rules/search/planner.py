"""The route of the hand through a part: of least effort for a learner, of least effort and doubt for a professional.

The stages of `shortest_path` are the events of the part. The states of a stage are the grips that come into question
for the event. Doubt is what good routes do not agree on (see `consensus`). At a learner's level the route of least
effort stands: there fewer moves of the hand are an aim in themselves. All efforts are multiples of 1/1024 far below
2**42, so sums are exact and equal efforts compare equal. Ties go to the grip that comes first in the order of
`grips_for`: towards the nut, within the frame.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import chain

import numpy as np
from numpy.typing import NDArray

from ..candidates.candidates import Candidates, candidates
from ..cost.context import Character
from ..cost.passage_costs import BROKEN_DECISION, Tables
from ..cost.terms import STANDARD, Weights
from ..hand.grip import Grip
from ..hand.grip_set import GripSet
from ..hand.level import Level
from ..marks.constraints import Decisions
from ..music.passage import Passage
from .blocks import Blocks
from .consensus import agreed_path
from .shortest_path import cheapest_path

NO_DECISIONS: Decisions = {}
BLOCK = 4096
"""Events whose ways are worked out at a time (about 10 MB at level `all`)."""


@dataclass(frozen=True)
class Route:
    """The grip chosen for every event, and the effort of it all.

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
    """Return the route of least effort through all events of the passage; at level `all` of least effort and doubt.

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
    path, effort = _path(tables, [options[t].grips for t in playable], level)
    chosen = [-1] * len(options)
    for event, state in zip(playable, path, strict=True):
        chosen[event] = state
    return Route(options, tuple(chosen), effort)


def _path(tables: Tables, grips: Sequence[GripSet], level: Level) -> tuple[list[int], float]:
    """The grip of every step, and the effort."""
    holds, count = tables.holds(), len(grips)
    ways = Blocks(
        -(-(count - 1) // BLOCK),
        lambda number: tables.ways(1 + number * BLOCK, min(1 + (number + 1) * BLOCK, count)),
    )
    if level.learner:
        return cheapest_path(holds[0], zip(chain.from_iterable(ways), holds[1:], strict=True))
    return agreed_path(holds, ways, [_alike(found, len(hold)) for found, hold in zip(grips, holds, strict=True)])


def _alike(grips: GripSet, size: int) -> NDArray[np.intp]:
    """The first grip with the same stops, for every grip and for what pads the set."""
    return np.concatenate([grips.alike, np.arange(len(grips), size)]).astype(np.intp)


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
