"""The route of the hand through a part: of least effort for a learner, of least effort and doubt for a professional.

The stages of `shortest_path` are the events of the part. The states of a stage are the grips that come into question
for the event. Doubt is what good routes do not agree on (see `consensus`). At a learner's level the route of least
effort stands: there fewer moves of the hand are an aim in themselves. All efforts are multiples of 1/1024 far below
2**42, so sums are exact and equal efforts compare equal. Ties go to the grip that comes first in the order of
`grips_for`: towards the nut, within the frame.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import compress
from operator import is_not

import numpy as np
from numpy.typing import NDArray

from ..candidates.candidates import Candidates, candidates
from ..cost.context import Character
from ..cost.grip_arrays import Array
from ..cost.passage_costs import BROKEN_DECISION, Tables
from ..cost.standard_terms import STANDARD, Weights
from ..hand.grip import Grip
from ..hand.level import Level
from ..marks.constraints import Decisions
from ..music.passage import Passage
from .consensus import Agreement, agree, temperatures
from .few_states import FEW_STATES, search_few_states
from .shortest_path import SearchedChain, search_chain
from .stage_arrays import StageArrays

SEARCHES_KEPT = 4
"""The latest searches through a passage at a level that later ones may take over from."""
NO_DECISIONS: Decisions = {}


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
    return PassageSearch(passage, weights, character).route(level, decisions)


@dataclass(frozen=True)
class _Searched:
    """A search that was made: for which candidates, with which efforts, and what it found."""

    route: Route
    playable: tuple[int, ...]
    tables: Tables
    ways: StageArrays
    holds: Sequence[Array]
    found: SearchedChain | Agreement

    def with_options(self, options: Sequence[Candidates], stages: Sequence[int]) -> tuple[Tables, StageArrays]:
        """The efforts with candidates that change these stages."""
        tables = self.tables.with_options(options)
        return tables, self.ways.changed(StageArrays(len(self.playable), tables.ways), stages)


class PassageSearch:
    """Searches through one passage. Each takes over from the nearest one before it what has not changed.

    So a decision costs the search of the music around it, and the route is the same as if nothing were known.
    """

    def __init__(
        self, passage: Passage, weights: Weights = STANDARD, character: Character = Character.FROM_THE_PART
    ) -> None:
        self.passage, self.weights, self.character = passage, weights, character
        self._known: dict[Level, list[_Searched]] = {}

    def route(self, level: Level, decisions: Decisions = NO_DECISIONS) -> Route:
        """Return the cheapest route at a level under some decisions."""
        options = candidates(self.passage, level, decisions)
        playable = tuple([t for t, option in enumerate(options) if option.grips])
        if not playable:
            return Route(options, (-1,) * len(options), 0.0)
        nearest = self._nearest(level, options, playable)
        if nearest is None:
            tables, ways = self._worked_out(level, options, playable)
            holds = tables.holds()
            found = _found(tables, ways, options, playable, holds, level)
            searched = _searched(options, playable, tables, ways, holds, found)
        else:
            known, options, events = nearest
            searched = known if not events else _searched_again(known, options, events)
        latest = self._known.setdefault(level, [])
        self._known[level] = [searched, *(one for one in latest if one is not searched)][:SEARCHES_KEPT]
        return searched.route

    def efforts(self, level: Level, options: Sequence[Candidates]) -> tuple[Tables, StageArrays] | None:
        """Return the efforts for some candidates, and those of the ways; None if nothing can be played."""
        playable = tuple([t for t, option in enumerate(options) if option.grips])
        if not playable:
            return None
        nearest = self._nearest(level, options, playable)
        if nearest is None:
            return self._worked_out(level, options, playable)
        known, taken, events = nearest
        return known.with_options(taken, _stages(playable, taken, events)) if events else (known.tables, known.ways)

    def _worked_out(
        self, level: Level, options: Sequence[Candidates], playable: tuple[int, ...]
    ) -> tuple[Tables, StageArrays]:
        tables = Tables(self.passage, options, playable, level, self.weights, self.character)
        return tables, StageArrays(len(playable), tables.ways)

    def _nearest(
        self, level: Level, options: Sequence[Candidates], playable: tuple[int, ...]
    ) -> tuple[_Searched, tuple[Candidates, ...], list[int]] | None:
        """The search whose candidates differ at the fewest events, the candidates, and those events."""
        best: tuple[_Searched, tuple[Candidates, ...], list[int]] | None = None
        for known in self._known.get(level, ()):
            if known.playable != playable:
                continue
            taken, events = _taken_over(known.route.options, options)
            if best is None or len(events) < len(best[2]):
                best = known, taken, events
            if not events:
                break
        return best


def _searched_again(known: _Searched, options: tuple[Candidates, ...], events: Sequence[int]) -> _Searched:
    """The search with other candidates at some events."""
    playable, holds = known.playable, list(known.holds)
    stages = _stages(playable, options, events)
    tables, ways = known.with_options(options, stages)
    for event in events:
        if options[event].grips:
            step = bisect_left(playable, event)
            holds[step] = tables.hold(step)
    found: SearchedChain | Agreement
    if isinstance(known.found, SearchedChain):
        found = known.found.changed(holds, ways, stages)
    else:
        found = known.found.changed(holds, ways, _alike(options, playable, holds), stages)
    return _searched(options, playable, tables, ways, holds, found)


def _stages(playable: Sequence[int], options: Sequence[Candidates], events: Sequence[int]) -> list[int]:
    """The stages that the candidates of some events belong to, or the ways to which begin there; in order."""
    steps = [bisect_left(playable, event) for event in events if options[event].grips]
    return sorted({step for near in steps for step in (near, near + 1) if step < len(playable)})


def _searched(
    options: tuple[Candidates, ...],
    playable: tuple[int, ...],
    tables: Tables,
    ways: StageArrays,
    holds: Sequence[Array],
    found: SearchedChain | Agreement,
) -> _Searched:
    chosen = [-1] * len(options)
    for event, state in zip(playable, found.path, strict=True):
        chosen[event] = state
    return _Searched(Route(options, tuple(chosen), found.effort), playable, tables, ways, holds, found)


def _taken_over(known: Sequence[Candidates], options: Sequence[Candidates]) -> tuple[tuple[Candidates, ...], list[int]]:
    """The candidates, known ones in the place of equal ones, and the events at which they are not the known ones."""
    taken, events = list(known), []
    for event in compress(range(len(known)), map(is_not, known, options)):
        option = options[event]
        if option.grips is not known[event].grips or option != known[event]:
            taken[event] = option
            events.append(event)
    return tuple(taken), events


def _found(
    tables: Tables,
    ways: StageArrays,
    options: Sequence[Candidates],
    playable: Sequence[int],
    holds: Sequence[Array],
    level: Level,
) -> SearchedChain | Agreement:
    """Search through all steps."""
    if level.learner and max(map(len, holds)) <= FEW_STATES:
        return search_few_states(holds, list(ways))
    if level.learner:
        return search_chain(holds[0], zip(ways, holds[1:], strict=True))
    return agree(holds, ways, _alike(options, playable, holds), temperatures(tables.slow))


def _alike(options: Sequence[Candidates], playable: Sequence[int], holds: Sequence[Array]) -> list[NDArray[np.intp]]:
    """The first grip with the same stops, for every grip and for what pads the set, at every step."""
    known: dict[int, NDArray[np.intp]] = {}
    for event, hold in zip(playable, holds, strict=True):
        grips = options[event].grips
        if grips.serial not in known:
            padding = np.arange(len(grips), len(hold))
            known[grips.serial] = np.concatenate([grips.alike, padding]).astype(np.intp)
    return [known[options[event].grips.serial] for event in playable]


__all__ = ["BROKEN_DECISION", "NO_DECISIONS", "PassageSearch", "Route", "cheapest_route"]
