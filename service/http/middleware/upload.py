"""The body of a request: read within the limits, or read and discarded when the request is refused.

A client such as Python's urllib sends all of a request before it reads the answer. If the connection were closed with
part of the body unread, it would see a reset instead of the reason.
"""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable

from starlette.datastructures import Headers
from starlette.types import Message, Receive, Scope, Send

from ...config.settings import Settings
from ...errors import ScoreError
from .. import problems
from .concurrency import Concurrency

_FORM_FRAME = 100_000
"""Bytes that the frame of a form and its options may add to a file."""
_DISCARDED = 10
"""Of a refused upload, so many times the size of a file is read at most."""


class Upload:
    """The body of one request."""

    def __init__(self, scope: Scope, receive: Receive, settings: Settings) -> None:
        self._scope, self._receive, self._settings = scope, receive, settings
        self._headers = Headers(scope=scope)
        self._state = scope["state"]
        self._bytes = 0
        self._more = True
        self._deadline = asyncio.get_running_loop().time() + settings.body_seconds

    async def read(self, held: Concurrency.Held) -> bytes:
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

    async def refuse(self, error: ScoreError, send: Send) -> None:
        """Answer with a problem; read and discard the rest of the body before the answer is complete."""
        answer = problems.problem(error, self._state["request_id"])
        await answer(self._scope, self._receive, _after(self._drain, send))

    async def _drain(self) -> None:
        if self._headers.get("expect", "").lower() == "100-continue" and not self._bytes:
            return  # the client waits for our word before it sends anything
        try:
            async with asyncio.timeout_at(self._deadline):
                while self._more and self._bytes < _DISCARDED * self._settings.upload_bytes:
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
    """A send that completes an answer only after `drain`; the content goes out at once."""

    async def send_message(message: Message) -> None:
        if message["type"] == "http.response.body":
            await send({**message, "more_body": True})
            await drain()
            message = {**message, "body": b""}
        await send(message)

    return send_message
