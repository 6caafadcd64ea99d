"""The outermost middleware: headers of every answer, errors included, and a log line for every request."""

from __future__ import annotations

import re
import time
import uuid
from collections.abc import Iterable, Mapping

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from ...config.settings import Settings
from ...errors import ScoreError
from .. import problems
from ..log import log_event, log_fault
from .origin_check import OriginCheck
from .upload import Upload

CONTENT_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; font-src 'self'; "
    "connect-src 'self'; media-src 'self' blob:; worker-src 'self'; manifest-src 'self'; form-action 'self'; "
    "base-uri 'none'; frame-ancestors 'none'"
)
POLICY_HEADERS: Mapping[str, str] = {
    "Content-Security-Policy": CONTENT_POLICY,
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=(), payment=(), usb=()",
    "Cache-Control": "no-store",
}
"""What an answer carries unless it says otherwise."""


def frame_headers(origins: Iterable[str]) -> dict[str, str]:
    """Return the headers of an answer that pages of these origins may show in a frame."""
    policy = CONTENT_POLICY.replace("frame-ancestors 'none'", f"frame-ancestors {' '.join(origins)}")
    headers = {**POLICY_HEADERS, "Content-Security-Policy": policy, "Cross-Origin-Resource-Policy": "cross-origin"}
    del headers["X-Frame-Options"]  # it cannot name an origin, and old browsers would obey it
    return headers


_HARMLESS_ID = re.compile(r"[A-Za-z0-9._-]{1,64}")


class HeadersAndLog:
    """Middleware around the whole application; it refuses callers that may not call."""

    def __init__(self, app: ASGIApp, origin_check: OriginCheck, settings: Settings) -> None:
        self._app = app
        self._origin_check = origin_check
        self._settings = settings

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] == "http":
            await _Exchange(scope, send).answer(self._app, self._origin_check, self._settings, receive)
        elif scope["type"] == "lifespan":
            await self._app(scope, receive, send)
        else:  # there are no web sockets here
            await send({"type": "websocket.close", "code": 1008})


class BrokenOffError(Exception):
    """Something failed after the answer had begun: the connection is closed, so that it does not look complete."""


class _Exchange:
    """One request and its answer."""

    def __init__(self, scope: Scope, send: Send) -> None:
        self._method: str = scope["method"]
        # A HEAD is answered as the GET would be, without the content (RFC 9110, 9.3.2).
        self._scope = {**scope, "method": "GET"} if self._method == "HEAD" else scope
        self._headers = Headers(scope=scope)
        self._id = request_id(self._headers.get("x-request-id"))
        self._scope.setdefault("state", {})["request_id"] = self._id
        self._send = send
        self._status = self._bytes_out = 0

    async def answer(self, app: ASGIApp, origin_check: OriginCheck, settings: Settings, receive: Receive) -> None:
        """Answer in every case, and log the request."""
        started = time.perf_counter()
        try:
            try:
                origin_check.check(self._method, self._scope["path"], self._headers)
            except ScoreError as error:
                await Upload(self._scope, receive, settings).refuse(error, self._dressed)
            else:
                await app(self._scope, receive, self._dressed)
        except BrokenOffError:
            raise
        except Exception as error:
            log_fault(error, self._id)
            if self._status:
                raise BrokenOffError from error
            await problems.problem(problems.our_fault(), self._id)(self._scope, receive, self._dressed)
        finally:
            log_event(
                "request",
                id=self._id,
                method=self._method if self._method.isalpha() and len(self._method) < 10 else "?",
                route=getattr(self._scope.get("route"), "path", None),
                status=self._status,
                milliseconds=round((time.perf_counter() - started) * 1000, 1),
                bytes_in=self._scope["state"].get("bytes_in", 0),
                bytes_out=self._bytes_out,
            )

    async def _dressed(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            self._status = message["status"]
            headers = MutableHeaders(scope=message)
            headers["X-Request-Id"] = self._id
            policy: Mapping[str, str] = self._scope["state"].get("policy_headers", POLICY_HEADERS)
            for name, value in policy.items():
                headers.setdefault(name, value)
        elif message["type"] == "http.response.body":
            if self._method == "HEAD":
                message = {**message, "body": b""}
            self._bytes_out += len(message.get("body", b""))
        await self._send(message)


def request_id(proposed: str | None) -> str:
    """Return the caller's own id if it is harmless, else a new one."""
    return proposed if proposed and _HARMLESS_ID.fullmatch(proposed) else uuid.uuid4().hex
