"""The page's addresses: what is served, that it suits a strict content policy, and what the stream brings."""

from __future__ import annotations

import json
import re
from itertools import groupby
from pathlib import Path
from typing import Any

import pytest
from lxml import etree, html
from starlette.testclient import TestClient

from service.config.settings import Settings
from service.http.app import create_app
from service.http.routes.page import STATIC

VENDOR = STATIC / "vendor"
MODULES = sorted(path for path in STATIC.rglob("*.js") if VENDOR not in path.parents)
FOLDERS = sorted({path.parent for path in STATIC.rglob("*")})
LONGEST, MOST_FILES = 450, 12


def lines(client: TestClient, score: bytes, **fields: str) -> list[dict[str, object]]:
    answer = client.post("/page/view", files={"score": ("a.musicxml", score)}, data=fields)
    assert answer.status_code == 200
    return [json.loads(line) for line in answer.text.splitlines()]


def plan_in(said: list[dict[str, object]]) -> dict[str, Any]:
    """Return the plan that a stream brings."""
    plan = next(line["plan"] for line in said if line["type"] == "plan")
    assert isinstance(plan, dict)
    return plan


def test_the_page_has_nothing_inline_and_nothing_from_elsewhere(client: TestClient) -> None:
    answer = client.get("/")
    assert answer.headers["content-type"].startswith("text/html")
    page = html.fromstring(answer.text)
    assert not page.xpath("//style | //*[@style] | //script[not(@src)] | //@*[starts-with(name(), 'on')]")
    for link in page.xpath("//@src | //link/@href"):
        assert link.startswith("/page/")
        assert client.get(link).status_code == 200
    policy = answer.headers["content-security-policy"]
    assert "unsafe" not in policy


def name(path: Path) -> str:
    return path.relative_to(STATIC).as_posix()


