"""Parts of an answer: entity tag, file name, media type, and a summary in the headers.

The same request gives the same answer, byte for byte, so its entity tag is computed from the request, before any work.
A client that has the answer already sends its tag in If-None-Match and gets 412 for a POST (RFC 9110, 13.1.2), 304 for
a GET. Where the answer would be the very file that was sent, it is 204.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path, PurePosixPath
from urllib.parse import quote

from fastapi import Request, Response

from .. import __version__
from ..messages.message import Wording
from ..musicxml.formats.known_formats import format_of, musicxml_name
from ..naming import Language
from ..workers.jobs import Summary
from . import problems
from .request import ScoreRequest

XML = "application/vnd.recordare.musicxml+xml"
MXL = "application/vnd.recordare.musicxml"
ABC = "text/vnd.abc"
_MEDIA_TYPES = {"xml": XML, "mxl": MXL, "abc": ABC}
_ENDINGS = {"xml": ".musicxml", "mxl": ".mxl", "abc": ".abc"}
_MARKED = ".marked"
_ROOT = Path(__file__).resolve().parents[2]


@cache
def program() -> str:
    """Return a digest of this program's code and texts."""
    digest = hashlib.sha256(__version__.encode())
    for package in ("rules", "service"):
        for path in sorted((_ROOT / package).rglob("*")):
            if path.suffix in {".py", ".toml", ".po"}:
                digest.update(path.read_bytes())
    return digest.hexdigest()[:16]


def entity_tag(address: str, request: ScoreRequest) -> str:
    """Return the entity tag of the answer to a request."""
    format = format_of(request.data, request.name or "").name  # which the name may tell
    text = "\0".join((program(), address, request.options.model_dump_json(), format))
    return _quoted(hashlib.sha256(text.encode("utf-8", "replace") + b"\0" + request.data).hexdigest())


def _quoted(digest: str) -> str:
    return f'"{digest[:32]}"'


def names_tag(header: str | None, tag: str) -> bool:
    """Whether an If-None-Match header lists the tag (weak comparison, RFC 9110, 8.8.3.2)."""
    return header is not None and tag in (each.strip().removeprefix("W/") for each in header.split(","))


def refuse_unchanged(request: Request, tag: str) -> None:
    """Stop here if the client has the answer already.

    Raises:
        RequestError: it has (412).
    """
    if names_tag(request.headers.get("if-none-match"), tag):
        raise problems.unchanged(tag)


def unchanging(request: Request, content: bytes, media_type: str, headers: Mapping[str, str] | None = None) -> Response:
    """Return an answer to GET that changes with the program only; 304 if the client has it."""
    tag = _quoted(hashlib.sha256(content).hexdigest())
    headers = {"ETag": tag, "Cache-Control": "no-cache", **(headers or {})}
    if names_tag(request.headers.get("if-none-match"), tag) or request.headers.get("if-none-match", "").strip() == "*":
        return Response(status_code=304, headers=headers)
    return Response(content, headers=headers, media_type=media_type)


def score_answer(request: ScoreRequest, answer: bytes, kind: str, name: str, headers: dict[str, str]) -> Response:
    """Return a score ("xml", "mxl" or "abc") under a name; 204 if it is the very file that was sent."""
    if answer == request.data:
        return Response(status_code=204, headers=headers)
    headers = {**headers, "Content-Disposition": disposition(name), "Content-Type": _MEDIA_TYPES[kind]}
    return Response(answer, headers=headers)


def summary_headers(summary: Summary) -> dict[str, str]:
    """Return the headers that tell of an answer in short."""
    return {
        "Handframe-Parts": ",".join(quote(part, safe="") for part in summary.parts),
        "Handframe-Findings": str(summary.findings),
        "Handframe-Proposals": str(summary.proposals),
        "Handframe-Level-Needed": summary.level_needed,
        **({"Handframe-Beyond-Level": quote("; ".join(summary.beyond), safe=":;, -")} if summary.beyond else {}),
    }


def remark_headers(remarks: Sequence[str], language: Language) -> dict[str, str]:
    """Return the header with what is to be said of the file; none if there is nothing."""
    return (
        {"Handframe-Remarks": ",".join(quote(remark, safe=" ") for remark in map(Wording(language).text, remarks))}
        if remarks
        else {}
    )


def marked_name(name: str | None, kind: str) -> str:
    """Return the name of the marked copy of a file: `air.musicxml` gives `air.marked.musicxml`, `air.mid` as well."""
    path = _path(name, kind)
    return str(path) if path.stem.endswith(_MARKED) else f"{path.stem}{_MARKED}{path.suffix}"


def cleaned_name(name: str | None, kind: str) -> str:
    """Return the name of the file that a marked copy was made of."""
    path = _path(name, kind)
    return f"{path.stem.removesuffix(_MARKED) or 'score'}{path.suffix}"


def _path(name: str | None, kind: str) -> PurePosixPath:
    path = PurePosixPath(name or "score")
    if kind != "abc":
        path = PurePosixPath(musicxml_name(str(path)))
    return path if path.suffix else path.with_suffix(_ENDINGS[kind])


def disposition(name: str) -> str:
    """Return the Content-Disposition for a file name, in ASCII and, where that is not enough, encoded (RFC 6266)."""
    plain = "".join(sign if sign.isascii() and sign.isprintable() and sign not in '"\\%' else "_" for sign in name)
    header = f'attachment; filename="{plain}"'
    return header if plain == name else f"{header}; filename*=UTF-8''{quote(name, safe='')}"
