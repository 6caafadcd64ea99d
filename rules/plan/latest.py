"""The latest answers about stretches of a part: what a decision leaves as it is need not be found again."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from itertools import compress
from operator import is_not, or_
from typing import Any, TypeVar

MOST_KEPT = 4000
Found = TypeVar("Found")


class Latest:
    """The latest answer to each question, with all that it was found from."""

    def __init__(self) -> None:
        self._known: dict[Hashable, tuple[object, Any]] = {}
        self._each: dict[Hashable, tuple[tuple[Sequence[object], Sequence[object]], list[Any]]] = {}

    def found(self, question: Hashable, given: object, find: Callable[[], Found]) -> Found:
        """Return the latest answer if it was found from the same, else find it.

        Args:
            question: what is asked, such as the events that it is about.
            given: all that the answer depends on besides; compared, not hashed.
            find: finds the answer.
        """
        known = self._known.get(question)
        if known is not None and known[0] == given:
            answer: Found = known[1]
            return answer
        if len(self._known) >= MOST_KEPT:
            self._known.clear()
        answer = find()
        self._known[question] = given, answer
        return answer

    def found_each(
        self, question: Hashable, given: tuple[Sequence[object], Sequence[object]], find: Callable[[int], Found]
    ) -> list[Found]:
        """Return the answer for each event; where neither of the two objects given has changed, it is the latest.

        Args:
            question: what is asked of every event.
            given: what the answers depend on, two objects an event; told apart by identity.
            find: finds the answer for an event.
        """
        first, second = given
        known = self._each.get(question)
        if known is None or len(known[1]) != len(first):
            answers = [find(event) for event in range(len(first))]
        else:
            (first_before, second_before), answers = known[0], list(known[1])
            changed = map(or_, map(is_not, first, first_before), map(is_not, second, second_before))
            for event in compress(range(len(first)), changed):
                answers[event] = find(event)
        self._each[question] = given, answers
        return answers
