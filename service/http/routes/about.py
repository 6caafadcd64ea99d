"""Routes that tell about the service: health, version, rules, levels, problems, and the reference page."""

from __future__ import annotations

import json
from typing import Any

from fastapi import APIRouter, Request, Response

from ... import __version__
from ...messages.message import Wording
from ...reports.wire.answers import Health, LevelEntry, RuleEntry, Version
from ...reports.wire.rules_data import level_entries, rule_entries
from .. import problems
from ..accept_language import accepted_language
from ..answers import program, unchanging
from .reference_pages import STYLE, problem_page, reference_page, rules_page

router = APIRouter()
_API = 1
_HTML = "text/html; charset=utf-8"
_JSON = "application/json"


@router.get("/healthz", response_model=Health)
async def healthz(request: Request) -> dict[str, Any]:
    """Say that the service answers, and how busy it is."""
    pool = request.app.state.pool
    return {
        "status": "ok",
        "version": __version__,
        "planners": pool.size,
        "working": pool.working,
        "waiting": pool.waiting,
    }


@router.get("/version", response_model=Version)
async def version(request: Request) -> Response:
    """Say what answers here. `api` rises when a client has to change."""
    return _json(request, {"name": "handframe", "version": __version__, "api": _API, "program": program()})


@router.get("/rules", response_model=list[RuleEntry], responses={200: {"content": {"text/html": {}}}})
async def rules(request: Request) -> Response:
    """Return the catalogue of rules: as JSON, or as a page for a browser (by Accept)."""
    wording = Wording(accepted_language(request))
    entries = [entry.model_dump() for entry in rule_entries(wording)]
    answer = _page(request, rules_page(entries, wording.language)) if _wants_page(request) else _json(request, entries)
    answer.headers.add_vary_header("Accept, Accept-Language")
    answer.headers["Content-Language"] = wording.language.value
    return answer


@router.get("/levels", response_model=list[LevelEntry])
async def levels(request: Request) -> Response:
    """Return the levels: positions, kinds of shift, extensions."""
    entries = [entry.model_dump() for entry in level_entries()]
    return _json(request, entries)


@router.get("/docs", include_in_schema=False)
async def docs(request: Request) -> Response:
    """Return the reference of the service as a page."""
    return _page(request, reference_page(request.app.openapi(), problems.MEANINGS, request.app.state.settings))


@router.get("/problems/{code}", include_in_schema=False)
async def problem(request: Request, code: str) -> Response:
    """Return what a kind of fault means, as a page."""
    if code not in problems.MEANINGS:
        raise problems.not_found()
    wording = Wording(accepted_language(request))
    answer = _page(request, problem_page(code, problems.MEANINGS[code], wording))
    answer.headers.add_vary_header("Accept-Language")
    answer.headers["Content-Language"] = wording.language.value
    return answer


@router.get("/reference.css", include_in_schema=False)
async def style(request: Request) -> Response:
    """Return the style of these pages."""
    return unchanging(request, STYLE.encode(), "text/css; charset=utf-8")


def _wants_page(request: Request) -> bool:
    accepted = request.headers.get("accept", "")
    return "text/html" in accepted and not accepted.startswith(_JSON)


def _json(request: Request, content: Any) -> Response:
    return unchanging(request, json.dumps(content, ensure_ascii=False).encode(), _JSON)


def _page(request: Request, content: str) -> Response:
    return unchanging(request, content.encode(), _HTML)
