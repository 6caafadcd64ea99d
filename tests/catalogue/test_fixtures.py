"""Every rule against its fixture, `tests/catalogue/<rule>.yaml`, and what all rules have to keep to.

A fixture maps the title of a case to: `passage` (see `tests/marked_notation.py`); `stops` that are fixed (left out or
`-`, the planner chooses); `level` (all), `tempo` (96), `meter` ([4, 4]) and `options` of the rule; and `finds`: for
every finding its outcome and the event, or the first and last event ("2-4"), counted from 1. `says` are the sentences
of these findings: one case for every outcome has them.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any, get_type_hints

import pytest
import yaml

from rules import LEVELS, Plan, Rule, Scope, all_rules, cheapest_route, printed_decisions
from tests.marked_notation import read_marked_passage, read_stops

FIXTURES = Path(__file__).resolve().parent
RULES = {rule.id: rule for rule in all_rules()}


def fixture_of(rule: Rule) -> dict[str, dict[str, Any]]:
    path = FIXTURES / f"{rule.id.replace('-', '_')}.yaml"
    return dict(yaml.load(path.read_text(encoding="utf-8"), yaml.CSafeLoader))


def plan_of(case: dict[str, Any]) -> Plan:
    meter = tuple(case.get("meter", (4, 4)))
    passage = read_marked_passage(case["passage"], case.get("tempo", 96), meter=meter)
    decisions = printed_decisions(passage)
    if "stops" in case:
        decisions |= read_stops(case["stops"], passage)
    level = LEVELS[case.get("level", "all")]
    return Plan(passage, level, cheapest_route(passage, level, decisions=decisions))


def cases() -> list[Any]:
    return [
        pytest.param(rule, case, id=f"{rule.id}: {title}")
        for rule in RULES.values()
        for title, case in fixture_of(rule).items()
    ]


@pytest.mark.parametrize(("rule", "case"), cases())
def test_the_rule_finds_what_its_fixture_says(rule: Rule, case: dict[str, Any]) -> None:
    plan = plan_of(case)
    chosen = rule.with_options(case.get("options", {}))
    found = [
        {finding.outcome: str(finding.first + 1) + (f"-{finding.last + 1}" if finding.last > finding.first else "")}
        for finding in chosen.check(plan, chosen.options)
    ]
    assert found == [{code: str(place) for code, place in one.items()} for one in case["finds"]]
    sentences = [chosen.sentence(finding) for finding in chosen.check(plan, chosen.options)]
    assert sentences == case.get("says", sentences)
    assert not any("$" in sentence for sentence in sentences)
    assert all(finding.notes for finding in chosen.check(plan, chosen.options))


@pytest.mark.parametrize("rule", list(RULES.values()), ids=list(RULES))
def test_every_rule_keeps_the_contract(rule: Rule) -> None:
    fixture = fixture_of(rule)
    outcomes = {code for case in fixture.values() for found in case["finds"] for code in found}
    assert outcomes == set(rule.outcomes), "one case for every outcome"
    said = {code for case in fixture.values() if "says" in case for found in case["finds"] for code in found}
    assert said == outcomes, "one sentence for every outcome"
    assert any(not case["finds"] for case in fixture.values()), "one case that is clean"
    assert len(rule.rationale.split()) > 15, "say why it matters to a player"
    assert rule.check.__module__.rpartition(".")[2].replace("_", "-") == rule.id, "the id is the file's name"
    assert all(re.fullmatch(r"[a-z]+(-[a-z]+)*", code) for code in rule.outcomes)
    assert not rule.title.endswith(".")


@pytest.mark.parametrize("rule", list(RULES.values()), ids=list(RULES))
def test_every_option_is_explained_and_unknown_ones_are_refused(rule: Rule) -> None:
    hints = get_type_hints(type(rule.options), include_extras=True)
    for name in rule.options.__dataclass_fields__:
        assert hints[name].__metadata__[0], f"say what {name} means: Annotated[kind, meaning]"
        assert rule.with_options({name: getattr(rule.options, name)}).options == rule.options
    with pytest.raises(KeyError, match="no_such_option"):
        rule.with_options({"no_such_option": 1})


def test_an_option_of_another_kind_is_refused() -> None:
    with pytest.raises(TypeError):
        RULES["held-open-string"].with_options({"seconds": "long"})
    assert RULES["held-open-string"].with_options({"seconds": 2}).options.seconds == 2.0


def test_every_fixture_belongs_to_a_rule() -> None:
    assert {path.stem.replace("_", "-") for path in FIXTURES.glob("*.yaml")} == set(RULES)


def test_every_scope_is_used() -> None:
    assert {rule.scope for rule in RULES.values()} == set(Scope)
