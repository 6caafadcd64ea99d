"""`make rule` writes a module that declares the rule, and a fixture that reads."""

from __future__ import annotations

import runpy
from pathlib import Path

import pytest
import yaml

from tests.new_rule import start_rule
from tests.notation import read_passage


def test_the_module_declares_the_rule_and_fails_until_it_is_filled_in(tmp_path: Path) -> None:
    module, _ = start_rule("long-low-note", tmp_path)
    rule = runpy.run_path(str(module))["RULE"]
    assert rule.id == module.stem.replace("_", "-") == "long-low-note"
    with pytest.raises(NotImplementedError):
        list(rule.check(None, rule.options))


def test_the_fixture_holds_passages_in_the_short_form(tmp_path: Path) -> None:
    _, fixture = start_rule("long-low-note", tmp_path)
    cases = yaml.safe_load(fixture.read_text(encoding="utf-8"))
    assert [len(read_passage(case["passage"]).events) for case in cases.values()] == [2, 2]
    assert [case["finds"] for case in cases.values()] == [[{"found": 2}], []]


def test_a_rule_that_is_there_is_left_alone(tmp_path: Path) -> None:
    module, _ = start_rule("long-low-note", tmp_path)
    before = module.read_bytes()
    with pytest.raises(FileExistsError, match="for ever"):
        start_rule("long-low-note", tmp_path)
    assert module.read_bytes() == before


@pytest.mark.parametrize("identifier", ["", "note", "Long-Note", "long_note", "../long-note", "long-"])
def test_what_is_not_an_id_is_refused(identifier: str, tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="not a rule id"):
        start_rule(identifier, tmp_path)
    assert list(tmp_path.iterdir()) == []
