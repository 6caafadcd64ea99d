"""Nobody is let in, nothing gets out. Sources: RFC 9110 (421), the Fetch standard (origins, preflights), OWASP's list
of secure headers, and the attacks on XML and zip that are common knowledge (entities, external subsets, bombs)."""

from __future__ import annotations

import io
import json
import logging
import tempfile
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from service.config.settings import SettingError, Settings, read_settings
from service.http.app import create_app
from service.http.log import LOG
from service.http.routes import scores as routes_scores
from tests.interface.conftest import ADDRESS
from tests.interface.kept_lines import Kept

EDITOR, SCHOOL = "https://editor.example", "https://school.example"
IN_A_FRAME = {"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "navigate", "Sec-Fetch-Dest": "iframe"}


@pytest.fixture(scope="module")
def open_client() -> Iterator[TestClient]:
    """A service that a page elsewhere may call."""
    settings = Settings(planners=1, origins=(EDITOR,), hosts=("scores.example",))
    with TestClient(create_app(settings), base_url=ADDRESS) as made:
        yield made


@pytest.fixture(scope="module")
def framed_client() -> Iterator[TestClient]:
    """A service whose page two others may show in a frame."""
    with TestClient(create_app(Settings(planners=1, frame_origins=(SCHOOL, EDITOR))), base_url=ADDRESS) as made:
        yield made


# -- hosts and origins -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "host", ["127.0.0.1", "127.0.0.1:80", "localhost:8765", "LOCALHOST", "localhost.", "[::1]:8765"]
)
def test_loopback_names_are_answered(client: TestClient, host: str) -> None:
    assert client.get("/healthz", headers={"Host": host}).status_code == 200


@pytest.mark.parametrize(
    "host",
    [
        "evil.example", "127.0.0.1.evil.example", "localhost.evil.example:8765", "", "0.0.0.0", "2130706433",
        "127.0.0.1:8765@evil.example", "evil.example#127.0.0.1", "[::1].evil",
        "localhost evil.example", "scores.example",
    ],
)  # fmt: skip
@pytest.mark.parametrize("path", ["/healthz", "/", "/openapi.json"])
def test_names_that_were_made_to_point_here_are_not(client: TestClient, host: str, path: str) -> None:
    answer = client.get(path, headers={"Host": host})
    assert (answer.status_code, answer.json()["code"]) == (421, "wrong-host")


def test_a_listed_host_is_answered(open_client: TestClient) -> None:
    assert open_client.get("/healthz", headers={"Host": "scores.example:443"}).status_code == 200


@pytest.mark.parametrize(
    "origin", ["https://evil.example", "null", "http://127.0.0.1:9999", "http://localhost:8765", EDITOR]
)
@pytest.mark.parametrize("method", ["GET", "POST", "OPTIONS"])
def test_pages_of_other_origins_may_not_call(client: TestClient, waltz: bytes, origin: str, method: str) -> None:
    headers = {"Origin": origin, "Access-Control-Request-Method": "POST"}
    answer = client.request(method, "/healthz" if method == "GET" else "/annotate", content=waltz, headers=headers)
    assert (answer.status_code, answer.json()["code"]) == (403, "foreign-origin")
    assert not any(name.startswith("access-control") for name in answer.headers)


def test_our_own_page_may_call(client: TestClient, waltz: bytes) -> None:
    assert client.post("/annotate", content=waltz, headers={"Origin": ADDRESS}).status_code == 200


def test_a_listed_origin_may_call_and_read(open_client: TestClient, waltz: bytes) -> None:
    answer = open_client.post("/annotate", content=waltz, headers={"Origin": EDITOR})
    assert answer.status_code == 200
    assert answer.headers["access-control-allow-origin"] == EDITOR
    readable = {name.strip() for name in answer.headers["access-control-expose-headers"].split(",")}
    responses = open_client.get("/openapi.json").json()["paths"]["/annotate"]["post"]["responses"].values()
    described = {name for response in responses for name in response.get("headers", ())}
    assert "Handframe-Remarks" in described
    assert described <= readable
    assert "Origin" in answer.headers["vary"]
    assert "access-control-allow-credentials" not in answer.headers
    refused = open_client.post("/annotate", content=b"%PDF", headers={"Origin": EDITOR})
    assert (refused.status_code, refused.headers["access-control-allow-origin"]) == (415, EDITOR)
    assert "Origin" in open_client.get("/healthz").headers["vary"]


