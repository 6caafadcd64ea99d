"""Routes of the page: its files, the samples, the chart, and the stream with the plan and the pictures of a score."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator, Mapping
from dataclasses import dataclass, replace
from html import escape
from pathlib import Path
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Query, Request, Response
from fastapi.responses import StreamingResponse

from ... import errors
from ...config.options import Options, read_options
from ...config.settings import Settings
from ...drawing.chart import chart_of
from ...drawing.engraving import Layout, music_font
from ...errors import said
from ...messages.message import Wording
from ...messages.web_pages import DESCRIPTION, NO_SCRIPT
from ...naming import Language
from ...web import page_data
from ...web.page_texts import page_translations
from .. import problems
from ..accept_language import accepted_language
from ..answers import unchanging
from ..middleware.headers_and_log import frame_headers
from ..request import draw_in_planner, json_object, option_texts, read_form, run_in_planner

_WEB = Path(__file__).parents[2] / "web"
STATIC = _WEB / "static"
_SAMPLES = (_WEB / "sample_scores", _WEB.parents[1] / "sample_scores")
_KINDS = {
    ".html": "text/html",
    ".css": "text/css",
    ".js": "text/javascript",
    ".svg": "image/svg+xml",
    ".woff2": "font/woff2",
}
_MUSIC = {".musicxml": "application/vnd.recordare.musicxml+xml", ".mxl": "application/vnd.recordare.musicxml"}
_WORTH_STRETCHING = 0.4  # how full a line has to be to be stretched to the width
_LONGEST_REMARK, _MOST_REMARKS, _DIGITS = 200, 500, 7
_LINES = "application/x-ndjson"

router = APIRouter()


@router.get("/", include_in_schema=False)
async def page(request: Request) -> Response:
    """Return the page, in the language that the browser asks for as long as the player has not chosen one there."""
    language = accepted_language(request)
    text = (STATIC / "index.html").read_text(encoding="utf-8")
    text = text.replace('<html lang="en">', f'<html lang="{language}">', 1)
    for message in (DESCRIPTION, NO_SCRIPT):
        text = text.replace(message.text, escape(Wording(language).say(message)), 1)
    answer = unchanging(request, text.encode(), "text/html")
    answer.headers.add_vary_header("Accept-Language")
    return answer


@router.get("/embed", include_in_schema=False)
async def embedded_page(request: Request) -> Response:
    """Return the page for a frame on a page of the listed origins; not found if none is listed."""
    origins = request.app.state.settings.frame_origins
    if not origins:
        raise problems.not_found()
    request.state.policy_headers = frame_headers(origins)
    return await page(request)


@router.get("/page/texts/{language}.json", include_in_schema=False)
async def texts(request: Request, language: str) -> Response:
    """Return the texts and the names of notes of a language."""
    if language not in list(Language):
        raise problems.not_found()
    return unchanging(request, page_translations(Language(language)), "application/json")


@router.get("/favicon.ico", include_in_schema=False)
async def icon(request: Request) -> Response:
    """Return the mark of the page to browsers that ask for it by its old name."""
    return _file(request, STATIC / "mark.svg")


@router.get("/page/samples", include_in_schema=False)
async def samples() -> list[dict[str, str]]:
    """Return the sample scores."""
    return [{"file": path.name, "title": path.stem.replace("_", " ").capitalize()} for path in _sample_files()]


@router.get("/page/samples/{file}", include_in_schema=False)
async def sample(request: Request, file: str) -> Response:
    """Return one sample score."""
    return _file(request, {path.name: path for path in _sample_files()}.get(file))


def _sample_files() -> list[Path]:
    folder = next((folder for folder in _SAMPLES if folder.is_dir()), None)
    return sorted(path for path in folder.iterdir() if path.suffix in _MUSIC) if folder else []


@router.get("/page/{name:path}", include_in_schema=False)
async def asset(request: Request, name: str) -> Response:
    """Return a file of the page."""
    if name == "music.woff2":
        return Response(music_font(), media_type="font/woff2", headers={"Cache-Control": "max-age=86400"})
    return _file(request, page_files().get(name))


def _file(request: Request, path: Path | None) -> Response:
    """A file of ours; not found if there is none."""
    if path is None:
        raise problems.not_found()
    return unchanging(request, path.read_bytes(), {**_KINDS, **_MUSIC}[path.suffix])


def page_files() -> dict[str, Path]:
    """Return the files of the page by their address below /page/, such as `styles/score.css`."""
    return {path.relative_to(STATIC).as_posix(): path for path in STATIC.rglob("*") if path.suffix in _KINDS}


@router.get("/chart.svg", response_class=Response, responses={200: {"content": {"image/svg+xml": {}}}})
async def chart(
    request: Request,
    position: Annotated[int, Query(description="0 is half position", ge=0, le=18)] = 1,
    key: Annotated[str, Query(description="such as D, Bb, F#m")] = "C",
    instrument: Literal["violin", "viola"] = "violin",
    language: Annotated[Language | None, Query(description="without it, by Accept-Language")] = None,
    notes: Annotated[str, Query(description="notes to ring, as string:pitch, such as 2:D5,1:A5", max_length=4000)] = "",
) -> Response:
    """Return the fingerboard in a position and key: where every finger falls, and where else its notes lie."""
    drawing = chart_of(position, key, instrument, language or accepted_language(request), notes)
    headers = {"Cache-Control": "max-age=3600", "Vary": "Accept-Language"}
    return Response(drawing, media_type="image/svg+xml", headers=headers)


@router.post("/page/open", include_in_schema=False)
async def open_score(request: Request) -> dict[str, Any]:
    """Return what is in a score; another format than MusicXML is converted, and the result is sent along."""
    view = await _read(request)
    return await run_in_planner(request, page_data.opened, view.data, view.name, view.options, view.settings.limits)


@router.post("/page/view", include_in_schema=False)
async def planned(request: Request) -> StreamingResponse:
    """Return JSON lines: the pages of one part in reading order, its plan after the first of them, then the review."""
    view = await _read(request)
    limits, paged = view.settings.limits, view.layout.height > 0
    music = await run_in_planner(request, page_data.begun_music, view.data, view.options, limits, paged, view.remarks)
    return StreamingResponse(_lines(request, view, music), media_type=_LINES)


async def _lines(request: Request, view: _ViewRequest, music: page_data.BegunMusic) -> AsyncIterator[str]:
    count = music.piece_count
    work = _Work(request, view, music)
    try:
        work.go_on(0)
        for number in range(1, count + 1):
            pictures = await work.draw(number - 1)
            work.go_on(number)
            for picture in pictures:
                line = {"type": "page", "piece": number, "pieces": count, "picture": picture}
                yield json.dumps(line, ensure_ascii=False) + "\n"
            if number == 1:
                yield f'{{"type":"plan","plan":{await work.plan()}}}\n'
        yield f'{{"type":"review","review":{await work.review()}}}\n'
    except errors.ScoreError as error:  # the answer has begun: the fault has to come in it
        wording = Wording(view.options.language)
        texts = {"detail": error.message, "where": error.where, "advice": error.advice}
        fault = {name: text and wording.text(text) for name, text in texts.items()} | {"code": error.code}
        yield json.dumps({"type": "fault", "fault": fault}, ensure_ascii=False) + "\n"
    finally:
        work.stop()


class _Work:
    """What is worked out for one view, in planner processes."""

    def __init__(self, request: Request, view: _ViewRequest, music: page_data.BegunMusic) -> None:
        self._request, self._view, self._music = request, view, music
        self._scores = music.scores
        self._drawing: dict[int, asyncio.Task[list[str]]] = {}
        self._plan: asyncio.Task[str] | None = None
        self._review: asyncio.Task[str] | None = None
        self._in_parallel = request.app.state.pool.size > 1

    def go_on(self, number: int) -> None:
        """Begin what is worked out while the pages of the pieces up to a number are sent.

        Nothing holds the music up. With a process of their own the plan is written while the first piece is drawn, and
        the review begins when its pages are there. Else the plan waits for these pages, and the review for all.
        """
        count = self._music.piece_count
        if number < count and (self._in_parallel or number != 1):
            self.draw(number)
        if self._in_parallel or number == 1:
            self.plan()
        if number and (self._in_parallel or number == count > 1):
            self.review()

    def draw(self, number: int) -> asyncio.Task[list[str]]:
        """Begin to draw a piece of the score, or return the work that was begun."""
        if number not in self._drawing:
            self._drawing[number] = asyncio.create_task(self._drawn(number))
        return self._drawing[number]

    async def _drawn(self, number: int) -> list[str]:
        layout = self._view.layout
        if number + 1 < self._music.piece_count:  # the last line of the piece is not the last of the part
            layout = replace(layout, stretched=_WORTH_STRETCHING)
        score = self._scores[number] if number < len(self._scores) else (await self._all_scores())[number]
        return await draw_in_planner(self._request, number, page_data.drawn, score, layout, number + 1)

    async def _all_scores(self) -> list[str]:
        """All pieces, cut when the first of those that were not yet is wanted; one piece begins after the other."""
        view, limits = self._view, self._view.settings.limits
        music = await run_in_planner(
            self._request, page_data.marked_music, view.data, view.options, limits, view.layout.height > 0, view.remarks
        )
        self._scores = music.scores
        return music.scores

    def plan(self) -> asyncio.Task[str]:
        """Begin to write the plan down, or return the work that was begun."""
        if self._plan is None:
            view = self._view
            work = run_in_planner(
                self._request, page_data.plan_text, view.data, view.options, view.settings.limits, self._music.added
            )
            self._plan = asyncio.create_task(work)
        return self._plan

    def review(self) -> asyncio.Task[str]:
        """Begin the review, or return the one that was begun."""
        if self._review is None:
            view = self._view
            work = run_in_planner(self._request, page_data.reviewed, view.data, view.options, view.settings.limits)
            self._review = asyncio.create_task(work)
        return self._review

    def stop(self) -> None:
        """Let go of everything that is not done."""
        for task in (*self._drawing.values(), self._plan, self._review):
            if task is not None:
                task.cancel()


@router.post("/page/compare", include_in_schema=False)
async def compare(request: Request) -> dict[str, list[Any]]:
    """Return the bars named in `measures` as pictures of two forms: in first position, and as planned."""
    view = await _read(request)
    measures = view.options.measures
    if measures is None:
        raise errors.bad_option("measures", "", said("the bars to compare, for example 5-8"))
    limits = view.settings.limits
    return await draw_in_planner(
        request, None, page_data.compared, view.data, view.options, measures, view.layout, limits
    )


@router.post("/page/note", include_in_schema=False)
async def note(
    request: Request, row: Annotated[int, Query(description="row of the plan", ge=0, le=10_000_000)]
) -> dict[str, Any]:
    """Return the ways to take one note, and what each costs nearby."""
    view = await _read(request)
    limits = view.settings.limits
    return await run_in_planner(request, page_data.choices, view.data, view.options, row, limits)


@router.post("/page/report", include_in_schema=False)
async def report(request: Request) -> Response:
    """Return the review as plain text."""
    view = await _read(request)
    text = await run_in_planner(request, page_data.reported, view.data, view.options, view.name, view.settings.limits)
    return Response(text, media_type="text/plain; charset=utf-8")


@dataclass(frozen=True)
class _ViewRequest:
    data: bytes
    name: str
    options: Options
    layout: Layout
    settings: Settings
    remarks: dict[int, str]


async def _read(request: Request) -> _ViewRequest:
    """Read the form: `score` (a file), `options`, `layout` and `remarks` (JSON)."""
    form = await read_form(request, ("score",), ("options", "layout", "remarks"))
    given = option_texts(json_object(form.text("options"), "options"))
    options = read_options(given, Options(language=accepted_language(request)))
    layout = _layout(json_object(form.text("layout"), "layout"))
    remarks = _remarks(json_object(form.text("remarks"), "remarks"))
    request.state.score = hash(form.contents["score"])  # whoever worked on it remembers it
    return _ViewRequest(form.contents["score"], form.file_name, options, layout, request.app.state.settings, remarks)


def _remarks(values: Mapping[str, Any]) -> dict[int, str]:
    """What a teacher has written at notes, by rows of the plan."""
    found: dict[int, str] = {}
    for row, text in values.items():
        if not (row.isascii() and row.isdigit() and len(row) <= _DIGITS and isinstance(text, str)):
            raise errors.bad_option("remarks", f"{row}: {text}", said("texts by row of the plan"))
        if len(text) > _LONGEST_REMARK or len(found) >= _MOST_REMARKS:
            raise errors.bad_option(
                "remarks",
                text[:40],
                said(
                    "{MOST_REMARKS} texts of {LONGEST_REMARK} characters",
                    MOST_REMARKS=_MOST_REMARKS,
                    LONGEST_REMARK=_LONGEST_REMARK,
                ),
            )
        found[int(row)] = text
    return found


def _layout(values: Mapping[str, Any]) -> Layout:
    numbers = {}
    for name, most in (("width", 20_000), ("height", 20_000), ("margin", 1000)):
        value = values.get(name, getattr(Layout(), name))
        if not isinstance(value, int) or not 0 <= value <= most:
            raise errors.bad_option(name, str(value), said("a whole number from 0 to {most}", most=most))
        numbers[name] = value
    return Layout(numbers["width"], numbers["height"], numbers["margin"])
