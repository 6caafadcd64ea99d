"""The answers recorded for the tests of the page's modules are still of the form that the service sends."""

from __future__ import annotations

import json
from typing import Any

import pytest
from starlette.testclient import TestClient

from service.reports.wire.review_answer import ReviewAnswer
from tests.page_answers import RECORDED, ask, types

STALE = "record the answers again: python -m tests.page_answers"


@pytest.fixture(scope="module")
def recorded() -> Any:
    return json.loads(RECORDED.read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def answers(client: TestClient) -> dict[str, Any]:
    return ask(client)


@pytest.mark.parametrize("name", ["samples", "facts", "plan", "problem"])
def test_the_recorded_answer_has_the_form_of_the_answer_today(recorded: Any, answers: Any, name: str) -> None:
    assert types(recorded[name]) == types(answers[name]), STALE


def test_the_recorded_review_is_valid_by_the_model_of_today(recorded: Any) -> None:
    """The review has tables whose names depend on the rules that speak, so the model decides, not one answer."""
    ReviewAnswer.model_validate_json(json.dumps(recorded["review"]), strict=True)


def test_the_comparison_sees_a_name_and_a_type_that_change() -> None:
    form = types({"rows": [{"pitch": "A4", "string": None}, {"pitch": "B4", "string": 2}], "known": True})
    assert form == {".rows[].pitch: text", ".rows[].string: number", ".known: boolean"}
    assert form != types({"rows": [{"pitch": 69, "string": 2}], "known": True})
    assert form != types({"rows": [{"name": "A4", "string": 2}], "known": True})