def test_a_preflight_is_answered_for_listed_origins(open_client: TestClient) -> None:
    headers = {
        "Origin": EDITOR,
        "Access-Control-Request-Method": "POST",
        "Access-Control-Request-Headers": "content-type,if-none-match",
    }
    answer = open_client.options("/annotate", headers=headers)
    assert answer.status_code == 200
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert answer.headers["access-control-allow-origin"] == EDITOR
    assert "POST" in answer.headers["access-control-allow-methods"]
    assert {"content-type", "if-none-match"} <= {
        each.strip() for each in answer.headers["access-control-allow-headers"].lower().split(",")
    }
    assert "access-control-allow-private-network" not in answer.headers
    private = {**headers, "Access-Control-Request-Private-Network": "true"}
    assert open_client.options("/annotate", headers=private).headers["access-control-allow-private-network"] == "true"
    assert open_client.options("/annotate", headers={**headers, "Origin": "https://evil.example"}).status_code == 403


# -- headers -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("path", ["/", "/docs", "/rules", "/healthz", "/openapi.json", "/nowhere"])
def test_every_answer_carries_the_security_headers(client: TestClient, path: str) -> None:
    headers = client.get(path).headers
    policy = dict(part.strip().split(" ", 1) for part in headers["content-security-policy"].split(";"))
    assert policy["default-src"] == "'none'"
    assert policy["script-src"] == policy["style-src"] == policy["connect-src"] == "'self'"
    assert policy["frame-ancestors"] == policy["base-uri"] == "'none'"
    assert "unsafe" not in headers["content-security-policy"]
    assert "http" not in headers["content-security-policy"]
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["referrer-policy"] == "no-referrer"
    assert headers["x-frame-options"] == "DENY"
    assert headers["cross-origin-resource-policy"] == "same-origin"
    assert "server" not in headers


def test_no_page_may_be_shown_in_a_frame_unless_the_operator_says_so(client: TestClient) -> None:
    assert client.get("/embed").status_code == 404
    assert client.get("/embed", headers=IN_A_FRAME).status_code == 403


def test_only_the_listed_origins_may_show_the_page_in_a_frame(framed_client: TestClient, client: TestClient) -> None:
    answer = framed_client.get("/embed", headers=IN_A_FRAME)
    assert (answer.status_code, answer.text) == (200, client.get("/").text)
    usual, policy = client.get("/").headers["content-security-policy"], answer.headers["content-security-policy"]
    assert policy == usual.replace("frame-ancestors 'none'", f"frame-ancestors {SCHOOL} {EDITOR}")
    assert policy != usual
    assert "x-frame-options" not in answer.headers
    assert answer.headers["cross-origin-resource-policy"] == "cross-origin"
    again = framed_client.get("/embed", headers={**IN_A_FRAME, "If-None-Match": answer.headers["etag"]})
    assert (again.status_code, again.headers["content-security-policy"]) == (304, policy)


@pytest.mark.parametrize("path", ["/", "/docs", "/rules", "/healthz", "/openapi.json", "/nowhere"])
def test_other_addresses_keep_their_policy_beside_the_frame(
    framed_client: TestClient, client: TestClient, path: str
) -> None:
    for name in ("content-security-policy", "x-frame-options", "cross-origin-resource-policy"):
        assert framed_client.get(path).headers[name] == client.get(path).headers[name]
    assert framed_client.get(path, headers=IN_A_FRAME).status_code == 403


@pytest.mark.parametrize(
    "fetched", [{"Sec-Fetch-Dest": "script"}, {"Sec-Fetch-Mode": "no-cors"}, {"Sec-Fetch-Dest": "object"}]
)
def test_another_site_gets_the_page_as_a_frame_only(framed_client: TestClient, fetched: dict[str, str]) -> None:
    assert framed_client.get("/embed", headers={**IN_A_FRAME, **fetched}).status_code == 403
    assert framed_client.post("/embed", headers=IN_A_FRAME).status_code == 403


def test_an_origin_for_the_frame_cannot_carry_another_policy() -> None:
    with pytest.raises(SettingError, match=r"such as https://school\.example"):
        read_settings({"frame_origins": "https://school.example;script-src"})


@pytest.mark.parametrize("path", ["/", "/docs", "/rules", "/problems/busy"])
def test_pages_fetch_nothing_from_elsewhere_and_hold_no_script(client: TestClient, path: str) -> None:
    page = client.get(path, headers={"Accept": "text/html"}).text
    for outside in ('src="http', 'href="http', "src='http", "url(http", '="//', "@import"):
        assert outside not in page
    assert "<script>" not in page
    assert "<style" not in page
    assert " style=" not in page
    assert " onclick=" not in page


