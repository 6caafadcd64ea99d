"""Routes for practice: the sheet for a score, and the progressive set for a key."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from typing import Annotated, Any
from urllib.parse import parse_qsl, urlencode

from fastapi import APIRouter, Query, Request, Response

from ...config.options import Options, read_options
from ...config.sheet_options import LISTS, SHEET_NAMES, Paper, SheetFormat, SheetOptions, read_sheet_options
from ...drawing.sheet_page import content_policy
from ...usecases.practice import render_practice, render_progressive
from ..accept_language import accepted_language
from ..answers import XML, disposition, entity_tag, refuse_unchanged, remark_headers, unchanging
from ..openapi import score_operation
from ..request import read_request, run_in_planner

router = APIRouter()


def _operation() -> dict[str, Any]:
    """The description of the address: like that of every address that takes a score, and what it has of its own."""
    operation = score_operation("The practice sheet, as a score or as a page to print")
    extra = operation["openapi_extra"]
    extra["parameters"] += [
        {"name": name, "in": "query", "schema": schema, "description": schema.pop("description")}
        for name, schema in _own_schemas().items()
    ]
    answer = {"schema": {"type": "string", "format": "binary"}}
    extra["responses"].pop("204")
    headers = {name: header for name, header in extra["responses"]["200"]["headers"].items() if name == "ETag"}
    content = dict.fromkeys((XML, "text/html", "audio/midi"), answer)
    extra["responses"]["200"] |= {"headers": headers, "content": content}
    return operation


def _own_schemas() -> dict[str, Any]:
    """The schemas of the options of a sheet, whole in themselves."""
    whole = SheetOptions.model_json_schema()
    found = {}
    for name, schema in whole["properties"].items():
        schema |= schema.pop("anyOf", [{}])[0]
        reference = schema.pop("$ref", "").rpartition("/")[2]
        found[name] = {**whole.get("$defs", {}).get(reference, {}), **schema}
        if name in LISTS:
            text = {"type": "string", "pattern": r"^\d{1,4}(-\d{1,4})?([, ]+\d{1,4}(-\d{1,4})?)*$"}
            found[name] = text | {"description": schema["description"]}
        found[name].pop("title", None)
    return found


@router.post("/practice", **_operation())
async def practice_sheet(request: Request) -> Response:
    """Write the exercises for exactly the shifts of a part.

    Alike shifts are practised once. A sheet is for the parts that are named, or for the first that fits.
    """
    own, stripped = _own_parameters(request)
    score = await read_request(stripped)
    wanted = read_sheet_options(own)
    tag = entity_tag("/practice?" + urlencode(sorted(own.items()), doseq=True), score)
    refuse_unchanged(request, tag)
    limits = request.app.state.settings.limits
    content, remarks = await run_in_planner(
        request, render_practice, score.data, score.options, wanted, limits, score.name or ""
    )
    name = (score.name or "score").rpartition(".")[0] or score.name or "score"
    media_type, headers = _headers(f"{name}.practice", wanted.format, wanted.paper)
    return Response(
        content,
        headers={"ETag": tag, **remark_headers(remarks, score.options.language), **headers},
        media_type=media_type,
    )


@router.get("/practice/set", response_class=Response)
async def progressive_set(
    request: Request,
    key: Annotated[str, Query(max_length=4, description="key of the tunes, such as D, Bb, F#m")] = "D",
    positions: Annotated[str, Query(max_length=20, description="from 2 to 5, for example 3,2")] = "",
    instrument: Annotated[str, Query(max_length=20, description="violin or viola")] = "violin",
    language: Annotated[str, Query(max_length=5, description="without it, by Accept-Language")] = "",
    format: Annotated[SheetFormat, Query(description="a score or a page")] = SheetFormat.MUSICXML,
    paper: Annotated[Paper, Query(description="what the page is cut for")] = Paper.A4,
) -> Response:
    """Write tunes for a player who brings no piece: by position and kind of shift, easiest first."""
    texts: dict[str, list[str]] = {
        "instrument": [instrument],
        "language": [language or accepted_language(request).value],
    }
    if positions:
        texts["positions"] = [positions]
    options: Options = read_options(texts)
    wanted = tuple(sorted(options.positions or ()))
    sets: AnswerCache = request.app.state.practice_sets
    choices = (key, wanted, options.instrument, format, options.language, paper)
    content = sets.get(choices)
    if content is None:
        content = await run_in_planner(request, render_progressive, *choices)
        sets.put(choices, content)
    answer = unchanging(request, content, *_headers(f"first-shifts-{key}", format, paper))
    answer.headers.add_vary_header("Accept-Language")
    return answer


class AnswerCache:
    """A cache of the last answers, by request."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._answers: dict[Hashable, bytes] = {}

    def get(self, choices: Hashable) -> bytes | None:
        """Return a cached answer, or None."""
        answer = self._answers.pop(choices, None)
        if answer is not None:
            self._answers[choices] = answer  # now the last in order
        return answer

    def put(self, choices: Hashable, answer: bytes) -> None:
        """Keep an answer; the least recently used one makes room."""
        self._answers[choices] = answer
        if len(self._answers) > self._most:
            del self._answers[next(iter(self._answers))]


def _own_parameters(request: Request) -> tuple[Mapping[str, list[str]], Request]:
    """The query parameters of this address, and the request without them."""
    pairs = parse_qsl(request.url.query, keep_blank_values=True)
    own: dict[str, list[str]] = {}
    for name, value in pairs:
        if name in SHEET_NAMES:
            own.setdefault(name, []).append(value)
    rest = urlencode([(name, value) for name, value in pairs if name not in SHEET_NAMES])
    scope: dict[str, Any] = {**request.scope, "query_string": rest.encode()}
    return own, Request(scope, request.receive)


def _headers(name: str, form: SheetFormat, paper: Paper) -> tuple[str, dict[str, str]]:
    """The media type of a sheet, and its headers."""
    if form is SheetFormat.PAGE:
        return "text/html; charset=utf-8", {"Content-Security-Policy": content_policy(paper.value)}
    if form is SheetFormat.MIDI:
        return "audio/midi", {"Content-Disposition": disposition(f"{name}.mid")}
    return XML, {"Content-Disposition": disposition(f"{name}.musicxml")}
