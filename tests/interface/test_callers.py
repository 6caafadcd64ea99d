"""What a browser does for a page of another site. Source: Fetch Metadata Request Headers (W3C), 2.1 to 2.4."""

from __future__ import annotations

import pytest
from starlette.testclient import TestClient

from service.config.settings import Settings
from service.http.app import create_app
from tests.interface.conftest import ADDRESS

EDITOR = "https://editor.example"


def _fetched(site: str, mode: str = "no-cors", dest: str = "image") -> dict[str, str]:
    return {"Sec-Fetch-Site": site, "Sec-Fetch-Mode": mode, "Sec-Fetch-Dest": dest}


@pytest.mark.parametrize("site", ["cross-site", "same-site", "nonsense"])
@pytest.mark.parametrize("path", ["/practice/set", "/chart.svg", "/rules", "/page/main.js", "/healthz"])
def test_a_picture_or_script_on_another_site_fetches_nothing(client: TestClient, site: str, path: str) -> None:
    answer = client.get(path, headers=_fetched(site))
    assert (answer.status_code, answer.json()["code"]) == (403, "cross-site")


def test_a_form_on_another_site_without_an_origin_sends_nothing(client: TestClient, waltz: bytes) -> None:
    answer = client.post("/annotate", content=waltz, headers=_fetched("cross-site", "navigate", "document"))
    assert (answer.status_code, answer.json()["code"]) == (403, "cross-site")


@pytest.mark.parametrize("path", ["/", "/docs", "/rules", "/problems/busy"])
def test_a_link_from_another_site_to_a_page_is_followed(client: TestClient, path: str) -> None:
    assert client.get(path, headers=_fetched("cross-site", "navigate", "document")).status_code == 200
    assert client.get(path, headers=_fetched("cross-site", "navigate", "iframe")).status_code == 403


def test_a_link_from_another_site_does_not_plan(client: TestClient) -> None:
    assert client.get("/practice/set", headers=_fetched("cross-site", "navigate", "document")).status_code == 403


@pytest.mark.parametrize("headers", [
    {}, _fetched("same-origin"), _fetched("none", "navigate", "document"), {"Sec-Fetch-Site": "none"},
])  # fmt: skip
def test_our_page_an_address_typed_in_and_other_programs_are_answered(
    client: TestClient, headers: dict[str, str]
) -> None:
    assert client.get("/chart.svg", headers=headers).status_code == 200


@pytest.mark.parametrize("name", ["Sec-Fetch-Site", "Origin"])
def test_a_second_header_does_not_hide_the_first(client: TestClient, name: str) -> None:
    good, bad = {"Sec-Fetch-Site": ("none", "cross-site"), "Origin": (ADDRESS, "http://evil.example")}[name]
    for values in ((good, bad), (bad, good)):
        assert client.get("/chart.svg", headers=[(name, value) for value in values]).status_code == 403


def test_a_listed_origin_is_answered_where_its_browser_names_it() -> None:
    with TestClient(create_app(Settings(planners=1, origins=(EDITOR,))), base_url=ADDRESS) as client:
        fetched = _fetched("cross-site", "cors", "empty")
        assert client.get("/chart.svg", headers={**fetched, "Origin": EDITOR}).status_code == 200
        assert client.get("/chart.svg", headers=_fetched("cross-site")).status_code == 403
        assert client.get("/chart.svg", headers={**fetched, "Origin": "https://evil.example"}).status_code == 403


def test_a_preflight_for_an_unknown_method_is_no_bare_text() -> None:
    with TestClient(create_app(Settings(planners=1, origins=(EDITOR,))), base_url=ADDRESS) as client:
        asked = {"Origin": EDITOR, "Access-Control-Request-Method": "DELETE"}
        assert client.options("/annotate", headers=asked).status_code == 200
        refused = client.delete("/annotate", headers={"Origin": EDITOR})
        assert (refused.status_code, refused.headers["content-type"]) == (405, "application/problem+json")
        assert refused.headers["access-control-allow-origin"] == EDITOR
