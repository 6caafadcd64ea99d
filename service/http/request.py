"""The score, the options and the file name of a request, raw or as a form; and its work, done in a planner process.

Raw: the body is the file, options stand in the query. Form: the file in the field `score`, options as a JSON object in
the field `options`; those in the query hold where the JSON says nothing. A file name only names the answer.
"""

from __future__ import annotations

import json
import re
from collections import defaultdict
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, ParamSpec, TypeVar
from urllib.parse import unquote_to_bytes

from fastapi import HTTPException, Request
from starlette.datastructures import UploadFile
from starlette.formparsers import MultiPartParser

from .. import errors
from ..config.options import Options, read_options
from ..config.settings import Settings
from ..errors import said
from ..workers.planner import PROCESS_DIED
from ..workers.pool import BusyError, Pool, TooSlowError, WorkFailedError
from . import problems
from .accept_language import accepted_language
from .log import log_event

P = ParamSpec("P")
T = TypeVar("T")
FILE_NAME = "filename"
_LONGEST_NAME = 150
_RETRY_SECONDS = 5  # sent as Retry-After
# Forms stay in memory: the limits middleware bounds their size, and nothing is written to disk.
MultiPartParser.spool_max_size = 1 << 60
_UNSAFE = re.compile(r"[\x00-\x1f\x7f-\x9f<>:\"|?*]")


@dataclass(frozen=True)
class ScoreRequest:
    """What a request brings.

    Attributes:
        data: the score file.
        options: how it is to be worked on.
        name: what the file is called, a bare name; None if nobody said.
    """

    data: bytes
    options: Options
    name: str | None


async def read_request(request: Request, takes_options: bool = True) -> ScoreRequest:
    """Return the score and the options of a request.

    Raises:
        ScoreError: a form that cannot be read, an unknown option, or one with a value it cannot have.
    """
    query: dict[str, list[str]] = defaultdict(list)
    for name, value in request.query_params.multi_items():
        query[name].append(value)
    names = query.pop(FILE_NAME, [])
    if not takes_options and query:
        raise problems.bad_form(
            said("This address takes no options, but was given {sorted}.", sorted=repr(", ".join(sorted(query))))
        )
    if request.headers.get("content-type", "").lower().startswith("multipart/form-data"):
        fields = await read_form(request, ("score",), ("options",))
        query.update(option_texts(json_object(fields.text("options"), "options")))
        data = fields.contents["score"]
        names.append(fields.file_name)
    else:
        data = await request.body()
    names += _disposition_names(request.headers.get("content-disposition", ""))
    options = read_options(query, Options(language=accepted_language(request)))
    return ScoreRequest(data, options, next(filter(None, map(bare_name, names)), None))


# -- forms -------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Form:
    """The fields of a form by name, and the name of the uploaded file."""

    contents: Mapping[str, bytes]
    file_name: str

    def text(self, field: str) -> str | None:
        """Return a field as text; None if it is not there."""
        return self.contents[field].decode("utf-8", "replace") if field in self.contents else None


async def read_form(request: Request, required: tuple[str, ...], optional: tuple[str, ...]) -> Form:
    """Return the fields of a form, each at most once.

    Raises:
        RequestError: a form that cannot be read, or has other fields.
    """
    settings: Settings = request.app.state.settings
    most = len(required) + len(optional)
    try:
        async with request.form(max_files=most, max_fields=most, max_part_size=settings.upload_bytes) as form:
            fields = [(name, value, await _content(value)) for name, value in form.multi_items()]
    except (HTTPException, KeyError, UnicodeError) as error:
        raise problems.bad_form(said("The form cannot be read.")) from error
    names = [name for name, _, _ in fields]
    if len(names) != len(set(names)) or not set(required) <= set(names) <= {*required, *optional}:
        listed = ", ".join(required)
        message = said("The form does not have one field {required}, and no other.", required=listed)
        if optional:
            message = said(
                "The form does not have one field {required} and at most one field each of {optional}, and no other.",
                required=listed,
                optional=", ".join(optional),
            )
        raise problems.bad_form(message)
    files = [value.filename or "" for name, value, _ in fields if name in required and isinstance(value, UploadFile)]
    return Form({name: content for name, _, content in fields}, "".join(files[:1]))


