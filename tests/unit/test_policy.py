"""A house's policy over rules and findings, as values."""

from __future__ import annotations

import pytest

from rules import LEVELS, Exemption, Policy, Setting, Severity, all_rules, review_passage
from tests.notation import read_passage

PART = "A4:1 B4:1 C5:1 D5:1 | E5:1 G6:1 A6:1 E5:1 | D5:1 C5:1 B4:1 G6:1"


def ids(policy: Policy) -> set[str]:
    return {rule.id for rule in policy.rules(all_rules())}


def test_a_rule_that_is_off_is_left_out() -> None:
    policy = Policy("house", settings={"string-skip": Setting("we like skips", enabled=False)})
    assert {rule.id for rule in all_rules()} - ids(policy) == {"string-skip"}


def test_severity_and_options_are_the_houses_and_the_rest_is_kept() -> None:
    setting = Setting("louder", severities={"slurred": Severity.ERROR}, options={"slowest": 2})
    policy = Policy("house", settings={"string-skip": setting})
    own = {rule.id: rule for rule in all_rules()}["string-skip"]
    changed = {rule.id: rule for rule in policy.rules(all_rules())}["string-skip"]
    assert changed.outcomes["slurred"].severity is Severity.ERROR
    assert changed.outcomes["skip"] == own.outcomes["skip"]
    assert changed.options.slowest == 2.0
    assert own.options.slowest == 1.0


def test_options_and_outcomes_that_do_not_exist_are_refused() -> None:
    with pytest.raises(KeyError, match="slow"):
        Policy("house", settings={"string-skip": Setting("r", options={"slow": 1})}).rules(all_rules())
    with pytest.raises(KeyError, match="jump"):
        Policy("h", settings={"string-skip": Setting("r", severities={"jump": Severity.NOTE})}).rules(all_rules())


@pytest.mark.parametrize(
    ("exemption", "bars"),
    [
        (Exemption("r"), []),
        (Exemption("r", rule="string-skip"), ["2", "2", "3"]),
        (Exemption("r", rule="note-outside-level", bars=("2", "2")), ["3"]),
        (Exemption("r", part="Violin", bars=("1", "3")), []),
        (Exemption("r", part="P1", bars=("3", "3")), ["2", "2"]),
        (Exemption("r", part="P2"), ["2", "2", "3"]),
        (Exemption("r", bars=("7", "9")), ["2", "2", "3"]),
    ],
)
def test_an_exemption_covers_rule_part_and_bars(exemption: Exemption, bars: list[str]) -> None:
    passage = read_passage(PART)
    policy = Policy("house", LEVELS["first"], exemptions=(exemption,))
    outside = [f for f in review_passage(passage, LEVELS["first"]).flags if f.finding.rule == "note-outside-level"]
    left = [f for f in outside if policy.exempted(passage, f) is None]
    assert [passage.label(passage.events[f.finding.first]) for f in left] == bars
