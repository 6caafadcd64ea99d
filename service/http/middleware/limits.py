"""Middleware that limits the number, size and duration of requests, and cancels work when the client disconnects."""

from __future__ import annotations

import asyncio

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from ...config.settings import Settings
from ...errors import ScoreError
from .concurrency import Concurrency
from .upload import Upload

_UNCOUNTED = "/healthz"
"""Paths without limits: they cost nothing, and monitoring needs them when the service is full."""


class LimitsMiddleware:
    """Middleware that passes on complete requests only."""

    def __init__(self, app: ASGIApp, settings: Settings) -> None:
        self._app = app
        self._settings = settings
        self._concurrency = Concurrency(settings.requests, settings.held_bytes)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http" or scope["path"] == _UNCOUNTED:
            await self._app(scope, receive, send)
            return
        client = scope.get("client")
        upload = Upload(scope, receive, self._settings)
        try:
            with self._concurrency.visit(client[0] if client else "") as held:
                body = await upload.read(held)
                await _while_client_stays(self._app, scope, body, receive, send)
        except ScoreError as error:
            await upload.refuse(error, send)


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
