"""The gate that every request passes: who asks, how much, how long; and what every answer carries, faults included.

In order: a request id; the host; the origin, with the answer to a preflight; how many requests of one address; the
whole body, within its limits; then the routes. Whatever goes wrong behind the gate leaves it as problem details, and
every request leaves a line in the log. What does not belong here: what a request asks for.
"""

from __future__ import annotations

import asyncio
import time
from collections.abc import Mapping

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from ..config.settings import Settings
from ..errors import ScoreError
from . import problems
from .admission import Admission
from .log import note, note_fault, request_id
from .origins import Callers

_FORM_FRAME = 100_000
"""Bytes that the frame of a form and its options may add to a file."""
CONTENT_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; font-src 'self'; "
    "connect-src 'self'; media-src 'self' blob:; worker-src 'self'; manifest-src 'self'; form-action 'self'; "
    "base-uri 'none'; frame-ancestors 'none'"
)
SECURITY_HEADERS = {
    "Content-Security-Policy": CONTENT_POLICY,
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=(), payment=(), usb=()",
}


class Gate:
    """Middleware around the whole application."""

    def __init__(self, app: ASGIApp, settings: Settings) -> None:
        self._app = app
        self._settings = settings
        self._callers = Callers([settings.host, *settings.hosts], settings.origins)
        self._admission = Admission(settings.requests, settings.held_bytes)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] == "http":
            await _Visit(self, scope, receive, send).answer()
        elif scope["type"] == "lifespan":
            await self._app(scope, receive, send)
        else:  # there are no web sockets here
            await send({"type": "websocket.close", "code": 1008})

    @property
    def settings(self) -> Settings:
        """The settings of the service."""
        return self._settings

    @property
    def callers(self) -> Callers:
        """Who may ask."""
        return self._callers

    @property
    def admission(self) -> Admission:
        """How much may be asked at once."""
        return self._admission

    async def route(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Hand a request on to the routes."""
        await self._app(scope, receive, send)


class _Visit:
    """One request on its way through the gate."""

    def __init__(self, gate: Gate, scope: Scope, receive: Receive, send: Send) -> None:
        self._gate, self._receive, self._send = gate, receive, send
        self._method: str = scope["method"]
        # A HEAD is answered as the GET would be, without the content (RFC 9110, 9.3.2).
        self._scope = {**scope, "method": "GET"} if self._method == "HEAD" else scope
        self._headers = Headers(scope=scope)
        self._host = self._headers.get("host", "")
        self._origin = self._headers.get("origin")
        self._id = request_id(self._headers.get("x-request-id"))
        self._scope.setdefault("state", {})["request_id"] = self._id
        self._started = time.perf_counter()
        self._status = 0
        self._taken = self._given = 0

    async def answer(self) -> None:
        """Answer, whatever happens, and log it."""
        try:
            await self._admitted()
        except ScoreError as error:
            await self._refuse(error)
        except Exception as error:
            note_fault(error, self._id)
            await self._refuse(problems.our_fault())
        finally:
            route = self._scope.get("route")
            note(
                "request",
                id=self._id,
                method=self._method if self._method.isalpha() and len(self._method) < 10 else "?",
                route=getattr(route, "path", None),
                status=self._status,
                milliseconds=round((time.perf_counter() - self._started) * 1000, 1),
                bytes_in=self._taken,
                bytes_out=self._given,
            )

    async def _admitted(self) -> None:
        if not self._gate.callers.knows_host(self._host):
            raise problems.wrong_host()
        if self._origin is not None and not self._gate.callers.admits(self._origin, self._host):
            raise problems.foreign_origin()
        if self._method == "OPTIONS" and self._origin and "access-control-request-method" in self._headers:
            private = self._headers.get("access-control-request-private-network") == "true"
            headers = self._gate.callers.preflight_headers(self._origin, private)
            await Response(status_code=204, headers=dict(headers))(self._scope, self._receive, self._answered)
            return
        if self._method != "POST":
            await self._gate.route(self._scope, self._receive, self._answered)
            return
        client = self._scope.get("client")
        with self._gate.admission.visit(client[0] if client else "") as held:
            body = await self._body(held)
            await self._gate.route(self._scope, _once(body, self._receive), self._answered)

    async def _body(self, held: Admission.Held) -> bytes:
        """The whole body, before any work begins: who sends slowly keeps nobody waiting."""
        settings = self._gate.settings
        limit = settings.upload_bytes + _FORM_FRAME
        if self._headers.get("content-encoding", "identity").lower() not in ("identity", ""):
            raise problems.packed_request(self._headers["content-encoding"])
        announced = self._headers.get("content-length", "0")
        if announced.isdecimal() and int(announced) > limit:
            raise problems.body_too_large(settings.upload_bytes)
        chunks: list[bytes] = []
        try:
            async with asyncio.timeout(settings.body_seconds):
                more = True
                while more:
                    message = await self._receive()
                    if message["type"] == "http.disconnect":
                        raise problems.body_too_slow(settings.body_seconds)
                    chunk = message.get("body", b"")
                    held.add(len(chunk))
                    self._taken += len(chunk)
                    if self._taken > limit:
                        raise problems.body_too_large(settings.upload_bytes)
                    chunks.append(chunk)
                    more = message.get("more_body", False)
        except TimeoutError:
            raise problems.body_too_slow(settings.body_seconds) from None
        return b"".join(chunks)

    async def _refuse(self, error: ScoreError) -> None:
        if self._status:  # part of an answer is on its way: the connection ends, so nobody takes it for whole
            raise _BrokenOffError
        await problems.problem(error, self._id)(self._scope, self._receive, self._answered)

    async def _answered(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            self._status = message["status"]
            self._dress(MutableHeaders(scope=message))
        elif message["type"] == "http.response.body":
            if self._method == "HEAD":
                message = {**message, "body": b""}
            self._given += len(message.get("body", b""))
        await self._send(message)

    def _dress(self, headers: MutableHeaders) -> None:
        """Give an answer the headers that every answer carries."""
        headers["X-Request-Id"] = self._id
        _add(headers, SECURITY_HEADERS)
        headers.setdefault("Cache-Control", "no-store")
        callers = self._gate.callers
        if callers.vary:
            headers.add_vary_header(callers.vary)
        if self._origin is not None and callers.lists(self._origin):
            _add(headers, callers.answer_headers(self._origin))


class _BrokenOffError(Exception):
    """An answer had begun when something went wrong."""


def _add(headers: MutableHeaders, more: Mapping[str, str]) -> None:
    for name, value in more.items():
        headers.setdefault(name, value)


def _once(body: bytes, receive: Receive) -> Receive:
    """A receive that gives the body first and then what the connection says."""
    given = False

    async def next_message() -> Message:
        nonlocal given
        if given:
            return await receive()
        given = True
        return {"type": "http.request", "body": body, "more_body": False}

    return next_message