@pytest.mark.parametrize("path", MODULES, ids=name)
def test_modules_import_only_each_other_and_are_short_enough_to_read(client: TestClient, path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert client.get(f"/page/{name(path)}").headers["content-type"].startswith("text/javascript")
    for module in re.findall(r'^(?:import|export)[^;]*? from "([^"]+)";', text, flags=re.MULTILINE):
        assert module.startswith(("./", "../"))
        assert (path.parent / module).resolve() in MODULES
    assert "http://" not in text.replace("http://www.w3.org/2000/svg", "")
    assert "https://" not in text
    assert ".innerHTML" not in text
    assert len(text.splitlines()) <= LONGEST


def test_what_comes_from_others_has_its_licence_beside_it_and_evaluates_no_text() -> None:
    libraries = sorted(VENDOR.glob("*.js"))
    assert libraries
    for library in libraries:
        assert "MIT" in library.with_name(f"{library.stem}.LICENSE.txt").read_text(encoding="utf-8")
        assert not re.search(r"\beval\(|new Function|Function\(", library.read_text(encoding="utf-8"))
    assert "SIL Open Font License" in (STATIC / "fonts" / "OFL.txt").read_text(encoding="utf-8")


@pytest.mark.parametrize("folder", FOLDERS, ids=name)
def test_a_folder_of_the_page_holds_a_dozen_files_at_most(folder: Path) -> None:
    assert len([path for path in folder.iterdir() if path.is_file()]) <= MOST_FILES


def test_nothing_else_is_served(client: TestClient) -> None:
    hidden = [
        "page_data.py",
        "../page_data.py",
        "..%2fpage_data.py",
        "%2e%2e/page_data.py",
        "styles/../../page_data.py",
    ]
    tools = ["../package.json", "api/answers.d.ts", str(STATIC / "main.js")]
    for address in [*hidden, *tools, "nothing.js", "styles", "score.css"]:
        assert client.get(f"/page/{address}").status_code == 404


def test_every_sample_is_served_as_it_is(client: TestClient, sample_scores: dict[str, Path]) -> None:
    listed = client.get("/page/samples").json()
    assert {Path(entry["file"]).stem for entry in listed} == set(sample_scores)
    for entry in listed:
        answer = client.get(f"/page/samples/{entry['file']}")
        assert answer.content == sample_scores[Path(entry["file"]).stem].read_bytes()
    assert client.get("/page/samples/README.md").status_code == 404


def test_the_stream_brings_plan_pages_and_review(client: TestClient, waltz: bytes) -> None:
    said = lines(client, waltz, layout=json.dumps({"width": 1900}))
    kinds = [line["type"] for line in said]
    assert kinds == ["page"] * (len(said) - 2) + ["plan", "review"]
    plan, review = plan_in(said), said[-1]["review"]
    assert isinstance(review, dict)
    part = review["parts"][0]
    assert [row["pitch"] for row in plan["plan"]] == [row["pitch"] for row in part["plan"]]
    assert [row["finger"] for row in plan["plan"]] == [row["finger"] for row in part["plan"]]
    for excursion in plan["excursions"]:
        assert (
            excursion["proposal"] is None or part["proposals"][excursion["proposal"] - 1]["bars"] == excursion["bars"]
        )
    for line in said[:-2]:
        assert etree.fromstring(str(line["picture"]).encode()).tag.endswith("svg")


@pytest.mark.parametrize("planners", [1, 2])
def test_a_long_part_comes_in_pieces_and_its_plan_after_the_first(waltz: bytes, planners: int) -> None:
    """With one process and no queue everything is worked out in turn; the answer is the same with two."""
    measures = re.findall(rb"[ \t]*<measure .*?</measure>\s*", waltz, re.DOTALL)
    long = waltz.replace(b"".join(measures), b"".join(measures) * 4)
    assert long.count(b"<measure") > 100
    settings = Settings(planners=planners, queue=0)
    with TestClient(create_app(settings), base_url="http://127.0.0.1:8765") as client:
        said = lines(client, long, layout=json.dumps({"width": 1900}))
    numbers = [line.get("piece", line["type"]) for line in said]
    assert [number for number, _ in groupby(numbers)] == [1, "plan", 2, "review"]
    assert {line["pieces"] for line in said if line["type"] == "page"} == {2}
    assert len(plan_in(said)["bars"]) == long.count(b"<measure")


def test_what_is_kept_is_what_was_planned(client: TestClient, sample_scores: dict[str, Path]) -> None:
    score = sample_scores["reed_crossing"].read_bytes()
    plan = plan_in(lines(client, score))
    first = plan["excursions"][0]
    kept = plan_in(lines(client, score, options=json.dumps({"level": "first", "pin": first["pins"]})))
    rows = first["rows"]
    for name in ("string", "finger", "position"):
        assert [kept["plan"][row][name] for row in rows] == [plan["plan"][row][name] for row in rows]


def test_a_bad_score_is_a_problem_before_anything_is_sent(client: TestClient) -> None:
    answer = client.post("/page/view", files={"score": ("a.musicxml", b"<score-partwise><part")})
    assert answer.status_code == 400
    assert answer.headers["content-type"] == "application/problem+json"
    assert answer.json()["where"].startswith("line")


@pytest.mark.parametrize("layout", ['{"width": -1}', '{"width": "wide"}', "[]", '{"height": 1000000}'])
def test_a_layout_that_cannot_be(client: TestClient, waltz: bytes, layout: str) -> None:
    answer = client.post("/page/view", files={"score": ("a.musicxml", waltz)}, data={"layout": layout})
    assert answer.status_code == 400
    assert answer.json()["code"] == "bad-option"


def test_the_parts_of_a_score(client: TestClient, sample_scores: dict[str, Path]) -> None:
    score = sample_scores["lantern_quartet"].read_bytes()
    facts = client.post("/page/open", files={"score": ("q.musicxml", score)}).json()
    assert [part["id"] for part in facts["parts"]] == ["P1", "P2", "P3", "P4"]
    assert facts["suited"] == ["P1", "P2"]
    assert facts["kind"] == "xml"
    assert facts["converted"] is None


def test_both_forms_of_some_bars(client: TestClient, sample_scores: dict[str, Path]) -> None:
    files = {"score": ("a.musicxml", sample_scores["reed_crossing"].read_bytes())}
    both = client.post("/page/compare", files=files, data={"options": '{"measures": "9-12"}'}).json()
    assert both["home"] != both["plan"]
    assert client.post("/page/compare", files=files).json()["code"] == "bad-option"
    wrong = client.post("/page/compare", files=files, data={"options": '{"measures": "99"}'})
    assert wrong.json()["code"] == "unknown-bar"


@pytest.mark.parametrize("remarks", ['{"x": "a"}', '{"1": 2}', "[]", json.dumps({"1": "a" * 201}), '{"12345678": "a"}'])
def test_remarks_that_cannot_be(client: TestClient, waltz: bytes, remarks: str) -> None:
    answer = client.post("/page/view", files={"score": ("a.musicxml", waltz)}, data={"remarks": remarks})
    assert answer.status_code == 400
    assert answer.json()["code"] == "bad-option"


def test_a_remark_is_drawn(client: TestClient, waltz: bytes) -> None:
    said = lines(client, waltz, remarks=json.dumps({"2": "sing here"}))
    assert any("sing here" in str(line.get("picture")) for line in said)


def test_the_ways_to_take_a_note(client: TestClient, sample_scores: dict[str, Path]) -> None:
    score = sample_scores["reed_crossing"].read_bytes()
    plan = plan_in(lines(client, score))
    files = {"score": ("a.musicxml", score)}
    found = client.post("/page/note?row=5", files=files).json()["choices"]
    present = plan["plan"][5]
    assert (found[0]["string"], found[0]["finger"]) == (present["string"], present["finger"])
    assert found[0]["rise"] == 0
    dearest = max((choice for choice in found if choice["within_level"]), key=lambda choice: choice["rise"])
    assert dearest["after"]["shifts"] > dearest["before"]["shifts"]
    assert dearest["changed"].startswith("bar")
    assert client.post("/page/note?row=100000", files=files).json()["code"] == "bad-option"
    assert client.post("/page/note?row=x", files=files).status_code == 400


def test_the_report_is_text(client: TestClient, waltz: bytes) -> None:
    answer = client.post("/page/report", files={"score": ("waltz.musicxml", waltz)})
    assert answer.headers["content-type"].startswith("text/plain")
    assert "waltz.musicxml" in answer.text


def test_the_chart_has_an_address(client: TestClient) -> None:
    answer = client.get("/chart.svg", params={"position": 3, "key": "D", "notes": "2:D5"})
    assert answer.headers["content-type"] == "image/svg+xml"
    assert "chart-ring" in answer.text
    assert client.get("/chart.svg", params={"key": "H"}).json()["code"] == "bad-option"
    assert client.get("/chart.svg", params={"position": "99"}).status_code == 400
