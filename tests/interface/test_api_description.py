"""The description of the service (OpenAPI) against the service: valid, complete, and true under thousands of requests.

Sources: the JSON schema of OpenAPI 3.1 (through schemathesis, which reads and checks the document), schemathesis'
own requests and checks.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, settings
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_headers_conformance,
    response_schema_conformance,
    status_code_conformance,
    unsupported_method,
)
from starlette.testclient import TestClient

from service.config.settings import Settings
from service.http.app import create_app
from tests.interface.conftest import ADDRESS
from tests.interface.running import running

_SOAK = os.environ.get("HYPOTHESIS_PROFILE") == "soak"
_EXAMPLES = int(os.environ.get("SOAK_EXAMPLES", "1000")) if _SOAK else 8
CHECKS = (
    not_a_server_error,
    content_type_conformance,
    response_headers_conformance,
    response_schema_conformance,
    status_code_conformance,
    unsupported_method,
)
for score_kind in ("application/vnd.recordare.musicxml", "application/vnd.recordare.musicxml+xml", "application/xml"):
    schemathesis.serializer.alias(score_kind, "application/octet-stream")
phases = {"coverage": {"enabled": _SOAK}}
configuration = schemathesis.Config.from_dict({"phases": phases})
described = schemathesis.openapi.from_dict(create_app(Settings(planners=1)).openapi(), config=configuration)
_PATIENCE = 60  # seconds to wait for an answer on a machine that has other things to do
SAMPLES = [
    path.read_bytes()
    for path in sorted((Path(__file__).resolve().parents[2] / "sample_scores").iterdir())
    if path.suffix in (".musicxml", ".mxl")
]


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    """Where a service runs."""
    with running("--planners", "1") as service:
        yield f"http://127.0.0.1:{service.port}"


@described.parametrize()
@settings(max_examples=_EXAMPLES, deadline=None, suppress_health_check=list(HealthCheck))
def test_what_is_described_is_what_is_done(case: schemathesis.Case, address: str) -> None:
    case.call_and_validate(base_url=address, timeout=_PATIENCE, checks=list(CHECKS))


@described.include(method="POST").parametrize()
@settings(max_examples=_EXAMPLES, deadline=None, suppress_health_check=list(HealthCheck))
def test_so_it_is_with_real_scores(case: schemathesis.Case, address: str) -> None:
    """Random bytes are no score; here every option that is drawn meets a real one."""
    if case.media_type == "multipart/form-data" or case.method != "POST":
        return
    case.body = SAMPLES[len(str(case.query)) % len(SAMPLES)]
    answer = case.call_and_validate(base_url=address, timeout=_PATIENCE, checks=list(CHECKS))
    assert answer.status_code in (200, 204, 400, 422)


def test_every_fault_that_is_answered_is_described(client: TestClient) -> None:
    document = client.get("/openapi.json").json()
    assert document["openapi"].startswith("3.1")
    for path in ("/annotate", "/review", "/clean"):
        answers = document["paths"][path]["post"]["responses"]
        assert {"200", "400", "403", "408", "412", "413", "415", "421", "422", "429", "500", "503"} <= set(answers)
    assert "204" in document["paths"]["/annotate"]["post"]["responses"]


def test_every_reference_leads_somewhere_and_every_operation_has_a_name(client: TestClient) -> None:
    document = client.get("/openapi.json").json()

    def references(node: Any) -> list[str]:
        if isinstance(node, dict):
            own = [node["$ref"]] if isinstance(node.get("$ref"), str) else []
            return own + [each for value in node.values() for each in references(value)]
        return [each for value in node for each in references(value)] if isinstance(node, list) else []

    for reference in references(document):
        found = document
        for step in reference.removeprefix("#/").split("/"):
            found = found[step]
    names = [operation["operationId"] for path in document["paths"].values() for operation in path.values()]
    assert len(names) == len(set(names))
    assert all(operation["summary"] for path in document["paths"].values() for operation in path.values())


def test_the_example_is_a_score(client: TestClient) -> None:
    body = client.get("/openapi.json").json()["paths"]["/annotate"]["post"]["requestBody"]["content"]
    examples = body["application/xml"]["examples"].values()
    for example in examples:
        assert client.post("/annotate?level=all", content=example["value"]).status_code in (200, 204)


@pytest.mark.parametrize("name", ["level", "printed", "fingers", "language", "instrument", "character"])
def test_the_words_of_an_option_are_those_that_are_taken(client: TestClient, waltz: bytes, name: str) -> None:
    parameters = client.get("/openapi.json").json()["paths"]["/annotate"]["post"]["parameters"]
    words = next(each["schema"]["enum"] for each in parameters if each["name"] == name)
    for word in words:
        answer = client.post(f"/annotate?{name}={word}&part=P1", content=waltz, headers={"Host": ADDRESS[7:]})
        assert answer.status_code in (200, 422), answer.text
    refused = client.post(f"/annotate?{name}=nonsense", content=waltz)
    assert (refused.status_code, refused.json()["code"]) == (400, "bad-option")
    assert all(word in refused.json()["advice"] for word in words)
