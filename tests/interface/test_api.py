"""What the service answers: scores, reviews, names, tags, options. Sources: RFC 9110, RFC 6266, RFC 9457, the W3C's
registered media types of MusicXML (application/vnd.recordare.musicxml and …+xml)."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from service.config.options import Options, read_options
from service.reports.wire.review_answer import ReviewAnswer
from service.usecases.annotate import annotate

XML = "application/vnd.recordare.musicxml+xml"
MXL = "application/vnd.recordare.musicxml"


def test_a_raw_score_comes_back_marked_in_its_own_kind(client: TestClient, waltz: bytes, march: bytes) -> None:
    for score, kind in ((waltz, XML), (march, MXL)):
        answer = client.post("/annotate", content=score)
        assert answer.status_code == 200
        assert answer.headers["content-type"] == kind
        assert answer.content == annotate(score, Options()).data
        assert client.post("/clean", content=answer.content).content == score


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "iso-8859-1"])
def test_the_encoding_stays(client: TestClient, waltz: bytes, encoding: str) -> None:
    text = waltz.decode().replace("UTF-8", encoding.removesuffix("-sig"), 1).encode(encoding, "xmlcharrefreplace")
    answer = client.post("/annotate", content=text)
    assert answer.status_code == 200
    assert answer.content[:2] == text[:2]
    assert "<?handframe begin?>" in answer.content.decode(encoding)
    assert client.post("/clean", content=answer.content).content == text


@pytest.mark.parametrize(
    "kind",
    [XML, MXL, "application/xml", "text/xml", "application/octet-stream", "application/x-www-form-urlencoded", None],
)
def test_the_content_decides_not_the_media_type(client: TestClient, waltz: bytes, kind: str | None) -> None:
    headers = {} if kind is None else {"Content-Type": kind}
    assert client.post("/annotate", content=waltz, headers=headers).headers["content-type"] == XML


def test_options_in_the_query_and_in_a_form_are_the_same(client: TestClient, waltz: bytes) -> None:
    wanted = read_options({"level": ["to-fifth"], "language": ["de"], "positions": ["1,2,4"], "range_lines": ["true"]})
    expected = annotate(waltz, wanted).data
    query = "level=to-fifth&language=de&positions=1,2,4&range_lines=true"
    options = {"level": "to-fifth", "language": "de", "positions": [1, 2, 4], "range_lines": True, "tempo": None}
    form = {"options": json.dumps(options)}
    assert client.post(f"/annotate?{query}", content=waltz).content == expected
    assert client.post("/annotate", files={"score": ("w.xml", waltz)}, data=form).content == expected
    assert client.post("/annotate", data={"score": waltz.decode(), **form}).status_code == 415  # no such kind of form
    as_file = {"score": ("w.xml", waltz), "options": ("o.json", json.dumps(options), "application/json")}
    assert client.post("/annotate", files=as_file).content == expected


def test_a_hand_is_an_option_with_limits(client: TestClient, waltz: bytes) -> None:
    plain, own = (
        client.post("/review", content=waltz, params={"level": "all", **hand}).json()["parts"][0]["plan"]
        for hand in ({}, {"hand": "crossings=2.9,shifts=0.5,height=0.3"})
    )
    assert [row["finger"] for row in plain] != [row["finger"] for row in own]
    refused = client.post("/review", content=waltz, params={"hand": "crossings=40"})
    assert refused.status_code == 400
    assert "from 0.25 to 4" in refused.text


def test_a_review_is_as_the_models_say(client: TestClient, sample_scores: dict[str, Path]) -> None:
    for path in sample_scores.values():
        answer = client.post("/review?level=all", content=path.read_bytes())
        assert answer.status_code == 200
        review = ReviewAnswer.model_validate(answer.json())
        assert answer.headers["handframe-parts"] == ",".join(part.part for part in review.parts)
        left = [one for part in review.parts for one in part.findings if one.proposal is None]
        assert int(answer.headers["handframe-findings"]) == len(left)
        assert int(answer.headers["handframe-proposals"]) == sum(len(part.proposals) for part in review.parts)
        assert answer.headers["handframe-level-needed"] in [part.level_needed.level for part in review.parts]


def test_an_answer_says_which_bars_are_beyond_the_level(client: TestClient, waltz: bytes) -> None:
    """The waltz climbs to E6 in bars 20 to 22: beyond first position, within third."""
    answer = client.post("/review?level=first", content=waltz)
    (part,) = ReviewAnswer.model_validate(answer.json()).parts
    assert part.beyond_measures
    assert answer.headers["handframe-beyond-level"].startswith(f"{part.part}:{part.beyond_measures[0]}")
    assert client.post("/annotate?level=first", content=waltz).headers["handframe-beyond-level"]
    within = client.post("/review?level=first-and-third", content=waltz)
    assert "handframe-beyond-level" not in within.headers
    assert ReviewAnswer.model_validate(within.json()).parts[0].beyond_measures == []


@pytest.mark.parametrize(
    ("given", "marked", "cleaned"),
    [
        ("filename=air.musicxml", 'attachment; filename="air.marked.musicxml"', 'attachment; filename="air.musicxml"'),
        ("filename=air.marked.xml", 'attachment; filename="air.marked.xml"', 'attachment; filename="air.xml"'),
        ("filename=air", 'attachment; filename="air.marked.musicxml"', 'attachment; filename="air.musicxml"'),
        ("", 'attachment; filename="score.marked.musicxml"', 'attachment; filename="score.musicxml"'),
        ("filename=../../etc/air.xml", 'attachment; filename="air.marked.xml"', 'attachment; filename="air.xml"'),
        ("filename=C:%5Cx%5Cair.xml", 'attachment; filename="air.marked.xml"', 'attachment; filename="air.xml"'),
        (
            "filename=M%C3%A4rz%201.xml",
            "attachment; filename=\"M_rz 1.marked.xml\"; filename*=UTF-8''M%C3%A4rz%201.marked.xml",
            "attachment; filename=\"M_rz 1.xml\"; filename*=UTF-8''M%C3%A4rz%201.xml",
        ),
        ("filename=a%0D%0AX-Bad:%201%22.xml", 'attachment; filename="aX-Bad 1.marked.xml"', None),
    ],
)
def test_the_answer_has_the_files_name(
    client: TestClient, waltz: bytes, given: str, marked: str, cleaned: str | None
) -> None:
    answer = client.post(f"/annotate?{given}", content=waltz)
    assert answer.headers["content-disposition"] == marked
    if cleaned is not None:
        back = client.post(f"/clean?{given}", content=answer.content)
        assert back.headers["content-disposition"] == cleaned


@pytest.mark.parametrize(
    ("header", "name"),
    [
        ('attachment; filename="a b.xml"', 'attachment; filename="a b.marked.xml"'),
        ("attachment; filename=a.xml", 'attachment; filename="a.marked.xml"'),
        (
            "attachment; filename=a.xml; filename*=UTF-8''%C3%A9.xml",
            "attachment; filename=\"_.marked.xml\"; filename*=UTF-8''%C3%A9.marked.xml",
        ),
    ],
)  # fmt: skip
def test_a_name_may_come_in_the_header(client: TestClient, waltz: bytes, header: str, name: str) -> None:
    answer = client.post("/annotate", content=waltz, headers={"Content-Disposition": header})
    assert answer.headers["content-disposition"] == name


def test_a_name_may_come_with_the_form(client: TestClient, march: bytes) -> None:
    answer = client.post("/annotate", files={"score": ("march.mxl", march)})
    assert answer.headers["content-disposition"] == 'attachment; filename="march.marked.mxl"'


# -- unchanged files ---------------------------------------------------------------------------------------------------


def test_what_is_marked_already_needs_no_answer(client: TestClient, waltz: bytes) -> None:
    marked = client.post("/annotate", content=waltz)
    again = client.post("/annotate", content=marked.content)
    assert (again.status_code, again.content) == (204, b"")
    assert again.headers["handframe-proposals"] == marked.headers["handframe-proposals"]
    assert client.post("/clean", content=waltz).status_code == 204
    assert client.post("/annotate?level=first", content=marked.content).status_code == 200


def test_who_has_the_answer_is_told_so_before_any_work(client: TestClient, waltz: bytes) -> None:
    tag = client.post("/annotate?level=all", content=waltz).headers["etag"]
    had = client.post("/annotate?level=all", content=waltz, headers={"If-None-Match": f'"x", W/{tag}'})
    assert had.status_code == 412  # RFC 9110, 13.1.2: 304 is for GET and HEAD only
    assert had.json()["code"] == "unchanged"
    assert had.headers["etag"] == tag
    for query, score in (("level=first", waltz), ("level=all", waltz + b"\n"), ("level=all&positions=1,3", waltz)):
        other = client.post(f"/annotate?{query}", content=score, headers={"If-None-Match": tag})
        assert other.status_code == 200
        assert other.headers["etag"] != tag
    assert client.post("/review?level=all", content=waltz, headers={"If-None-Match": tag}).status_code == 200
    assert client.post("/annotate?level=all", content=waltz, headers={"If-None-Match": "*"}).status_code == 200


def test_tags_are_the_same_in_every_process(client: TestClient, waltz: bytes) -> None:
    code = (
        "import sys; from service.http import answers; from service.http.request import ScoreRequest\n"
        "from service.config.options import read_options\n"
        "options = read_options({'level': ['all'], 'positions': ['5,3,1'], 'part': ['P1'], 'pin': ['n1:finger=2']})\n"
        "answers.program = lambda: sys.argv[1]\n"
        "print(answers.entity_tag('/annotate', ScoreRequest(sys.stdin.buffer.read(), options, None)), end='')"
    )
    query = "level=all&positions=1,3,5&part=P1&pin=n1:finger=2"
    tag = client.post(f"/annotate?{query}", content=waltz).headers["etag"]
    command = [sys.executable, "-c", code, client.get("/version").json()["program"]]
    made = subprocess.run(command, input=waltz, capture_output=True, env={"PYTHONHASHSEED": "1"})
    assert made.stdout.decode() == tag, made.stderr.decode()


@pytest.mark.parametrize("path", ["/rules", "/levels", "/version", "/docs", "/problems/busy", "/reference.css"])
def test_what_is_read_only_is_sent_once(client: TestClient, path: str) -> None:
    first = client.get(path)
    assert first.status_code == 200
    again = client.get(path, headers={"If-None-Match": first.headers["etag"]})
    assert (again.status_code, again.content) == (304, b"")
    head = client.head(path)
    assert (head.status_code, head.content) == (200, b"")
    assert head.headers["content-type"] == first.headers["content-type"]


# -- what the service tells of itself ----------------------------------------------------------------------------------


def test_rules_as_data_and_as_a_page(client: TestClient) -> None:
    rules = client.get("/rules").json()
    assert len(rules) > 10
    page = client.get("/rules", headers={"Accept": "text/html,application/xhtml+xml,*/*;q=0.8"})
    assert page.headers["content-type"] == "text/html; charset=utf-8"
    assert "Accept" in page.headers["vary"]
    assert all(f'id="{rule["id"]}"' in page.text for rule in rules)


def test_levels_version_and_health(client: TestClient) -> None:
    assert [level["name"] for level in client.get("/levels").json()][:2] == ["first", "first-and-third"]
    assert client.get("/version").json()["api"] == 1
    assert client.get("/healthz").json()["status"] == "ok"


def test_the_reference_names_every_address_fault_and_setting(client: TestClient) -> None:
    page = client.get("/docs").text
    for path in client.get("/openapi.json").json()["paths"]:
        assert f"<code>{path}</code>" in page
    for word in ("too-slow", "unchanged", "no-part", "HANDFRAME_UPLOAD_BYTES", "HANDFRAME_ORIGINS"):
        assert word in page


# -- faults ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("path", "body", "status", "code"),
    [
        ("/annotate", b"", 400, "empty"),
        ("/annotate", b"%PDF-1.7", 415, "not-xml"),
        ("/review", b"<score-partwise><part", 400, "truncated"),
        ("/annotate", b"<html></html>", 415, "html-page"),
        ("/annotate?levle=first", b"<score-partwise/>", 400, "unknown-option"),
        ("/annotate?level=second", b"<score-partwise/>", 400, "bad-option"),
        ("/annotate?level=first&level=all", b"<score-partwise/>", 400, "bad-option"),
        ("/review", b"<score-partwise/>", 422, "no-part"),
        ("/clean?level=first", b"<score-partwise/>", 400, "bad-form"),
        ("/nowhere", b"", 404, "not-found"),
        ("/rules", b"", 405, "method-not-allowed"),
    ],
)
def test_faults_are_problem_details(client: TestClient, path: str, body: bytes, status: int, code: str) -> None:
    answer = client.post(path, content=body, headers={"X-Request-Id": "mine-1"})
    assert answer.status_code == status
    assert answer.headers["content-type"] == "application/problem+json"
    assert answer.headers["x-request-id"] == "mine-1"
    fault = answer.json()
    assert (fault["status"], fault["code"], fault["request_id"]) == (status, code, "mine-1")
    assert fault["detail"]
    assert fault["advice"]
    assert client.get(fault["type"]).status_code == 200


def test_a_wrong_method_names_the_right_one(client: TestClient) -> None:
    assert client.get("/annotate").headers["allow"] == "POST"
    assert client.put("/annotate", content=b"x").status_code == 405


@pytest.mark.parametrize(
    ("files", "data"),
    [
        ({"file": ("a.xml", b"<x/>")}, {}),
        ({"score": ("a.xml", b"<x/>"), "more": ("b.xml", b"")}, {}),
        ([("score", ("a.xml", b"<x/>")), ("score", ("b.xml", b"<x/>"))], {}),
        ({"score": ("a.xml", b"<x/>")}, {"options": "{"}),
        ({"score": ("a.xml", b"<x/>")}, {"options": "[1]"}),
        ({"score": ("a.xml", b"<x/>")}, {"options": "[" * 100_000}),
        ({"score": ("a.xml", b"<x/>")}, {"options": '{"levle": "first"}'}),
        ({"score": ("a.xml", b"<x/>")}, {"options": '{"level": {"a": 1}}'}),
        ({"score": ("a.xml", b"<x/>")}, {"level": "first"}),
    ],
)  # fmt: skip
def test_forms_with_anything_else_are_refused(client: TestClient, files: object, data: dict[str, str]) -> None:
    answer = client.post("/annotate", files=files, data=data)  # type: ignore[arg-type]
    assert answer.status_code == 400
    assert answer.json()["code"] in ("bad-form", "bad-option", "unknown-option")


def test_a_broken_form_is_refused(client: TestClient) -> None:
    headers = {"Content-Type": "multipart/form-data; boundary=x"}
    for body in (b"", b"--x\r\nContent-Disposition: nothing\r\n\r\n", b"--x\r\n" + b"a" * 70_000, b"--y--"):
        assert client.post("/annotate", content=body, headers=headers).status_code == 400
    assert client.post("/annotate", content=b"a", headers={"Content-Type": "multipart/form-data"}).status_code == 400
