"""The HTTP door: routes only; what they do is in `annotate`, how faults look is RFC 9457 problem details."""

from __future__ import annotations

from collections import defaultdict
from typing import Any

from fastapi import FastAPI, Request, Response
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import JSONResponse

from rules import LEVELS, all_rules

from . import __version__, errors
from .annotate import annotate, clean, review_score
from .errors import ScoreError
from .form import json_object, option_texts
from .options import Options, read_options
from .reports.review_json import review_data
from .web.routes import router as page_router

XML = "application/vnd.recordare.musicxml+xml"
MXL = "application/vnd.recordare.musicxml"


def create_app() -> FastAPI:
    """Return the application; it keeps nothing between requests."""
    app = FastAPI(title="handframe", version=__version__, summary="Left-hand plans for string parts in MusicXML.")
    app.add_exception_handler(ScoreError, _problem)

    @app.post("/annotate")
    async def annotate_score(request: Request) -> Response:
        """Return the score with fingerings, strings and positions."""
        data, options = await _given(request)
        answer = await run_in_threadpool(annotate, data, options)
        return Response(answer.data, media_type=MXL if answer.document.kind == "mxl" else XML)

    @app.post("/review")
    async def review(request: Request) -> dict[str, Any]:
        """Return proposals, findings and the plan of every chosen part."""
        data, options = await _given(request)
        return review_data(await run_in_threadpool(review_score, data, options))

    @app.post("/clean")
    async def clean_score(request: Request) -> Response:
        """Return the score without our marks, byte for byte as it was."""
        data, _ = await _given(request)
        cleaned = await run_in_threadpool(clean, data)
        return Response(cleaned, media_type=MXL if cleaned[:2] == b"PK" else XML)

    @app.get("/healthz")
    async def healthz() -> dict[str, str]:
        """Say that the service answers."""
        return {"status": "ok", "version": __version__}

    @app.get("/rules")
    async def rules() -> list[dict[str, Any]]:
        """Return the catalogue of rules."""
        return [
            {
                "id": rule.id,
                "title": rule.title,
                "rationale": rule.rationale,
                "outcomes": {
                    code: {"sentence": o.sentence, "severity": o.severity.word} for code, o in rule.outcomes.items()
                },
            }
            for rule in all_rules()
        ]

    @app.get("/levels")
    async def levels() -> list[dict[str, Any]]:
        """Return the levels: positions, kinds of shift, extensions."""
        return [
            {
                "name": level.name,
                "summary": level.summary,
                "positions": sorted(level.positions),
                "shifts": sorted(kind.value for kind in level.shifts),
                "extensions": level.extensions,
            }
            for level in LEVELS.values()
        ]

    app.include_router(page_router)
    return app


async def _given(request: Request) -> tuple[bytes, Options]:
    """The score and the options: a raw body with a query, or a form with `score` and `options` (JSON)."""
    query: dict[str, list[str]] = defaultdict(list)
    for name, value in request.query_params.multi_items():
        query[name].append(value)
    if not request.headers.get("content-type", "").startswith("multipart/form-data"):
        return await request.body(), read_options(query)
    form = await request.form()
    score = form.get("score")
    if score is None:
        raise errors.ScoreError(
            "no-score", "The form has no field score.", "Send the file in the field score.", None, 400
        )
    data = score.encode() if isinstance(score, str) else await score.read()
    query.update(option_texts(json_object(form.get("options"), "options")))
    return data, read_options(query)


def _problem(_request: Request, error: Exception) -> JSONResponse:
    assert isinstance(error, ScoreError)
    body = {
        "type": f"/problems/{error.code}",
        "title": error.message,
        "status": error.status,
        "detail": error.advice,
        "where": error.where,
        "code": error.code,
    }
    return JSONResponse(body, error.status, media_type="application/problem+json")