def test_scores_are_not_kept_by_caches(client: TestClient, waltz: bytes) -> None:
    assert client.post("/annotate", content=waltz).headers["cache-control"] == "no-store"


# -- attacks on the reader ---------------------------------------------------------------------------------------------

_ROOT = "<score-partwise><part-list/>{}</score-partwise>"


def _bomb(width: int, depth: int) -> str:
    lines = ['<!ENTITY e0 "x">']
    lines += [f'<!ENTITY e{level} "{f"&e{level - 1};" * width}">' for level in range(1, depth)]
    return f"<!DOCTYPE score-partwise [{''.join(lines)}]>" + _ROOT.format(f"&e{depth - 1};")


def _archive(*entries: tuple[str, bytes]) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as made:
        for name, content in entries:
            made.writestr(name, content)
    return buffer.getvalue()


def _container(path: str) -> bytes:
    return f'<container><rootfiles><rootfile full-path="{path}"/></rootfiles></container>'.encode()


ATTACKS = {
    "an entity of a file": (
        '<!DOCTYPE score-partwise [<!ENTITY x SYSTEM "file:///etc/passwd">]>' + _ROOT.format("&x;"),
        400,
    ),
    "an entity of an address": ('<!DOCTYPE s [<!ENTITY x SYSTEM "http://127.0.0.1:1/">]>' + _ROOT.format("&x;"), 400),
    "a parameter entity": ('<!DOCTYPE s [<!ENTITY % x SYSTEM "file:///etc/passwd"> %x;]>' + _ROOT.format(""), 400),
    "an entity in a pitch": ('<!DOCTYPE s [<!ENTITY x "A">]>' + _ROOT.format("<step>&x;</step>"), 400),
    "a billion laughs": (_bomb(10, 10), 400),
    "a quadratic blow-up": (f'<!DOCTYPE s [<!ENTITY x "{"a" * 50_000}">]>' + _ROOT.format("&x;" * 50_000), 400),
    "elements within elements": ("<score-partwise>" + "<a>" * 5000 + "</a>" * 5000 + "</score-partwise>", 413),
    "elements without end": ("<score-partwise>" + "<a>" * 100_000, 413),
    "as many elements as fit": (_ROOT.format("<b/>" * 2_490_000), 422),
    "an endless attribute": (_ROOT.format('<a b="' + "x" * 9_000_000 + '"/>') * 1, 422),
    "a name of a megabyte": (f"<{'a' * 1_000_000}/>", 400),
    "a NUL": (_ROOT.format("\0"), 400),
    "an undefined entity": (_ROOT.format("&nothing;"), 400),
    "an include": (
        '<score-partwise xmlns:xi="http://www.w3.org/2001/XInclude"><xi:include href="file:///etc/passwd"/></score-partwise>',
        422,
    ),
    "a stylesheet": ('<?xml-stylesheet href="file:///etc/passwd"?>' + _ROOT.format(""), 422),
}


@pytest.mark.parametrize("name", ATTACKS)
def test_attacks_by_xml_are_clean_refusals(client: TestClient, name: str) -> None:
    text, status = ATTACKS[name]
    for path in ("/annotate", "/review"):
        answer = client.post(path, content=text.encode())
        assert answer.status_code == status, answer.text[:300]
        assert answer.headers["content-type"] == "application/problem+json"
        assert "root:" not in answer.text
        assert len(answer.content) < 2000


