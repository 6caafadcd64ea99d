"""Routes of the page: its files, the samples, and one stream that brings the plan and the pictures of a score."""

from __future__ import annotations

import base64
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from fastapi import APIRouter, Request, Response
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import FileResponse, StreamingResponse

from .. import errors
from ..annotate import review_score
from ..engraving import Layout, music_font
from ..form import json_object, option_texts
from ..options import Options, read_options
from ..reports.text import text_report
from .view import View, compared, open_view, score_facts, view_data, view_pages

STATIC = Path(__file__).parent / "static"
_SAMPLES = (Path(__file__).parent / "sample_scores", Path(__file__).parents[2] / "sample_scores")
_KINDS = {".html": "text/html", ".css": "text/css", ".js": "text/javascript", ".svg": "image/svg+xml"}
_MUSIC = {".musicxml": "application/vnd.recordare.musicxml+xml", ".mxl": "application/vnd.recordare.musicxml"}
_FRESH = {"Cache-Control": "no-cache"}
_LINES = "application/x-ndjson"

router = APIRouter(include_in_schema=False)


@router.get("/")
async def page() -> FileResponse:
    """Return the page."""
    return FileResponse(STATIC / "index.html", media_type="text/html", headers=_FRESH)


@router.get("/page/{name}.{ending}")
async def asset(name: str, ending: str) -> Response:
    """Return a file of the page."""
    if (name, ending) == ("music", "woff2"):
        return Response(music_font(), media_type="font/woff2", headers={"Cache-Control": "max-age=86400"})
    known = {path.name: path for path in STATIC.iterdir() if path.suffix in _KINDS}
    path = known.get(f"{name}.{ending}")
    if path is None:
        return Response(status_code=404)
    return FileResponse(path, media_type=_KINDS[path.suffix], headers=_FRESH)


@router.get("/page/samples")
async def samples() -> list[dict[str, str]]:
    """Return the sample scores."""
    return [{"file": path.name, "title": path.stem.replace("_", " ").capitalize()} for path in _sample_files()]


@router.get("/page/samples/{file}")
async def sample(file: str) -> Response:
    """Return one sample score."""
    for path in _sample_files():
        if path.name == file:
            return FileResponse(path, media_type=_MUSIC[path.suffix], headers=_FRESH)
    return Response(status_code=404)


def _sample_files() -> list[Path]:
    folder = next((folder for folder in _SAMPLES if folder.is_dir()), None)
    return sorted(path for path in folder.iterdir() if path.suffix in _MUSIC) if folder else []


@router.post("/page/open")
async def open_score(request: Request) -> dict[str, Any]:
    """Return what is in a score; another format than MusicXML is converted, and the result is sent along."""
    given = await _given(request)
    return await run_in_threadpool(_opened, given)


def _opened(given: _Given) -> dict[str, Any]:
    data, converted = given.data, None
    if _is_other_format(data, given.name):
        from ..other_formats import to_musicxml

        data = to_musicxml(data, given.name)
        converted = base64.b64encode(data).decode("ascii")
    return {**score_facts(data, given.options.instrument), "converted": converted}


def _is_other_format(data: bytes, name: str) -> bool:
    """ABC begins with a field, Humdrum kern with an exclusive interpretation; MusicXML with a tag or as an archive."""
    start = data.lstrip(b"\xef\xbb\xbf \t\r\n")
    if start[:1] == b"<" or data[:2] in (b"PK", b"\xff\xfe", b"\xfe\xff"):
        return False
    return Path(name).suffix.lower() in {".abc", ".krn"} or start[:2] in (b"X:", b"%a", b"T:", b"K:", b"**", b"!!")


@router.post("/page/view")
async def view(request: Request) -> StreamingResponse:
    """Return JSON lines: first the plan of the part, then its pages one by one, in reading order."""
    given = await _given(request)
    opened = await run_in_threadpool(open_view, given.data, given.options)
    return StreamingResponse(_lines(opened, given.layout), media_type=_LINES, headers={"Cache-Control": "no-store"})


def _lines(opened: View, layout: Layout) -> Iterator[str]:
    yield json.dumps({"type": "plan", "plan": view_data(opened)}, ensure_ascii=False) + "\n"
    for number, picture in enumerate(view_pages(opened, layout), start=1):
        yield json.dumps({"type": "page", "number": number, "picture": picture}, ensure_ascii=False) + "\n"
    yield json.dumps({"type": "end"}) + "\n"


@router.post("/page/compare")
async def compare(request: Request) -> dict[str, list[str]]:
    """Return the bars named in `measures` as two pictures: in first position, and as planned."""
    given = await _given(request)
    measures = given.options.measures
    if measures is None:
        raise errors.bad_option("measures", "", "the bars to compare, for example 5-8")

    def pictures() -> dict[str, list[str]]:
        return compared(open_view(given.data, given.options), measures, given.layout)

    return await run_in_threadpool(pictures)


@router.post("/page/report")
async def report(request: Request) -> Response:
    """Return the review as plain text."""
    given = await _given(request)
    parts = await run_in_threadpool(review_score, given.data, given.options)
    return Response(text_report(given.name, parts), media_type="text/plain; charset=utf-8")


@dataclass(frozen=True)
class _Given:
    data: bytes
    name: str
    options: Options
    layout: Layout


async def _given(request: Request) -> _Given:
    """Read the form: `score` (a file), `options` and `layout` (JSON)."""
    form = await request.form()
    score = form.get("score")
    if score is None:
        raise errors.empty()
    data = score.encode() if isinstance(score, str) else await score.read()
    name = "" if isinstance(score, str) else score.filename or ""
    options = read_options(option_texts(json_object(form.get("options"), "options")))
    return _Given(data, name, options, _layout(json_object(form.get("layout"), "layout")))


def _layout(values: Mapping[str, Any]) -> Layout:
    numbers = {}
    for name, most in (("width", 20_000), ("height", 20_000), ("margin", 1000)):
        value = values.get(name, getattr(Layout(), name))
        if not isinstance(value, int) or not 0 <= value <= most:
            raise errors.bad_option(name, str(value), f"a whole number from 0 to {most}")
        numbers[name] = value
    return Layout(**numbers)
