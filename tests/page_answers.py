"""Answers of the service, recorded for the tests of the page's modules.

Run `python -m tests.page_answers` to record them anew after a change to what the service sends to the page.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

from starlette.testclient import TestClient

from service.config.settings import Settings
from service.http.app import create_app

ROOT = Path(__file__).resolve().parent.parent
SAMPLES = ROOT / "sample_scores"
RECORDED = ROOT / "tests" / "page" / "answers.json"
SINGLE_PART = "ferry_waltz.musicxml"
SEVERAL_PARTS = "lantern_quartet.musicxml"
UNPLAYABLE = "n0:finger=4,string=4,position=1"


def ask(client: TestClient) -> dict[str, Any]:
    """Return what the page gets: samples, facts about a score, the plan and review of another, a problem."""
    quartet = (SAMPLES / SEVERAL_PARTS).read_bytes()
    piece = (SAMPLES / SINGLE_PART).read_bytes()
    options = json.dumps({"pin": [UNPLAYABLE]})
    stream = client.post("/page/view", files={"score": (SINGLE_PART, piece)}, data={"options": options})
    lines = [json.loads(line) for line in stream.text.splitlines()]
    problem = client.post("/page/open", files={"score": ("a.musicxml", b"<score-partwise><part")}).json()
    return {
        "samples": client.get("/page/samples").json(),
        "facts": client.post("/page/open", files={"score": (SEVERAL_PARTS, quartet)}).json(),
        "plan": next(line["plan"] for line in lines if line["type"] == "plan"),
        "review": next(line["review"] for line in lines if line["type"] == "review"),
        "problem": {**problem, "request_id": "0" * 32},
    }


def types(value: Any, path: str = "") -> set[str]:
    """Return every place within JSON with its type, such as `parts[].id: text`. Null is no type of its own."""
    if isinstance(value, dict):
        return {place for name, item in value.items() for place in types(item, f"{path}.{name}")}
    if isinstance(value, list):
        return {place for item in value for place in types(item, f"{path}[]")}
    if value is None:
        return set()
    if isinstance(value, bool):
        return {f"{path}: boolean"}
    return {f"{path}: {'text' if isinstance(value, str) else 'number'}"}


def main() -> int:
    """Record the answers, each on a line."""
    with TestClient(create_app(Settings(planners=1)), base_url="http://127.0.0.1:8765") as client:
        answers = ask(client)
    lines = ",\n".join(f"{json.dumps(name)}: {json.dumps(value)}" for name, value in answers.items())
    RECORDED.write_text(f"{{\n{lines}\n}}\n", encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
