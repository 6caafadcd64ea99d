"""Faults as problem details (RFC 9457): the answer, the faults that only HTTP knows, and what every code means."""

from __future__ import annotations

import json
from collections.abc import Mapping

from starlette.responses import Response

from ..errors import ScoreError, said
from ..messages.message import Message, Wording

MEDIA_TYPE = "application/problem+json"
_SPLIT = said("Send one movement or one part at a time.")


class RequestError(ScoreError):
    """An error that is answered with problem details and these headers."""

    def __init__(
        self,
        code: str,
        message: str,
        advice: str,
        status: int,
        headers: Mapping[str, str] | None = None,
        where: str | None = None,
    ) -> None:
        super().__init__(code, message, advice, where, status)
        self.headers = dict(headers or {})


def problem(error: ScoreError, request_id: str | None = None, wording: Wording | None = None) -> Response:
    """Return the answer that tells of a fault, in the language of the wording; in English without one."""
    said_in = {"Content-Language": wording.language.value} if wording else {}
    headers = {"Cache-Control": "no-store", **said_in, **getattr(error, "headers", {})}
    content = json.dumps(problem_details(error, request_id, wording), ensure_ascii=False)
    return Response(content, error.status, headers, media_type=MEDIA_TYPE)


def problem_details(error: ScoreError, request_id: str | None, wording: Wording | None = None) -> dict[str, str | int]:
    """Return the members of a problem."""
    wording = wording or Wording()
    body: dict[str, str | int] = {
        "type": f"/problems/{error.code}",
        "title": error.code.replace("-", " ").capitalize(),
        "status": error.status,
        "detail": wording.text(error.message),
        "advice": wording.text(error.advice),
        "code": error.code,
    }
    if error.where:
        body["where"] = wording.text(error.where)
    if request_id:
        body["request_id"] = request_id
    return body


# -- who may ask -------------------------------------------------------------------------------------------------------


def cross_site() -> RequestError:
    """A request from a page of another site that is not a followed link to a page."""
    return RequestError(
        "cross-site",
        said("Other sites may not make a browser call this service."),
        said("Open the address itself, or call it from a page of a listed origin (--origins)."),
        403,
    )


def wrong_host() -> RequestError:
    """An unknown Host header, as DNS rebinding sends it (RFC 9110, 15.5.20)."""
    return RequestError(
        "wrong-host",
        said("This service does not answer to that host name."),
        said("Use 127.0.0.1 or localhost, or start the service with --hosts and the name."),
        421,
    )


def foreign_origin() -> RequestError:
    """A page of another origin that is not listed."""
    return RequestError(
        "foreign-origin",
        said("Pages of this origin may not call this service."),
        said("Start the service with --origins and the origin, for example --origins https://editor.example."),
        403,
    )


# -- too much, too slow ------------------------------------------------------------------------------------------------


def busy(seconds: int) -> RequestError:
    """Every planner works and enough requests wait."""
    return RequestError("busy", said("The service is busy."), said("Try again."), 503, {"Retry-After": str(seconds)})


def too_much_held(seconds: int) -> RequestError:
    """The requests being worked on fill the memory that is set aside for them."""
    return RequestError(
        "too-much-held",
        said("The service is holding as much as it may."),
        said("Try again."),
        503,
        {"Retry-After": str(seconds)},
    )


def too_many_requests(limit: int) -> RequestError:
    """One address asks too much at once."""
    return RequestError(
        "too-many-requests",
        said("More than {limit} requests at once come from this address.", limit=limit),
        said("Wait for answers before sending more."),
        429,
        {"Retry-After": "1"},
    )


def too_slow(seconds: float) -> RequestError:
    """The work was stopped at the deadline."""
    return RequestError(
        "too-slow",
        said("The work took longer than {seconds} seconds and was stopped.", seconds=f"{seconds:g}"),
        said("Send one movement or one part at a time. If the service is yours, start it with more --seconds."),
        503,
        {"Retry-After": "60"},
    )


def body_too_large(limit: int) -> RequestError:
    """More bytes than any request may have."""
    return RequestError("too-large", said("The request is larger than {limit} bytes.", limit=f"{limit:,}"), _SPLIT, 413)


def body_too_slow(seconds: float) -> RequestError:
    """The request did not arrive in time."""
    return RequestError(
        "request-timeout",
        said("The request did not arrive within {seconds} seconds.", seconds=f"{seconds:g}"),
        said("Send it again, without pauses."),
        408,
        {"Connection": "close"},
    )


# -- not understood ----------------------------------------------------------------------------------------------------


def packed_request() -> RequestError:
    """A compressed request body."""
    return RequestError(
        "content-encoding",
        said("Compressed requests are not accepted."),
        said("Send the file as it is, without Content-Encoding; .mxl is compressed already."),
        415,
        {"Accept-Encoding": "identity"},
    )


def bad_form(reason: str) -> RequestError:
    """A form that cannot be read, or has other fields."""
    return RequestError("bad-form", reason, said("Send the file in the field score, options as JSON in options."), 400)


def bad_query(where: str | None = None) -> RequestError:
    """A query or path with a value that it cannot have; `where` names it."""
    message = said("The request has a value that it cannot have.")
    return RequestError("bad-request", message, said("See /docs for the values."), 400, where=where)


def not_http() -> RequestError:
    """Bytes that are no HTTP request."""
    message = said("This is not a valid HTTP request.")
    return RequestError("bad-request", message, said("See /docs."), 400, {"Connection": "close"})


def not_found() -> RequestError:
    """No such address."""
    return RequestError(
        "not-found", said("There is nothing at this address."), said("See /docs for all addresses."), 404
    )


