"""Connections that nobody can hold open for nothing.

The server waits for ever for the first byte of a request and for an answer to be taken. Here both have an end: a
connection without a whole request head is closed after the idle time, and so is one whose answer is not taken.
"""

from __future__ import annotations

import asyncio
import json
from typing import Any

import h11
import uvicorn
from uvicorn.protocols.http.h11_impl import H11Protocol

from ..config.settings import Settings
from .problems import MEDIA_TYPE


class ServiceConfig(uvicorn.Config):
    """The server's configuration with the settings of the service."""

    def __init__(self, app: Any, settings: Settings, **given: Any) -> None:
        super().__init__(app, **given)
        self.settings = settings


class Connection(H11Protocol):
    """One connection."""

    config: ServiceConfig
    _idle: asyncio.TimerHandle | None = None
    _untaken: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Begin to wait for a request."""
        super().connection_made(transport)
        self._watch()

    def data_received(self, data: bytes) -> None:
        """Take what came; waiting ends with the head of a request and begins again after its answer."""
        super().data_received(data)
        self._watch()

    def on_response_complete(self) -> None:
        """The answer is written; what is left of the request has the idle time to arrive."""
        super().on_response_complete()
        self._watch()

    def _watch(self) -> None:
        working = self.cycle is not None and not self.cycle.response_complete
        if working and self._idle is not None:
            self._idle.cancel()
            self._idle = None
        elif not working and self._idle is None:
            self._idle = self.loop.call_later(self.config.settings.idle_seconds, self._close_idle)

    def _close_idle(self) -> None:
        self._idle = None
        if (self.cycle is None or self.cycle.response_complete) and not self.transport.is_closing():
            self.transport.close()

    def pause_writing(self) -> None:
        """The other side is not taking the answer: give it so long and no longer."""
        super().pause_writing()
        if self._untaken is None:
            self._untaken = self.loop.call_later(self.config.settings.answer_seconds, self.transport.abort)

    def resume_writing(self) -> None:
        """The answer is being taken."""
        super().resume_writing()
        if self._untaken is not None:
            self._untaken.cancel()
            self._untaken = None

    def connection_lost(self, exc: Exception | None) -> None:
        """Nothing to wait for any more."""
        for timer in (self._idle, self._untaken):
            if timer is not None:
                timer.cancel()
        super().connection_lost(exc)

    def send_400_response(self, msg: str) -> None:
        """Answer what is no HTTP as every fault is answered."""
        body = {
            "type": "/problems/bad-request",
            "title": "Bad request",
            "status": 400,
            "detail": "This is not a valid HTTP request.",
            "advice": "See /docs.",
            "code": "bad-request",
        }
        content = json.dumps(body).encode()
        headers = [("content-type", MEDIA_TYPE), ("content-length", str(len(content))), ("connection", "close")]
        for event in (
            h11.Response(status_code=400, headers=headers, reason=b"Bad Request"),
            h11.Data(data=content),
            h11.EndOfMessage(),
        ):
            self.transport.write(self.conn.send(event) or b"")
        self.transport.close()
