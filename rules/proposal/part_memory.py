"""What planning a part once more can take over from the times before."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from functools import cached_property
from typing import Any, TypeVar

from ..candidates.candidates import Candidates
from ..cost.context import Character
from ..cost.passage_costs import Tables
from ..cost.standard_terms import STANDARD, Weights
from ..hand.level import Level
from ..marks.constraints import Decisions
from ..music.passage import Passage
from ..plan.latest import Latest
from ..plan.plan import Plan
from ..search.k_best import Allowed, Question, RouteSearch, RouteSegment
from ..search.planner import NO_DECISIONS, PassageSearch
from ..search.stage_arrays import StageArrays
from .repeats import Repeat, repeats

PLANS_KEPT = 6
MOST_REMEMBERED = 4000
Found = TypeVar("Found")
_UNKNOWN = object()


class PartMemory:
    """One part with its searches and latest plans; weights and character belong to them.

    A plan made with a memory is the same as one made without; only what a decision leaves as it is need not be found
    again.
    """

    def __init__(
        self, passage: Passage, weights: Weights = STANDARD, character: Character = Character.FROM_THE_PART
    ) -> None:
        self.passage, self.weights, self.character = passage, weights, character
        self._search = PassageSearch(passage, weights, character)
        self._plans: list[Plan] = []
        self._latest = Latest()
        self._known: dict[Hashable, Any] = {}
        self._kinds: dict[Hashable, int] = {}

    @cached_property
    def repeats(self) -> tuple[Repeat, ...]:
        """What repeats in the part."""
        return repeats(self.passage)

    def plan(self, level: Level, decisions: Decisions = NO_DECISIONS) -> Plan:
        """Return the cheapest plan at a level under some decisions."""
        route = self._search.route(level, decisions)
        plan = next((plan for plan in self._plans if plan.route is route and plan.level == level), None)
        plan = plan or Plan(self.passage, level, route, self._latest)
        self._plans = [plan, *(one for one in self._plans if one is not plan)][:PLANS_KEPT]
        return plan

    def routes(self, plan: Plan) -> RouteSearch:
        """Return the search over the routes of a plan."""
        options, level = plan.route.options, plan.level
        return _KnownRoutes(self, level, options, self._search.efforts(level, options))

    def remembered(self, key: Hashable, make: Callable[[], Found]) -> Found:
        """Return what was found under a key, found now if it is not known; the key holds all that it depends on."""
        if key not in self._known:
            if len(self._known) >= MOST_REMEMBERED:
                self._known.clear()
            self._known[key] = make()
        found: Found = self._known[key]
        return found

    def remembered_each(self, keys: Sequence[Hashable], make: Callable[[list[int]], Sequence[Found]]) -> list[Found]:
        """Return what was found under each key; `make` finds what is not known, told by the places of the keys."""
        each = [self._known.get(key, _UNKNOWN) for key in keys]
        missing: dict[Hashable, list[int]] = {}
        for place, known in enumerate(each):
            if known is _UNKNOWN:
                missing.setdefault(keys[place], []).append(place)
        if missing:
            found = make([places[0] for places in missing.values()])
            if len(self._known) + len(missing) > MOST_REMEMBERED:
                self._known.clear()
            for (key, places), one in zip(missing.items(), found, strict=True):
                self._known[key] = one
                for place in places:
                    each[place] = one
        return each

    def kind(self, likeness: Hashable) -> int:
        """Return the number of what makes events alike: the same for the same."""
        return self._kinds.setdefault(likeness, len(self._kinds))


class _KnownRoutes(RouteSearch):
    """The routes of a plan; the way through some events is found once for all places that are alike."""

    def __init__(
        self,
        memory: PartMemory,
        level: Level,
        options: Sequence[Candidates],
        efforts: tuple[Tables, StageArrays] | None,
    ) -> None:
        super().__init__(memory.passage, options, level, memory.weights, memory.character, *(efforts or ()))
        self._memory, self._at = memory, memory.kind(level)
        self._kinds: dict[int, int] = {}

    def planned(self, first: int, last: int, allowed: Allowed) -> RouteSegment | None:
        """Return what `RouteSearch.planned` does."""
        key, find = self._question_key(first, last, allowed), super().planned
        return self._memory.remembered(key, lambda: find(first, last, allowed))

    def planned_each(self, questions: Sequence[Question]) -> list[RouteSegment | None]:
        """Return what `RouteSearch.planned_each` does."""
        find, keys = super().planned_each, [self._question_key(*question) for question in questions]
        return self._memory.remembered_each(keys, lambda places: find([questions[place] for place in places]))

    def once(self, first: int, last: int, key: Hashable, make: Callable[[], Found]) -> Found:
        """Return what was found where candidates and efforts were the same, here or elsewhere in the part."""
        return self._memory.remembered(self._key(first, last, key), make)

    def once_each(
        self, keys: Sequence[tuple[int, int, Hashable]], make: Callable[[list[int]], Sequence[Found]]
    ) -> list[Found]:
        """Return what `once` does under each key."""
        return self._memory.remembered_each([self._key(*key) for key in keys], make)

    def _question_key(self, first: int, last: int, allowed: Allowed) -> Hashable:
        return self._key(first, last, frozenset([(event - first, grips) for event, grips in allowed.items()]))

    def _key(self, first: int, last: int, key: Hashable) -> Hashable:
        return self._at, tuple([self._kind(event) for event in range(first, last + 1)]), key

    def _kind(self, event: int) -> int:
        kind = self._kinds.get(event)
        if kind is None:
            kind = self._kinds[event] = self._memory.kind(self.likeness(event))
        return kind


def _told_apart(options: Sequence[Candidates]) -> Hashable:
    """What tells the candidates at some events of the part from any others there."""
    return tuple(
        [(o.slots, o.grips.serial, o.dropped, o.beyond, o.broken, o.stays, o.elsewhere.serial) for o in options]
    )


def route_key(plan: Plan, first: int, last: int) -> Hashable:
    """Return what tells some events of a plan of the part from any other: its candidates and its grips."""
    part = slice(max(first, 0), last + 1)
    return plan.level, part.start, _told_apart(plan.route.options[part]), plan.route.chosen[part]
