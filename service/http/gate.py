"""Middleware that limits the number, size and duration of requests, and cancels work when the client disconnects."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable

from starlette.datastructures import Headers
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from ..config.settings import Settings
from ..errors import ScoreError
from . import problems
from .admission import Admission

_FORM_FRAME = 100_000
"""Bytes that the frame of a form and its options may add to a file."""
_UNCOUNTED = "/healthz"
"""Paths without limits: they cost nothing, and monitoring needs them when the service is full."""


class Gate:
    """Middleware that passes on complete requests only."""

    def __init__(self, app: ASGIApp, settings: Settings) -> None:
        self._app = app
        self._settings = settings
        self._admission = Admission(settings.requests, settings.held_bytes)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http" or scope["path"] == _UNCOUNTED:
            await self._app(scope, receive, send)
            return
        client = scope.get("client")
        with self._admission.visit(client[0] if client else "") as held:
            upload = _Upload(scope, receive, self._settings)
            try:
                body = await upload.read(held)
            except ScoreError as error:
                answer = problems.problem(error, scope["state"]["request_id"])
                await answer(scope, receive, _after(upload.drain, send))
                return
            await _while_client_stays(self._app, scope, body, receive, send)


class _Upload:
    """The body of one request."""

    def __init__(self, scope: Scope, receive: Receive, settings: Settings) -> None:
        self._headers, self._receive, self._settings = Headers(scope=scope), receive, settings
        self._state = scope["state"]
        self._bytes = 0
        self._more = True
        self._deadline = asyncio.get_running_loop().time() + settings.body_seconds

    async def read(self, held: Admission.Held) -> bytes:
        """Return the whole body.

        Raises:
            RequestError: too large, too slow, compressed, or more than may be held at once.
        """
        settings = self._settings
        limit = settings.upload_bytes + _FORM_FRAME
        if self._headers.get("content-encoding", "identity").lower() not in ("identity", ""):
            raise problems.packed_request()
        announced = self._headers.get("content-length", "0")
        if announced.isdecimal() and int(announced) > limit:
            raise problems.body_too_large(settings.upload_bytes)
        chunks: list[bytes] = []
        try:
            async with asyncio.timeout_at(self._deadline):
                while self._more:
                    chunk = await self._next()
                    held.add(len(chunk))
                    if self._bytes > limit:
                        raise problems.body_too_large(settings.upload_bytes)
                    chunks.append(chunk)
        except TimeoutError:
            raise problems.body_too_slow(settings.body_seconds) from None
        return b"".join(chunks)

    async def drain(self) -> None:
        """Read and drop the rest of a refused body, so that a client that sends first still reads the answer."""
        if self._headers.get("expect", "").lower() == "100-continue" and not self._bytes:
            return  # the client waits for our word before it sends anything
        try:
            async with asyncio.timeout_at(self._deadline):
                while self._more:
                    await self._next()
        except (TimeoutError, ScoreError):
            return

    async def _next(self) -> bytes:
        message = await self._receive()
        if message["type"] == "http.disconnect":
            self._more = False
            raise problems.body_too_slow(self._settings.body_seconds)
        chunk: bytes = message.get("body", b"")
        self._bytes += len(chunk)
        self._state["bytes_in"] = self._bytes
        self._more = message.get("more_body", False)
        return chunk


def _after(drain: Callable[[], Awaitable[None]], send: Send) -> Send:
    """Wrap `send` so that the last message waits for `drain`; the content is sent at once."""

    async def send_message(message: Message) -> None:
        if message["type"] == "http.response.body":
            await send({**message, "more_body": True})
            await drain()
            message = {**message, "body": b""}
        await send(message)

    return send_message


async def _while_client_stays(app: ASGIApp, scope: Scope, body: bytes, receive: Receive, send: Send) -> None:
    """Run the application; cancel it when the client goes before the answer is complete."""
    disconnected = asyncio.Event()
    unread = True
    complete = False

    async def receive_message() -> Message:
        nonlocal unread
        if unread:
            unread = False
            return {"type": "http.request", "body": body, "more_body": False}
        await disconnected.wait()
        return {"type": "http.disconnect"}

    async def send_message(message: Message) -> None:
        nonlocal complete
        complete = message["type"] == "http.response.body" and not message.get("more_body", False)
        await send(message)

    answer = asyncio.ensure_future(app(scope, receive_message, send_message))

    async def watch() -> None:
        while (await receive())["type"] != "http.disconnect":
            pass
        disconnected.set()
        if not complete:
            answer.cancel()

    watching = asyncio.create_task(watch())
    try:
        await asyncio.wait({answer})
    finally:
        answer.cancel()
        watching.cancel()
    if not answer.cancelled():
        answer.result()
