"""Faults as RFC 9457 problem details, and the faults that only HTTP knows.

What belongs here: how any fault looks over the wire. What does not: what can be wrong with a score (see `errors`).
"""

from __future__ import annotations

import json
from collections.abc import Mapping

from starlette.responses import Response

from ..errors import ScoreError

MEDIA_TYPE = "application/problem+json"
_SPLIT = "Send one movement or one part at a time."


class RequestError(ScoreError):
    """A request that is not answered as it was meant; `headers` go with the answer."""

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


def problem(error: ScoreError, request_id: str | None = None) -> Response:
    """Return the answer that tells of a fault."""
    body: dict[str, str | int] = {
        "type": f"/problems/{error.code}",
        "title": error.code.replace("-", " ").capitalize(),
        "status": error.status,
        "detail": error.message,
        "advice": error.advice,
        "code": error.code,
    }
    if error.where:
        body["where"] = error.where
    if request_id:
        body["request_id"] = request_id
    headers = {"Cache-Control": "no-store", **getattr(error, "headers", {})}
    return Response(json.dumps(body, ensure_ascii=False), error.status, headers, media_type=MEDIA_TYPE)


# -- who may ask -------------------------------------------------------------------------------------------------------


def wrong_host() -> RequestError:
    """A Host that is not ours: a page elsewhere that had its name point here would send that (RFC 9110, 15.5.20)."""
    return RequestError(
        "wrong-host",
        "This service does not answer to that host name.",
        "Use 127.0.0.1 or localhost, or start the service with --hosts and the name.",
        421,
    )


def foreign_origin() -> RequestError:
    """A page of another origin that is not listed."""
    return RequestError(
        "foreign-origin",
        "Pages of this origin may not call this service.",
        "Start the service with --origins and the origin, for example --origins https://editor.example.",
        403,
    )


# -- too much, too slow ------------------------------------------------------------------------------------------------


def busy(seconds: int) -> RequestError:
    """Every planner works and enough requests wait."""
    return RequestError("busy", "The service is busy.", "Try again.", 503, {"Retry-After": str(seconds)})


def too_much_held(seconds: int) -> RequestError:
    """The requests being worked on fill the memory that is set aside for them."""
    return RequestError(
        "too-much-held",
        "The service is holding as much as it may.",
        "Try again.",
        503,
        {"Retry-After": str(seconds)},
    )


def too_many_requests(limit: int) -> RequestError:
    """One address asks too much at once."""
    return RequestError(
        "too-many-requests",
        f"More than {limit} requests at once come from this address.",
        "Wait for answers before sending more.",
        429,
        {"Retry-After": "1"},
    )


def too_slow(seconds: float) -> RequestError:
    """The work was stopped at the deadline."""
    return RequestError(
        "too-slow",
        f"The work took longer than {seconds:g} seconds and was stopped.",
        f"{_SPLIT} If the service is yours, start it with more --seconds.",
        503,
        {"Retry-After": "60"},
    )


def body_too_large(limit: int) -> RequestError:
    """More bytes than any request may have."""
    return RequestError("too-large", f"The request is larger than {limit:,} bytes.", _SPLIT, 413)


def body_too_slow(seconds: float) -> RequestError:
    """The request did not arrive in time."""
    return RequestError(
        "request-timeout",
        f"The request did not arrive within {seconds:g} seconds.",
        "Send it again, without pauses.",
        408,
        {"Connection": "close"},
    )


# -- not understood ----------------------------------------------------------------------------------------------------


def packed_request(encoding: str) -> RequestError:
    """A compressed request body."""
    return RequestError(
        "content-encoding",
        "Compressed requests are not accepted.",
        "Send the file as it is, without Content-Encoding; .mxl is compressed already.",
        415,
        {"Accept-Encoding": "identity"},
    )


def bad_form(reason: str) -> RequestError:
    """A form that cannot be read, or has other fields."""
    return RequestError("bad-form", reason, "Send the file in the field score, options as JSON in options.", 400)


def bad_query(where: str | None = None) -> RequestError:
    """A query or path with a value that it cannot have; `where` names it."""
    message = "The request has a value that it cannot have."
    return RequestError("bad-request", message, "See /docs for the values.", 400, where=where)


def not_found() -> RequestError:
    """No such address."""
    return RequestError("not-found", "There is nothing at this address.", "See /docs for all addresses.", 404)


def wrong_method(allowed: str) -> RequestError:
    """An address that does not take this method."""
    return RequestError(
        "method-not-allowed",
        "This address does not take that method.",
        f"Use {allowed}.",
        405,
        {"Allow": allowed},
    )


def unchanged(tag: str) -> RequestError:
    """If-None-Match named the very answer: for POST, RFC 9110 (13.1.2) wants 412."""
    return RequestError(
        "unchanged",
        "The answer would be the one that you have already.",
        "Keep it.",
        412,
        {"ETag": tag},
    )


def our_fault() -> RequestError:
    """Anything that should not happen."""
    return RequestError(
        "internal",
        "Something went wrong here, and nothing was changed.",
        "Please report it with the request id.",
        500,
    )
