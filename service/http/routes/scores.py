"""Routes that take a score: annotate, review, clean. What they do is in `tasks`, and done in a planner process."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response

from ...workers import jobs as tasks
from ..answers import (
    cleaned_name,
    marked_name,
    refuse_unchanged,
    score_answer,
    summary_headers,
    tag_of,
)
from ..openapi import review_operation, score_operation
from ..score_request import plan, read_given

router = APIRouter()


@router.post("/annotate", **score_operation("The score with marks, in the kind and encoding it was sent in"))
async def annotate(request: Request) -> Response:
    """Write fingerings, strings and position marks into a score.

    Everything else in the score stays as it is, byte for byte. Marks of an earlier run are replaced.
    """
    given = await read_given(request)
    tag = tag_of("/annotate", given)
    refuse_unchanged(request, tag)
    marked = await plan(request, tasks.annotated, given.data, given.options, request.app.state.settings.limits)
    headers = {"ETag": tag, **summary_headers(marked.summary)}
    return score_answer(given, marked.data, marked_name(given.name, marked.compressed), headers)


@router.post("/review", **review_operation())
async def review(request: Request) -> Response:
    """Report where another position pays, what is left to decide, and the whole plan."""
    given = await read_given(request)
    tag = tag_of("/review", given)
    refuse_unchanged(request, tag)
    content, summary = await plan(request, tasks.reviewed, given.data, given.options, request.app.state.settings.limits)
    headers = {"ETag": tag, **summary_headers(summary)}
    return Response(content, headers=headers, media_type="application/json")


@router.post("/clean", **score_operation("The score without our marks", takes_options=False))
async def clean(request: Request) -> Response:
    """Take our marks out of a score again; it is then byte for byte what it was before."""
    given = await read_given(request, takes_options=False)
    tag = tag_of("/clean", given)
    refuse_unchanged(request, tag)
    answer, compressed = await plan(request, tasks.cleaned, given.data, request.app.state.settings.limits)
    return score_answer(given, answer, cleaned_name(given.name, compressed), {"ETag": tag})
