"""Routes that take a score: annotate, review, clean. The work is done in a planner process."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response

from ...workers import jobs
from ..answers import (
    cleaned_name,
    entity_tag,
    marked_name,
    refuse_unchanged,
    remark_headers,
    score_answer,
    summary_headers,
)
from ..openapi import review_operation, score_operation
from ..request import read_request, run_in_planner

router = APIRouter()


@router.post("/annotate", **score_operation("The score with marks, in the kind and encoding it was sent in"))
async def annotate(request: Request) -> Response:
    """Write fingerings, strings and position marks into a score.

    Everything else in the score stays as it is, byte for byte. Marks of an earlier run are replaced. A score in another
    format (ABC, Humdrum kern, MEI, MIDI, timewise MusicXML) comes back as MusicXML.
    """
    score = await read_request(request)
    tag = entity_tag("/annotate", score)
    refuse_unchanged(request, tag)
    limits = request.app.state.settings.limits
    marked = await run_in_planner(request, jobs.annotate_score, score.data, score.options, limits, score.name or "")
    headers = {"ETag": tag, **summary_headers(marked.summary), **remark_headers(marked.remarks, score.options.language)}
    return score_answer(score, marked.data, marked.kind, marked_name(score.name, marked.kind), headers)


@router.post("/review", **review_operation())
async def review(request: Request) -> Response:
    """Report where another position pays, what is left to decide, and the whole plan."""
    score = await read_request(request)
    tag = entity_tag("/review", score)
    refuse_unchanged(request, tag)
    content, summary = await run_in_planner(
        request, jobs.reviewed, score.data, score.options, request.app.state.settings.limits, score.name or ""
    )
    headers = {"ETag": tag, **summary_headers(summary)}
    return Response(content, headers=headers, media_type="application/json")


@router.post("/clean", **score_operation("The score without our marks", takes_options=False))
async def clean(request: Request) -> Response:
    """Take our marks out of a score again; it is then byte for byte what it was before."""
    score = await read_request(request, takes_options=False)
    tag = entity_tag("/clean", score)
    refuse_unchanged(request, tag)
    answer, compressed = await run_in_planner(request, jobs.cleaned, score.data, request.app.state.settings.limits)
    kind = "mxl" if compressed else "xml"
    return score_answer(score, answer, kind, cleaned_name(score.name, kind), {"ETag": tag})