async def _content(value: UploadFile | str) -> bytes:
    return await value.read() if isinstance(value, UploadFile) else value.encode("utf-8", "replace")


def json_object(text: str | None, name: str) -> Mapping[str, Any]:
    """Return the object that a form field holds; a field that is not there is an empty object.

    Raises:
        ScoreError: `bad-option`, if it is no JSON object.
    """
    if text is None:
        return {}
    try:
        value = json.loads(text)
    except (ValueError, RecursionError):
        value = None
    if not isinstance(value, dict):
        raise errors.bad_option(name, text[:40], said("a JSON object"))
    return value


def option_texts(values: Mapping[str, Any]) -> dict[str, list[str]]:
    """Return options as texts by name, as `read_options` takes them; null leaves an option at its default."""
    return {
        name: [_text(item) for item in (value if isinstance(value, list) else [value])]
        for name, value in values.items()
        if value is not None and value != []
    }


def _text(value: Any) -> str:
    return str(value).lower() if isinstance(value, bool) else str(value)


# -- file names --------------------------------------------------------------------------------------------------------


def _disposition_names(header: str) -> list[str]:
    """The file names of a Content-Disposition header, the encoded one first (RFC 6266)."""
    encoded = re.search(r"filename\*\s*=\s*utf-8''([^;\s]+)", header, re.IGNORECASE)
    plain = re.search(r"filename\s*=\s*(?:\"((?:[^\"\\]|\\.)*)\"|([^;\s]+))", header, re.IGNORECASE)
    names = [unquote_to_bytes(encoded[1]).decode("utf-8", "replace")] if encoded else []
    return [*names, re.sub(r"\\(.)", r"\1", plain[1] or plain[2] or "")] if plain else names


def bare_name(name: str) -> str | None:
    """Return a name without folders and without signs that no file name has; None if nothing is left."""
    bare = _UNSAFE.sub("", name.replace("\\", "/").rpartition("/")[2]).strip(" .")
    return bare.encode("utf-8", "replace").decode()[:_LONGEST_NAME] or None


# -- work --------------------------------------------------------------------------------------------------------------


async def run_in_planner(request: Request, function: Callable[P, T], *arguments: P.args, **named: P.kwargs) -> T:
    """Return what a function of a module makes of the arguments, called in a planner process.

    Raises:
        ScoreError: what the function raised; busy or too slow (503); or a fault of ours (500), which is logged.
    """
    try:
        return await _run(request, None, function, *arguments, **named)
    except WorkFailedError:
        raise problems.our_fault() from None


async def draw_in_planner(
    request: Request, piece: int | None, function: Callable[P, T], *arguments: P.args, **named: P.kwargs
) -> T:
    """Return what a function that engraves makes of the arguments, called in a planner process.

    The same piece of a score is drawn by the same process, if it is free.

    Raises:
        ScoreError: as `run_in_planner`; `not-drawn`, if the engraver ended the process, which is logged.
    """
    try:
        return await _run(request, piece, function, *arguments, **named)
    except WorkFailedError as failure:
        raise (errors.not_drawn() if failure.kind == PROCESS_DIED else problems.our_fault()) from None


async def _run(
    request: Request, piece: int | None, function: Callable[P, T], *arguments: P.args, **named: P.kwargs
) -> T:
    pool: Pool = request.app.state.pool
    score = getattr(request.state, "score", None)
    try:
        return await pool.run_near(None if score is None else (score, piece), function, *arguments, **named)
    except BusyError:
        raise problems.busy(_RETRY_SECONDS) from None
    except TooSlowError:
        raise problems.too_slow(pool.seconds) from None
    except WorkFailedError as failure:
        log_event("fault", 40, id=request.state.request_id, kind=failure.kind, place=failure.place)
        raise
