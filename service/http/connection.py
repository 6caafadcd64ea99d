"""One HTTP connection, with the timeouts and error answers that uvicorn's own class lacks.

- Idle: a connection without a whole request head is closed after the idle time, from its first second on.
- Untaken: a connection whose answer is not taken is cut off.
- Small pieces: thousands of tiny chunks are parsed a slice at a time, so that other connections get their turn.
- Half-closed: a client that has sent its request and closed its side gets its answer.
- Ending: a connection that was accepted before the service was told to end may still send its request.
- What is no HTTP is answered with problem details and the headers of every answer.
"""

from __future__ import annotations

import asyncio
import json
import time
from collections import deque
from typing import Any

import h11
import uvicorn
from uvicorn.protocols.http.flow_control import FlowControl
from uvicorn.protocols.http.h11_impl import H11Protocol

from ..config.settings import Settings
from . import problems
from .middleware.headers_and_log import POLICY_HEADERS, request_id

LAST_REQUEST = 1.0
"""Seconds that a connection without a request has to send one when the service is told to end."""
_SLICE = 1024  # bytes that are parsed before others get their turn; as one-byte chunks they take about 4 ms
_TURN = 0.005  # seconds of parsing between two looks at all other connections
_PROBE = 1.0  # seconds between two tries whether a half-closed client is still there


class ServiceConfig(uvicorn.Config):
    """The server's configuration with the settings of the service."""

    def __init__(self, app: Any, settings: Settings, **named: Any) -> None:
        super().__init__(app, **named)
        self.settings = settings


class _Flow(FlowControl):
    """Flow control that takes nothing more while received bytes wait to be parsed."""

    backlog = False

    def resume_reading(self) -> None:
        if not self.backlog:
            super().resume_reading()


class _Turns:
    """Round-robin over connections with unparsed bytes, for at most `_TURN` seconds at a time."""

    def __init__(self) -> None:
        self._waiting: deque[Connection] = deque()

    def add(self, connection: Connection) -> None:
        if not self._waiting:
            connection.loop.call_soon(self._take)
        self._waiting.append(connection)

    def _take(self) -> None:
        end = time.perf_counter() + _TURN
        while self._waiting and time.perf_counter() < end:
            connection = self._waiting.popleft()
            if connection.parse_slice():
                self._waiting.append(connection)
        if self._waiting:
            self._waiting[0].loop.call_soon(self._take)


_TURNS = _Turns()


