"""The ways of the hand through a range of events, cheapest first: the second best, the third best, and so on, exactly.

Let rest[t, j] be the least effort from grip j at event t to the end of the range, found backwards as in `planner`. A
beginning of a route that ends in grip j at event t and has cost g so far can be finished for g + rest[t, j], and for no
less. So beginnings are taken up in the order of that sum, and routes come to their end in order of effort (best first
search with an exact bound). Routes may be asked to differ in more than a finger: with a `label` for every grip, each
sequence of labels is reported once, by its cheapest route; two beginnings with the same labels and the same last grip
need only the cheaper one.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import count, pairwise
from math import inf
from typing import NamedTuple, TypeVar

import numpy as np
from numpy.typing import NDArray

from ..candidates.candidates import Candidates
from ..cost.aspects import ASPECTS_IN_ORDER, Aspect
from ..cost.context import Character
from ..cost.grip_arrays import Array
from ..cost.passage_costs import Tables
from ..cost.standard_terms import STANDARD, Weights
from ..hand.grip_set import GripSet
from ..hand.level import Level
from ..music.passage import Passage
from .consensus import agreed_path, temperatures
from .shortest_path import cheapest_path
from .side_by_side import Chain, least_to_the_end, paths_side_by_side
from .stage_arrays import StageArrays

Found = TypeVar("Found")
Labels = Callable[[GripSet], Sequence[Hashable]]
"""What the grips of a set are called when two ways are compared."""
Allowed = Mapping[int, frozenset[int]]
"""By event, the grips (by number among its candidates) that may be used."""
Grips = Mapping[int, int] | Sequence[int]
"""The number of the grip at every event."""
Question = tuple[int, int, Allowed]
"""For the way from a first to a last event with certain grips."""
FEW_QUESTIONS = 3
"""So many are answered one by one: side by side they would take longer."""


@dataclass(frozen=True, slots=True)
class RouteSegment:
    """One way through a range: the number of the grip at each event (-1 where nothing sounds), and its effort."""

    chosen: tuple[int, ...]
    effort: float


@lru_cache(maxsize=4096)
def _barred(size: int, permitted: frozenset[int]) -> Array:
    """What is to be added for each of so many grips: nothing where it is permitted, else infinity."""
    found = np.full(size, np.inf)
    found[sorted(permitted)] = 0.0
    return found


def _nothing(first: int, last: int) -> RouteSegment:
    """The way through events of which nothing can be sounded."""
    return RouteSegment((-1,) * (last - first + 1), 0.0)


class RouteSearch:
    """Every way of the hand through a passage whose candidates are given.

    The efforts are looked up once for all ranges that are asked for afterwards.
    """

    def __init__(
        self,
        passage: Passage,
        options: Sequence[Candidates],
        level: Level,
        weights: Weights = STANDARD,
        character: Character = Character.FROM_THE_PART,
        tables: Tables | None = None,
        ways: StageArrays | None = None,
    ) -> None:
        """`tables` are those of the candidates, and `ways` what every way costs, if they are known."""
        self._passage, self._level, self._weights, self._character = passage, level, weights, character
        self._options = options
        self._playable = [t for t, option in enumerate(options) if option.grips]
        self._step = {event: step for step, event in enumerate(self._playable)}
        if tables is None and self._playable:
            tables = Tables(passage, options, self._playable, level, weights, character)
        self._tables = tables
        self._ways = ways or StageArrays(len(self._playable), tables.ways if tables else lambda _stages: ())

    @cached_property
    def _holds(self) -> list[Array]:
        """What each grip costs by itself, for every step."""
        return self._tables.holds() if self._tables is not None else []

    def effort(self, first: int, last: int, chosen: Grips) -> float:
        """Return the effort of given grips (by event) over the events `first` to `last`; not the way into `first`."""
        steps = [step for t in range(first, last + 1) if (step := self._step.get(t)) is not None]
        if not steps or self._tables is None:
            return 0.0
        grips = [chosen[self._playable[step]] for step in steps]
        held = sum(float(self._holds[step][grip]) for step, grip in zip(steps, grips, strict=True))
        return held + sum(self._tables.way(step, *ends) for step, ends in zip(steps[1:], pairwise(grips), strict=True))

    def effort_by_event(self, chosen: Sequence[int], without: Aspect | None = None) -> list[float]:
        """Return what each event and the way to it cost along a route given by its grips, one for every event.

        Terms that are about the aspect `without` are left out.
        """
        found = [0.0] * len(self._options)
        if self._tables is None:
            return found
        if without is not None:
            tables = self._tables.without(without)
            other = RouteSearch(self._passage, self._options, self._level, self._weights, self._character, tables)
            return other.effort_by_event(chosen)
        steps = self._tables.along([chosen[event] for event in self._playable])
        for event, effort in zip(self._playable, steps.tolist(), strict=True):
            found[event] = effort
        return found

    def items(self, event: int, chosen: Grips) -> Mapping[str, float]:
        """Return what an event and the way to it cost along a route, by the name of the term; zero items left out."""
        step = self._step.get(event)
        if step is None or self._tables is None:
            return {}
        before = chosen[self._playable[step - 1]] if step else None
        return self._tables.itemised(step, chosen[event], before)

    def rise(self, events: Iterable[int], chosen: Grips, other: RouteSearch, their: Grips) -> dict[str, float]:
        """Return by how much more effort a route takes than another, at some events and on the ways to them, by term.

        Args:
            events: where the routes are compared.
            chosen: the grips of the route, by event.
            other: the search that the other route belongs to; its candidates may be others.
            their: the grips of the other route.
        """
        sums: dict[str, float] = {}
        for event in events:
            for sign, items in ((1, self.items(event, chosen)), (-1, other.items(event, their))):
                for name, value in items.items():
                    sums[name] = sums.get(name, 0.0) + sign * value
        return sums

    def rise_by_aspect(
        self, events: Iterable[int], chosen: Grips, other: RouteSearch, their: Grips
    ) -> dict[Aspect, float]:
        """Return the same by aspect; aspects that come to nothing are left out."""
        sums = [0.0] * len(ASPECTS_IN_ORDER)
        for event in events:
            self._add_by_aspect(sums, 1, event, chosen)
            other._add_by_aspect(sums, -1, event, their)
        return {aspect: value for aspect, value in zip(ASPECTS_IN_ORDER, sums, strict=True) if value}

    def _add_by_aspect(self, sums: list[float], sign: int, event: int, chosen: Grips) -> None:
        step = self._step.get(event)
        if step is not None and self._tables is not None:
            before = chosen[self._playable[step - 1]] if step else None
            self._tables.add_by_aspect(sums, sign, step, chosen[event], before)

    def likeness(self, event: int) -> Hashable:
        """Return what makes an event like others: its candidates, what they cost, and what the ways to them cost."""
        step = self._step.get(event)
        return None if step is None or self._tables is None else self._tables.likeness(step)

    def once(self, first: int, last: int, key: Hashable, make: Callable[[], Found]) -> Found:
        """Return what `make` finds; it may be told from what was found for events that are alike, with the same key.

        What is found must depend on nothing else, and must count events from `first`.
        """
        return make()

    def once_each(
        self, keys: Sequence[tuple[int, int, Hashable]], make: Callable[[list[int]], Sequence[Found]]
    ) -> list[Found]:
        """Return what `once` does for each first and last event and key; `make` is told the places of those to find."""
        return list(make([*range(len(keys))]))

    def planned(self, first: int, last: int, allowed: Allowed) -> RouteSegment | None:
        """Return the way that the planner takes through a range with these grips only; None if there is none.

        At a learner's level it is the first of the ways that `cheapest_first` would yield, or one as cheap.
        """
        steps = [self._step[t] for t in range(first, last + 1) if t in self._step]
        if not steps or self._tables is None:
            return _nothing(first, last)
        grips = [self._permitted(self._playable[step], allowed) for step in steps]
        if not all(permitted is None or len(permitted) for permitted in grips):
            return None
        sizes = [len(self._options[self._playable[step]].grips) for step in steps]
        holds = [
            self._holds[step][:size] if permitted is None else self._holds[step][permitted]
            for step, permitted, size in zip(steps, grips, sizes, strict=True)
        ]
        ways = []
        for n, step in enumerate(steps[1:]):
            way = self._ways[step][: sizes[n], : sizes[n + 1]]
            before, now = grips[n], grips[n + 1]
            way = way if before is None else way[before]
            ways.append(way if now is None else way[:, now])
        if self._level.learner:
            path, effort = cheapest_path(holds[0], zip(ways, holds[1:], strict=True))
        else:
            alike = [self._alike(*of) for of in zip(steps, grips, strict=True)]
            path, effort = agreed_path(holds, ways, alike, temperatures(self._tables.slow[steps]))
        if not np.isfinite(effort):
            return None
        chosen = [-1] * (last - first + 1)
        for step, permitted, state in zip(steps, grips, path, strict=True):
            chosen[self._playable[step] - first] = state if permitted is None else int(permitted[state])
        return RouteSegment(tuple(chosen), effort)

    def planned_each(self, questions: Sequence[Question]) -> list[RouteSegment | None]:
        """Return what `planned` does for each of several questions, which are looked into together."""
        if self._tables is None or len(questions) <= FEW_QUESTIONS:
            return [self.planned(*question) for question in questions]
        found: list[RouteSegment | None] = [_nothing(first, last) for first, last, _ in questions]
        chains = self._chains(questions)
        temperature = temperatures(self._tables.slow)
        paths = paths_side_by_side(list(chains.values()), self._ways, not self._level.learner, temperature)
        for (number, chain), (path, effort) in zip(chains.items(), paths, strict=True):
            first, last, _ = questions[number]
            if not np.isfinite(effort):
                found[number] = None
                continue
            chosen = [-1] * (last - first + 1)
            for step, state in zip(chain.stages, path, strict=True):
                chosen[self._playable[step] - first] = state
            found[number] = RouteSegment(tuple(chosen), effort)
        return found

    def _chains(self, questions: Sequence[Question]) -> dict[int, Chain]:
        """The chain of every question in which something can be played: what the permitted grips cost."""
        found: dict[int, Chain] = {}
        for number, (first, last, allowed) in enumerate(questions):
            steps = [self._step[t] for t in range(first, last + 1) if t in self._step]
            if steps:
                holds = [self._permitted_only(step, allowed) for step in steps]
                alike = [self._options[self._playable[step]].grips.alike for step in steps]
                found[number] = Chain(range(steps[0], steps[-1] + 1), holds, alike)
        return found

    def _permitted_only(self, step: int, allowed: Allowed) -> Array:
        """What each grip of a step costs by itself; infinitely, if it may not be used."""
        hold = self._holds[step]
        permitted = allowed.get(self._playable[step])
        return hold if permitted is None else hold + _barred(len(hold), permitted)

    def _alike(self, step: int, permitted: NDArray[np.intp] | None) -> NDArray[np.intp]:
        """The permitted grips of a step in groups that sound alike."""
        alike = self._options[self._playable[step]].grips.alike
        if permitted is None:
            return alike
        first: dict[int, int] = {}
        groups = [first.setdefault(same, number) for number, same in enumerate(alike[permitted].tolist())]
        return np.array(groups, dtype=np.intp)

    def _permitted(self, event: int, allowed: Allowed) -> NDArray[np.intp] | None:
        """The grips that may be used at an event; None if all may."""
        return np.array(sorted(allowed[event]), dtype=np.intp) if event in allowed else None

    def cheapest_first(
        self, first: int, last: int, allowed: Allowed | None = None, labels: Labels | None = None
    ) -> Iterator[RouteSegment]:
        """Yield the ways through the events `first` to `last`, cheapest first; equal efforts in a fixed order.

        Args:
            first: event at which the range begins; its holding counts, the way into it does not.
            last: event at which it ends.
            allowed: grips to choose from where not all may be used, for example at the two ends.
            labels: if given, only the cheapest way of each sequence of labels is yielded.
        """
        return self.cheapest_first_each([(first, last, allowed or {})], labels)[0]

    def cheapest_first_each(
        self, questions: Sequence[Question], labels: Labels | None = None
    ) -> list[Iterator[RouteSegment]]:
        """Return what `cheapest_first` yields for each of several questions, which are looked into together."""
        found: list[Iterator[RouteSegment]] = [iter([_nothing(first, last)]) for first, last, _ in questions]
        chains = self._chains(questions)
        rests = least_to_the_end(list(chains.values()), self._ways)
        for (number, chain), rest in zip(chains.items(), rests, strict=True):
            first, last, _ = questions[number]
            found[number] = self._one_by_one(first, last, chain, rest, labels)
        return found

    def _one_by_one(
        self, first: int, last: int, chain: Chain, rest: Sequence[Array], labels: Labels | None
    ) -> Iterator[RouteSegment]:
        events = [self._playable[step] for step in chain.stages]
        called = [labels(self._options[event].grips) for event in events] if labels else None
        ways = [self._ways[step] for step in chain.stages[1:]]
        for path, effort in _Search(chain.holds, ways, rest, called).routes():
            chosen = [-1] * (last - first + 1)
            for event, grip in zip(events, path, strict=True):
                chosen[event - first] = grip
            yield RouteSegment(tuple(chosen), effort)


class _Beginning(NamedTuple):
    """A route up to step `step`, where it holds grip `grip`; `spent` is its effort so far."""

    step: int
    grip: int
    spent: float
    signature: int
    before: _Beginning | None


class _Search:
    """Best first search over the beginnings of routes."""

    def __init__(
        self,
        holds: Sequence[Array],
        ways: Sequence[Array],
        rest: Sequence[Array],
        labels: Sequence[Sequence[Hashable]] | None,
    ) -> None:
        """`rest` is the least effort from each grip to the end, by step; ways and labels may be more than holds."""
        self._holds, self._ways, self._rest = holds, ways, rest
        self._labels = labels
        self._signatures: dict[tuple[int, Hashable], int] = {}
        self._seen: set[tuple[int, int, int]] = set()
        self._heap: list[tuple[float, int, _Beginning | None, _Continuations, int]] = []
        self._order = count()

    def routes(self) -> Iterator[tuple[list[int], float]]:
        """Yield routes as grip numbers with their efforts."""
        self._push(None, self._holds[0])
        reported: set[int] = set()
        while self._heap:
            effort, _, before, continuations, rank = heapq.heappop(self._heap)
            self._line_up(before, continuations, rank + 1)
            begun = self._begin(before, *continuations.at(rank))
            if begun is None:
                continue
            if begun.step < len(self._ways):
                self._push(begun, begun.spent + (self._ways[begun.step][begun.grip] + self._holds[begun.step + 1]))
            elif self._labels is None or begun.signature not in reported:
                reported.add(begun.signature)
                yield _path(begun), effort

    def _push(self, before: _Beginning | None, spent: Array) -> None:
        """Line up the continuations of a beginning, the most promising first; only the first is put on the heap."""
        rest = self._rest[0 if before is None else before.step + 1]
        self._line_up(before, _Continuations(spent, (spent + rest).tolist()), 0)

    def _line_up(self, before: _Beginning | None, continuations: _Continuations, rank: int) -> None:
        total = continuations.total(rank)
        if total < inf:
            heapq.heappush(self._heap, (total, next(self._order), before, continuations, rank))

    def _begin(self, before: _Beginning | None, grip: int, spent: float) -> _Beginning | None:
        """The beginning made longer by one grip; None if a cheaper one with the same labels ends in the same grip."""
        step = 0 if before is None else before.step + 1
        signature = 0
        if self._labels is not None:
            key = (0 if before is None else before.signature, self._labels[step][grip])
            signature = self._signatures.setdefault(key, len(self._signatures) + 1)
            if (step, grip, signature) in self._seen:
                return None
            self._seen.add((step, grip, signature))
        return _Beginning(step, grip, spent, signature, before)


class _Continuations:
    """The ways to go on from a beginning, the most promising first."""

    def __init__(self, spent: Array, total: list[float]) -> None:
        """By grip: the effort so far, and the least effort of a route that goes on there."""
        self._spent, self._total = spent, total
        possible = [grip for grip, effort in enumerate(total) if effort < inf]
        self._order = sorted(possible, key=total.__getitem__)

    def at(self, rank: int) -> tuple[int, float]:
        """Return the grip of a rank, and the effort so far."""
        grip = self._order[rank]
        return grip, float(self._spent[grip])

    def total(self, rank: int) -> float:
        """Return the least effort of a route that goes on with the grip of a rank; infinite if there is none."""
        return self._total[self._order[rank]] if rank < len(self._order) else inf


def _path(begun: _Beginning) -> list[int]:
    path = []
    node: _Beginning | None = begun
    while node is not None:
        path.append(node.grip)
        node = node.before
    return path[::-1]


__all__ = ["Allowed", "Labels", "Question", "RouteSearch", "RouteSegment"]
