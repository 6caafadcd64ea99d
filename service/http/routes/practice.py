"""Routes for practice: the sheet for a score, and the progressive set for a key."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from typing import Annotated, Any
from urllib.parse import parse_qsl, urlencode

from fastapi import APIRouter, Query, Request, Response

from ... import errors
from ...config.options import Options, read_options
from ...drawing.sheet_page import content_policy
from ...usecases.practice import MOST_KINDS, Paper, SheetFormat, render_practice, render_progressive
from ..answers import XML, disposition, entity_tag, refuse_unchanged, unchanging
from ..openapi import score_operation
from ..request import read_request, run_in_planner

router = APIRouter()
_OWN = {
    "proposal": ({"type": "integer", "minimum": 1}, "practise this proposal of the review only; repeatable"),
    "most": ({"type": "integer", "minimum": 0, "default": MOST_KINDS}, "kinds of shift on the sheet; 0 for all"),
    "format": ({"type": "string", "enum": [f.value for f in SheetFormat], "default": "musicxml"}, "a score or a page"),
    "paper": ({"type": "string", "enum": [p.value for p in Paper], "default": "a4"}, "what the page is cut for"),
}
"""Query parameters of these addresses besides the options of all."""


def _operation() -> dict[str, Any]:
    """The description of the address: like that of every address that takes a score, and what it has of its own."""
    operation = score_operation("The practice sheet, as a score or as a page to print")
    extra = operation["openapi_extra"]
    extra["parameters"] += [
        {"name": name, "in": "query", "schema": schema, "description": description}
        for name, (schema, description) in _OWN.items()
    ]
    answer = {"schema": {"type": "string", "format": "binary"}}
    extra["responses"].pop("204")
    headers = {name: header for name, header in extra["responses"]["200"]["headers"].items() if name == "ETag"}
    extra["responses"]["200"] |= {"headers": headers, "content": {XML: answer, "text/html": answer}}
    return operation


@router.post("/practice", **_operation())
async def practice_sheet(request: Request) -> Response:
    """Write the exercises for exactly the shifts of a part.

    Alike shifts are practised once, the commonest first. A sheet is for one part: the first that is chosen or fits.
    """
    own, stripped = _own_parameters(request)
    score = await read_request(stripped)
    form, paper = _choice("format", own, SheetFormat.MUSICXML), _choice("paper", own, Paper.A4)
    proposals = [_number("proposal", text) for text in own.get("proposal", [])]
    most = _number("most", own["most"][-1]) if "most" in own else MOST_KINDS
    tag = entity_tag("/practice?" + urlencode(sorted(own.items()), doseq=True), score)
    refuse_unchanged(request, tag)
    limits = request.app.state.settings.limits
    content = await run_in_planner(
        request, render_practice, score.data, score.options, proposals, most, form, paper, limits
    )
    name = (score.name or "score").rpartition(".")[0] or score.name or "score"
    media_type, headers = _headers(f"{name}.practice", form, paper)
    return Response(content, headers={"ETag": tag, **headers}, media_type=media_type)


@router.get("/practice/set", response_class=Response)
async def progressive_set(
    request: Request,
    key: Annotated[str, Query(max_length=4, description="key of the tunes, such as D, Bb, F#m")] = "D",
    positions: Annotated[str, Query(max_length=20, description="from 2 to 5, for example 3,2")] = "",
    instrument: Annotated[str, Query(max_length=20, description="violin or viola")] = "violin",
    language: Annotated[str, Query(max_length=5, description="words of position marks")] = "en",
    format: Annotated[SheetFormat, Query(description="a score or a page")] = SheetFormat.MUSICXML,
    paper: Annotated[Paper, Query(description="what the page is cut for")] = Paper.A4,
) -> Response:
    """Write tunes for a player who brings no piece: by position and kind of shift, easiest first."""
    texts: dict[str, list[str]] = {"instrument": [instrument], "language": [language]}
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
    return unchanging(request, content, *_headers(f"first-shifts-{key}", format, paper))


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
        if name in _OWN:
            own.setdefault(name, []).append(value)
    rest = urlencode([(name, value) for name, value in pairs if name not in _OWN])
    scope: dict[str, Any] = {**request.scope, "query_string": rest.encode()}
    return own, Request(scope, request.receive)


def _choice(name: str, own: Mapping[str, list[str]], default: Any) -> Any:
    values = own.get(name, [default.value])
    try:
        return type(default)(values[0].lower())
    except ValueError:
        possible = ", ".join(choice.value for choice in type(default))
        raise errors.bad_option(name, values[0], f"one of {possible}") from None


def _number(name: str, text: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) <= 4):
        raise errors.bad_option(name, text, "a whole number")
    return int(text)


def _headers(name: str, form: SheetFormat, paper: Paper) -> tuple[str, dict[str, str]]:
    """The media type of a sheet, and its headers."""
    if form is SheetFormat.PAGE:
        return "text/html; charset=utf-8", {"Content-Security-Policy": content_policy(paper.value)}
    return XML, {"Content-Disposition": disposition(f"{name}.musicxml")}
