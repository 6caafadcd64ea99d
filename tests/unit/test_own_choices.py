"""The plan does not warn of its own shifts; of those that a mark or the player asks for it does."""

from __future__ import annotations

from rules import FIRST_AND_THIRD, Constraint, Decisions, review_passage
from rules.check.catalogue import all_rules
from rules.check.review import OWN_CHOICES
from tests.notation import read_passage

QUICK = "A3:1/4 C4 F4 Bb4 C5 F5 C6 D6 E6 D6 C6 F5 C5 Bb4 F4 C4 A3:1"


def found(decisions: Decisions) -> set[str]:
    review = review_passage(read_passage(QUICK, tempo=160), FIRST_AND_THIRD, decisions)
    return {flag.finding.rule for flag in review.flags} & OWN_CHOICES


def test_what_the_plan_chose_is_no_warning() -> None:
    passage = read_passage(QUICK, tempo=160)
    review = review_passage(passage, FIRST_AND_THIRD)
    raw = {rule.id for rule in all_rules() if rule.id in OWN_CHOICES and list(rule.check(review.plan, rule.options))}
    assert raw == {"shift-without-time"}, "the shift is quick"
    assert found({}) == set()


def test_what_a_mark_asks_for_is() -> None:
    plan = review_passage(read_passage(QUICK, tempo=160), FIRST_AND_THIRD).plan
    asked = {
        note.note.id: Constraint(fingers=frozenset({note.stop.finger}), strings=frozenset({note.stop.string}))
        for note in plan.fingered_notes
        if note.stop
    }
    assert found(asked) == {"shift-without-time"}


def test_the_rules_named_exist() -> None:
    assert {rule.id for rule in all_rules()} >= OWN_CHOICES