def wrong_method(allowed: str) -> RequestError:
    """An address that does not take this method."""
    return RequestError(
        "method-not-allowed",
        said("This address does not take that method."),
        said("Use {allowed}.", allowed=allowed),
        405,
        {"Allow": allowed},
    )


def unchanged(tag: str) -> RequestError:
    """If-None-Match named the very answer: for POST, RFC 9110 (13.1.2) wants 412."""
    return RequestError(
        "unchanged",
        said("The answer would be the one that you have already."),
        said("Keep it."),
        412,
        {"ETag": tag},
    )


def our_fault() -> RequestError:
    """Anything that should not happen."""
    return RequestError(
        "internal",
        said("Something went wrong here, and nothing was changed."),
        said("Please report it with the request id."),
        500,
    )


MEANINGS: Mapping[str, Message] = {
    "bad-archive": Message("A .mxl that cannot be opened."),
    "bad-attributes": Message("Attributes of a bar, such as divisions or the clef, that cannot be read."),
    "bad-duration": Message("A duration that cannot be read or is negative."),
    "bad-form": Message("A form that cannot be read, or has other fields."),
    "bad-hand": Message(
        "A fingering hand that is no TOML, names a scale that there is not, or has a value out of bounds."
    ),
    "bad-option": Message("An option with a value that it cannot have."),
    "bad-pitch": Message("A pitch that cannot be read."),
    "bad-request": Message("A query or path with a value that it cannot have, which `where` names; or no valid HTTP."),
    "busy": Message("All planners work, and enough requests wait."),
    "content-encoding": Message("A compressed request body."),
    "copy-changed": Message(
        "On the command line: a marked copy that somebody has changed and that would be written over."
    ),
    "cross-site": Message("A page of another site made a browser send this request."),
    "empty": Message("Nothing, or nothing but blanks, was sent."),
    "encoding-unsupported": Message("A text encoding that is unknown or cannot be searched for tags safely."),
    "encoding-wrong": Message("Bytes that are not what the byte order mark or the declaration says."),
    "encrypted-archive": Message("A .mxl with a password."),
    "ending-does-not-fit": Message("On the command line: a name for the output that promises another kind of file."),
    "endless-bar": Message("A bar of more than 1,000 quarter notes, which no practice sheet can hold."),
    "entities-declared": Message("A document type that declares entities, harmless or not."),
    "foreign-origin": Message("A page of another origin that is not listed."),
    "html-page": Message("A web page instead of a score, typically from a download link that led to a sign-in page."),
    "internal": Message("A fault of the service."),
    "malformed-xml": Message("XML that is not well-formed."),
    "mark-misplaced": Message("A mark that would not stand at its note, so there is no answer."),
    "marks-not-removable": Message("Marks that could not be taken out again without a trace, so there is no answer."),
    "method-not-allowed": Message("An address that does not take this method."),
    "misplaced-note": Message("A note element outside a measure or within another note."),
    "namespaced": Message("Elements with a namespace or prefix; MusicXML has none."),
    "no-cluster": Message("On the command line: a cluster was named, but none answers there."),
    "no-collection": Message("A tune was asked for in a file that is no ABC collection."),
    "no-container": Message("A zip archive that is no .mxl."),
    "no-folder": Message("On the command line: the name of a folder, and there is none of that name."),
    "no-output-name": Message("On the command line: an empty name for the output."),
    "no-part": Message("No part looks as if it were for the instrument."),
    "no-service": Message("On the command line and in scripts: no service answers at the address that was given."),
    "not-a-repository": Message("On the command line: what is staged was asked for outside a git repository."),
    "not-converted": Message("A file in another format that could not be turned into MusicXML."),
    "not-drawn": Message("A score that the engraver cannot draw; marks and review do not need it."),
    "not-from-abc": Message("ABC was asked for as the answer to a score that did not come as ABC."),
    "not-found": Message("There is nothing at this address."),
    "not-musicxml": Message("XML, but no score."),
    "not-text": Message("On the command line: a file that should be text in UTF-8."),
    "not-xml": Message("A file that does not begin like XML."),
    "other-journal": Message("On the command line: a journal to resume from that belongs to another run."),
    "output-is-input": Message("On the command line: an output that would overwrite what is read."),
    "output-twice": Message("On the command line: two outputs with one name."),
    "request-timeout": Message("The request did not arrive in time."),
    "scordatura": Message("A tuning that cannot be planned."),
    "several-scores": Message("All tunes of a collection were asked for where the answer is one score."),
    "timewise": Message("A score that is ordered by bar first, where only a marked copy is expected."),
    "too-deep": Message("Elements that are nested deeper than any score needs."),
    "too-large": Message("More bytes than the limit."),
    "too-many": Message("More notes, elements or archive entries than the limit."),
    "too-many-requests": Message("Too many requests at once from one address."),
    "too-much-held": Message("The requests in progress fill the memory that is set aside for them."),
    "too-slow": Message("Work that was stopped at the deadline."),
    "truncated": Message("A file that stops before its last element ends."),
    "unchanged": Message("If-None-Match names the very answer (RFC 9110, 13.1.2)."),
    "unknown-bar": Message("A bar that the part does not have."),
    "unknown-option": Message("An option that does not exist; the advice names the nearest one."),
    "unknown-tune": Message("A tune that is not in the collection."),
    "unknown-part": Message("A part that is not in the score."),
    "unpacks-too-far": Message("A compression ratio that no real score has."),
    "unsure-part": Message("Several parts may be for the instrument, none for certain."),
    "wrong-host": Message("A host name that the service does not answer to (RFC 9110, 15.5.20)."),
}
"""What every code means that an answer may carry."""
