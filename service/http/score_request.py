"""What a request brings: the score, the options, a name for the answer; raw or as a form.

Raw: the body is the file, options stand in the query. Form: the file in the field `score`, options as a JSON object in
the field `options`; those in the query hold where the JSON says nothing. No name that a request brings is ever
opened: it only names the answer. What does not belong here: what an option means (see `options`).
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass
from typing import ParamSpec, TypeVar
from urllib.parse import unquote_to_bytes

from fastapi import HTTPException, Request
from starlette.datastructures import UploadFile
from starlette.formparsers import MultiPartParser

from ..config.options import Options, read_options
from ..config.settings import Settings
from ..workers.pool import BusyError, Pool, TooSlowError, WorkFailedError
from . import problems
from .form import json_object, option_texts
from .log import note

P = ParamSpec("P")
T = TypeVar("T")
FILE_NAME = "filename"
_LONGEST_NAME = 150
_SOON = 5  # seconds after which a busy service is worth asking again
# Forms stay in memory, whoever reads them: their size is bounded by the gate, and nothing is written to disk.
MultiPartParser.spool_max_size = 1 << 60
_UNSAFE = re.compile(r"[\x00-\x1f\x7f-\x9f<>:\"|?*]")


@dataclass(frozen=True)
class Given:
    """What a request brings.

    Attributes:
        data: the score file.
        options: how it is to be worked on.
        name: what the file is called, a bare name; None if nobody said.
    """

    data: bytes
    options: Options
    name: str | None


async def read_given(request: Request, takes_options: bool = True) -> Given:
    """Return the score and the options of a request.

    Raises:
        ScoreError: a form that cannot be read, an unknown option, or one with a value it cannot have.
    """
    query: dict[str, list[str]] = defaultdict(list)
    for name, value in request.query_params.multi_items():
        query[name].append(value)
    names = query.pop(FILE_NAME, [])
    if not takes_options and query:
        raise problems.bad_form(f"This address takes no options, but was given {', '.join(sorted(query))!r}.")
    if request.headers.get("content-type", "").lower().startswith("multipart/form-data"):
        data, listed, uploaded = await _form(request)
        query.update(listed)
        names += uploaded
    else:
        data = await request.body()
    names += _disposed(request.headers.get("content-disposition", ""))
    return Given(data, read_options(query), next(filter(None, map(bare_name, names)), None))


async def _form(request: Request) -> tuple[bytes, dict[str, list[str]], list[str]]:
    settings: Settings = request.app.state.settings
    limit = settings.upload_bytes
    try:
        async with request.form(max_files=2, max_fields=2, max_part_size=limit) as form:
            fields = [
                (name, value.filename if isinstance(value, UploadFile) else "") for name, value in form.multi_items()
            ]
            contents = {name: await _content(value) for name, value in form.items()}
    except (HTTPException, KeyError, UnicodeError) as error:
        raise problems.bad_form("The form cannot be read.") from error
    if sorted(name for name, _ in fields) not in (["score"], ["options", "score"]):
        raise problems.bad_form("The form does not have one field score and at most one field options, and no other.")
    text = contents["options"].decode("utf-8", "replace") if "options" in contents else None
    return contents["score"], option_texts(json_object(text, "options")), [dict(fields)["score"] or ""]


async def _content(value: UploadFile | str) -> bytes:
    return await value.read() if isinstance(value, UploadFile) else value.encode("utf-8", "replace")


def _disposed(header: str) -> list[str]:
    """The file names of a Content-Disposition header, the encoded one first (RFC 6266)."""
    encoded = re.search(r"filename\*\s*=\s*utf-8''([^;\s]+)", header, re.IGNORECASE)
    plain = re.search(r"filename\s*=\s*(?:\"((?:[^\"\\]|\\.)*)\"|([^;\s]+))", header, re.IGNORECASE)
    found = [unquote_to_bytes(encoded[1]).decode("utf-8", "replace")] if encoded else []
    return [*found, re.sub(r"\\(.)", r"\1", plain[1] or plain[2] or "")] if plain else found


def bare_name(name: str) -> str | None:
    """Return a name without folders and without signs that no file name has; None if nothing is left."""
    bare = _UNSAFE.sub("", name.replace("\\", "/").rpartition("/")[2]).strip(" .")
    return bare.encode("utf-8", "replace").decode()[:_LONGEST_NAME] or None


async def plan(request: Request, function: Callable[P, T], *arguments: P.args, **named: P.kwargs) -> T:
    """Return what a function of a module makes of the arguments, called in a planner process.

    Raises:
        ScoreError: what the function raised; busy or too slow (503); or a fault of ours (500), which is logged.
    """
    pool: Pool = request.app.state.pool
    try:
        return await pool.run(function, *arguments, **named)
    except BusyError:
        raise problems.busy(_SOON) from None
    except TooSlowError:
        raise problems.too_slow(pool.seconds) from None
    except WorkFailedError as failure:
        note("fault", 40, id=request.state.request_id, kind=failure.kind, place=failure.place)
        raise problems.our_fault() from None
