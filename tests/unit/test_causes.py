"""One cause is told once."""

from __future__ import annotations

from rules import LEVELS, Concern, review_passage
from rules.check.catalogue import all_rules
from rules.check.causes import CAUSES
from tests.marked_notation import read_marked_passage
from tests.notation import read_passage


def test_a_note_beyond_the_level_is_one_finding() -> None:
    review = review_passage(read_passage("E5:2 F6:2 | E5:4"), LEVELS["first"])
    left = [flag.finding.rule for flag in review.flags if flag.answered_by is None and 1 in flag.finding_events()]
    assert left == ["note-outside-level"]


def test_a_digit_that_cannot_sound_its_note_is_one_finding() -> None:
    review = review_passage(read_marked_passage("B4{1}:1 A3{4 I} C5{2} D5{3}"), LEVELS["all"])
    left = {flag.finding.rule for flag in review.flags if flag.answered_by is None and 1 in flag.finding_events()}
    assert left == {"finger-cannot-sound-note"}


def test_the_list_names_rules_and_each_once() -> None:
    listed = [id for causes in CAUSES for id in causes]
    assert len(set(listed)) == len(listed)
    assert set(listed) <= {rule.id for rule in all_rules()}


def test_advice_is_not_given_where_the_print_is_wrong() -> None:
    passage = read_marked_passage("B4{1}:1 F5{0} C5{2} D5{3}")
    review = review_passage(passage, LEVELS["all"])
    concerns = {(rule.id, code): each.concern for rule in all_rules() for code, each in rule.outcomes.items()}
    there = [flag for flag in review.flags if flag.answered_by is None and 1 in flag.finding_events()]
    assert {concerns[flag.finding.rule, flag.finding.outcome] for flag in there} == {Concern.PRINT}