ARCHIVES = {
    "a bomb": (
        lambda: _archive(("META-INF/container.xml", _container("s.xml")), ("s.xml", b"<a>" + b" " * 25_000_000)),
        413,
    ),
    "a larger bomb": (
        lambda: _archive(("META-INF/container.xml", _container("s.xml")), ("s.xml", b" " * 60_000_000)),
        413,
    ),
    "a container that is a bomb": (
        lambda: _archive(("META-INF/container.xml", b"<container>" + b" " * 5_000_000)),
        413,
    ),
    "too many elements": (
        lambda: _archive(
            ("META-INF/container.xml", _container("s.xml")), ("s.xml", _ROOT.format("<b/>" * 3_100_000).encode())
        ),
        413,
    ),
    "many entries": (lambda: _archive(*((f"{number}", b"") for number in range(3000))), 413),
    "a path out of the archive": (lambda: _archive(("META-INF/container.xml", _container("../../../etc/passwd"))), 400),
    "a path of the machine": (lambda: _archive(("META-INF/container.xml", _container("/etc/passwd"))), 400),
    "an address": (lambda: _archive(("META-INF/container.xml", _container("file:///etc/passwd"))), 400),
    "an entity in the container": (
        lambda: _archive(
            ("META-INF/container.xml", b'<!DOCTYPE c [<!ENTITY x SYSTEM "file:///etc/passwd">]>' + _container("&x;")),
            ("s.xml", b"<score-partwise/>"),
        ),
        400,
    ),
    "no container": (lambda: _archive(("s.xml", b"<score-partwise/>")), 415),
    "half an archive": (lambda: _archive(("META-INF/container.xml", _container("s.xml")))[:60], 400),
}


@pytest.mark.parametrize("name", ARCHIVES)
def test_attacks_by_archive_are_clean_refusals(client: TestClient, name: str) -> None:
    made, status = ARCHIVES[name]
    answer = client.post("/annotate?filename=../../x.mxl", content=made())
    assert answer.status_code == status, answer.text
    assert answer.headers["content-type"] == "application/problem+json"
    assert "root:" not in answer.text


# -- what stays inside -------------------------------------------------------------------------------------------------


def _no_file(*_arguments: object, **_named: object) -> None:
    raise AssertionError("a request wrote to disk")


def test_nothing_is_written_to_disk(client: TestClient, waltz: bytes, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tempfile.SpooledTemporaryFile, "rollover", _no_file)
    monkeypatch.setattr(tempfile, "TemporaryFile", _no_file)
    large = waltz.replace(b"</score-partwise>", b" " * 5_000_000 + b"</score-partwise>")
    assert client.post("/annotate", files={"score": ("../../../tmp/x.xml", large)}).status_code == 200


def test_no_path_of_a_request_is_opened(client: TestClient, tmp_path: Path) -> None:
    secret = tmp_path / "secret.xml"
    secret.write_text("<score-partwise>secret</score-partwise>")
    for path in (
        f"/page/{secret}",
        f"/page/samples/..%2f..%2f{secret}",
        f"/problems/{secret}",
        "/page/..%2f..%2fapi.py",
    ):
        answer = client.get(path)
        assert answer.status_code == 404
        assert b"secret" not in answer.content.replace(str(secret).encode(), b"")
    assert client.post(f"/annotate?policy={secret}", content=b"<score-partwise/>").status_code == 400


def test_a_fault_of_ours_tells_nothing(
    waltz: bytes, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def broken(*_: object) -> str:
        raise RuntimeError("Violin secret " + waltz.decode())

    monkeypatch.setattr(routes_scores, "entity_tag", broken)
    kept = Kept()
    monkeypatch.setattr(LOG, "handlers", [kept])
    caplog.set_level(logging.INFO, logger=LOG.name)
    with TestClient(create_app(Settings(planners=1)), base_url=ADDRESS) as client:
        answer = client.post("/annotate?part=secret", content=waltz, headers={"X-Request-Id": "a b"})
    assert (answer.status_code, answer.json()["code"]) == (500, "internal")
    assert answer.headers["content-type"] == "application/problem+json"
    assert "secret" not in answer.text
    lines = kept.lines
    assert len(lines) == 2
    fault, request = map(json.loads, lines)
    assert fault["kind"] == "RuntimeError"
    assert "test_security.py" in fault["place"]
    assert request["status"] == 500
    assert request["route"] == "/annotate"
    assert fault["id"] == request["id"] == answer.headers["x-request-id"] != "a b"
    assert "secret" not in "".join(lines)


def test_a_fault_in_a_planner_tells_nothing(monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture) -> None:
    monkeypatch.setattr(routes_scores.jobs, "cleaned", divmod)  # divmod(bytes, limits) raises TypeError
    monkeypatch.setattr(LOG, "propagate", True)
    with caplog.at_level(logging.INFO), TestClient(create_app(Settings(planners=1)), base_url=ADDRESS) as client:
        answer = client.post("/clean", content=b"<score-partwise/>")
    assert (answer.status_code, answer.json()["code"]) == (500, "internal")
    assert "unsupported operand" not in answer.text + caplog.text
    assert any(getattr(record, "facts", {}).get("kind") == "TypeError" for record in caplog.records)
