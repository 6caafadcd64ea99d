"""The latest answers about stretches of a part: found again exactly where what they depend on has changed."""

from __future__ import annotations

from rules.plan.latest import MOST_KEPT, Latest


def test_an_answer_is_found_again_only_where_it_may_differ() -> None:
    latest, asked = Latest(), []

    def find(answer: str) -> str:
        asked.append(answer)
        return answer

    assert latest.found("bars 1-2", (1, 2), lambda: find("a")) == "a"
    assert latest.found("bars 1-2", (1, 2), lambda: find("b")) == "a"
    assert latest.found("bars 1-2", (1, 3), lambda: find("c")) == "c"
    assert latest.found("bars 3-4", (1, 3), lambda: find("d")) == "d"
    assert latest.found("bars 1-2", (1, 2), lambda: find("e")) == "e"
    assert asked == ["a", "c", "d", "e"]


def test_answers_for_each_event_are_taken_over_where_both_objects_are_the_same() -> None:
    latest, asked = Latest(), []
    a, b, c = [0], [0], [0]  # equal, and yet three objects

    def find(event: int) -> int:
        asked.append(event)
        return event

    for first, second in (((a, a, a), (b, b, b)), ((a, c, a), (b, b, b)), ((a, c, a), (b, b, c)), ((a, c), (b, b))):
        asked.append(-1)
        assert latest.found_each("notes", (first, second), find) == [*range(len(first))]
    assert asked == [-1, 0, 1, 2, -1, 1, -1, 2, -1, 0, 1]


def test_old_answers_are_dropped_when_there_are_many() -> None:
    latest = Latest()
    for question in range(MOST_KEPT + 1):
        latest.found(question, None, lambda: "old")
    assert latest.found(MOST_KEPT, None, lambda: "new") == "old"
    assert latest.found(0, None, lambda: "new") == "new"