class Connection(H11Protocol):
    """One connection."""

    config: ServiceConfig
    flow: _Flow
    _idle: asyncio.TimerHandle | None = None
    _untaken: asyncio.TimerHandle | None = None
    _probing: asyncio.TimerHandle | None = None
    _half_closed = False
    _ending = False

    def __init__(self, *arguments: Any, **named: Any) -> None:
        super().__init__(*arguments, **named)
        self._unparsed = bytearray()

    @property
    def _working(self) -> bool:
        return self.cycle is not None and not self.cycle.response_complete

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Begin to wait for a request."""
        super().connection_made(transport)
        self.flow = _Flow(transport)
        self._watch_idle()

    def connection_lost(self, exc: Exception | None) -> None:
        """Forget the connection."""
        for timer in (self._idle, self._untaken, self._probing):
            if timer is not None:
                timer.cancel()
        self._unparsed.clear()
        super().connection_lost(exc)

    # -- receiving -----------------------------------------------------------------------------------------------------

    def data_received(self, data: bytes) -> None:
        """Parse what came, or its first slice if there is much of it."""
        self._unparsed += data
        if self.parse_slice():
            self.flow.backlog = True
            self.flow.pause_reading()
            _TURNS.add(self)

    def parse_slice(self) -> bool:
        """Parse the next slice of what came; return whether there is more."""
        part = bytes(self._unparsed[:_SLICE])
        del self._unparsed[:_SLICE]
        if part and not self.transport.is_closing():
            super().data_received(part)
            if self._ending and self._working:
                self.cycle.keep_alive = False
        self._watch_idle()
        if self._unparsed and not self.transport.is_closing():
            return True
        if self.flow.backlog:
            self.flow.backlog = False
            if not self._paused_by_request():
                self.flow.resume_reading()
        if self._half_closed:
            self._go_on_half_closed()
        return False

    def _paused_by_request(self) -> bool:
        """Whether parsing is paused: the body is not read yet, or the request is complete."""
        return self._working and (bool(self.cycle.body) or not self.cycle.more_body)

    def eof_received(self) -> bool:  # type: ignore[override]
        """The client has closed its side; stay open while it may wait for an answer."""
        self._half_closed = True
        return bool(self._unparsed) or self._go_on_half_closed()

    def _go_on_half_closed(self) -> bool:
        """Stay open for the answer to a whole request, else close. Returns whether the connection stays open."""
        if not self._working or self.conn.their_state is h11.SEND_BODY:
            self.transport.close()
            return False
        if self._probing is None:
            self._probing = self.loop.call_later(_PROBE, self._probe)
        return True

    def _probe(self) -> None:
        """Send an interim answer, which clients skip (RFC 9110, 15.2); it fails if the client has gone."""
        self._probing = None
        if not self._working or self.transport.is_closing():
            return
        if not self.cycle.response_started and self.scope["http_version"] == "1.1":
            event = h11.InformationalResponse(status_code=100, headers=[], reason=b"Continue")
            self.transport.write(self.conn.send(event) or b"")
        self._probing = self.loop.call_later(_PROBE, self._probe)

    # -- answering -----------------------------------------------------------------------------------------------------

    def on_response_complete(self) -> None:
        """The answer is written; the next request has the idle time to arrive."""
        super().on_response_complete()
        self._watch_idle()
        if not self._working and (self._half_closed and not self._unparsed):
            self.transport.close()

    def pause_writing(self) -> None:
        """The client does not read the answer: start the write timeout."""
        super().pause_writing()
        if self._untaken is None:
            self._untaken = self.loop.call_later(self.config.settings.answer_seconds, self.transport.abort)

    def resume_writing(self) -> None:
        """The client reads the answer: stop the write timeout."""
        super().resume_writing()
        if self._untaken is not None:
            self._untaken.cancel()
            self._untaken = None

    def send_400_response(self, msg: str) -> None:
        """Answer malformed HTTP with problem details."""
        error, id = problems.not_http(), request_id(None)
        content = json.dumps(problems.problem_details(error, id)).encode()
        headers = {
            **POLICY_HEADERS,
            **error.headers,
            "Content-Type": problems.MEDIA_TYPE,
            "Content-Length": str(len(content)),
            "X-Request-Id": id,
        }
        if self.conn.our_state in (h11.IDLE, h11.SEND_RESPONSE):
            for event in (
                h11.Response(status_code=error.status, headers=list(headers.items()), reason=b"Bad Request"),
                h11.Data(data=content),
                h11.EndOfMessage(),
            ):
                self.transport.write(self.conn.send(event) or b"")
        self.transport.close()

    # -- ending --------------------------------------------------------------------------------------------------------

    def shutdown(self) -> None:
        """The service ends: finish what is being answered, and take a request that is on its way."""
        self._ending = True
        if self._working:
            super().shutdown()
        else:
            self._stop_idle_timer()
            self._watch_idle()

    def _stop_idle_timer(self) -> None:
        if self._idle is not None:
            self._idle.cancel()
            self._idle = None

    def _watch_idle(self) -> None:
        if self._working:
            self._stop_idle_timer()
        elif self._idle is None and not self.transport.is_closing():
            seconds = LAST_REQUEST if self._ending else self.config.settings.idle_seconds
            self._idle = self.loop.call_later(seconds, self._close_idle)

    def _close_idle(self) -> None:
        self._idle = None
        if not self._working:
            self.transport.close()
