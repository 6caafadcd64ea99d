"""Starts and stops the service: one or several server processes on one socket; a shutdown finishes running work."""

from __future__ import annotations

import asyncio
import logging
import logging.config
import multiprocessing
import os
import signal
import socket
import sys
import time
from multiprocessing import connection, process

import uvicorn

from ..config.settings import Settings
from ..language import Language
from ..messages.commands import ANSWERS
from ..messages.message import Wording
from ..workers.worker import when_parent_ends
from .app import create_app
from .connection import Connection, ServiceConfig
from .listening import SETTLE, shut
from .log import log_configuration, log_event

_FINISH = 5.0  # seconds beyond the deadline of the work that a shutdown leaves for answers to be sent
_ACCEPT_TURNS = 10  # turns of the event loop that make an accepted socket a connection
_RESTART_AFTER = 1.0  # seconds before a server process that died is replaced
_SPAWN = multiprocessing.get_context("spawn")


def configuration(settings: Settings) -> ServiceConfig:
    """Return the server's configuration."""
    return ServiceConfig(
        lambda: create_app(settings),
        settings,
        factory=True,
        host=settings.host,
        port=settings.port,
        http=Connection,
        ws="none",
        lifespan="on",
        access_log=False,
        log_config=log_configuration(),
        proxy_headers=False,
        server_header=False,
        timeout_keep_alive=settings.idle_seconds,
        timeout_graceful_shutdown=int(2 * settings.seconds + _FINISH),
    )


def serve(settings: Settings, language: Language = Language.BRITISH) -> None:
    """Answer until told to stop (Ctrl-C, TERM); requests being worked on are finished first.

    The language is that of the line which says where; who asks is answered in theirs.

    Raises:
        OSError: the address cannot be listened on.
    """
    # Who comes before the planners are warm waits here and is answered.
    family = socket.AF_INET6 if ":" in settings.host else socket.AF_INET
    listening = socket.create_server((settings.host, settings.port), family=family, backlog=2048)
    host, port = listening.getsockname()[:2]
    address = f"[{host}]" if ":" in host else host
    sys.stdout.write(f"{Wording(language).say(ANSWERS, address=f'http://{address}:{port}')}\n")
    sys.stdout.flush()
    if settings.workers > 1:
        _supervise(settings, listening)
    else:
        _run(settings, listening, alone=True)


class _Server(uvicorn.Server):
    """A server that loses no connection when it ends."""

    alone = False  # whether no other process accepts on its socket

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        """Accept the connections that wait already, then finish."""
        if self.alone:
            for listening in sockets or []:
                shut(listening)
            await asyncio.sleep(SETTLE)
        waiting = [accepted for listening in sockets or [] for accepted in _accept_last(listening)]
        for server in self.servers:
            server.close()
        for _ in range(_ACCEPT_TURNS):  # what was accepted before becomes a connection
            await asyncio.sleep(0)
        loop = asyncio.get_running_loop()
        for accepted in waiting:
            await loop.connect_accepted_socket(self._connection, accepted)
        await super().shutdown(sockets)

    def _connection(self) -> Connection:
        return Connection(config=self.config, server_state=self.server_state, app_state=self.lifespan.state)


def _accept_last(listening: socket.socket) -> list[socket.socket]:
    """Accept the waiting connections and stop listening; later ones are refused."""
    accepted: list[socket.socket] = []
    nothing = os.open(os.devnull, os.O_RDONLY)
    try:
        while True:
            accepted.append(listening.accept()[0])
    except BlockingIOError:
        # The number of the socket stays in use, so that the event loop can still let go of it.
        os.dup2(nothing, listening.fileno(), inheritable=False)
    os.close(nothing)
    return accepted


def _run(settings: Settings, listening: socket.socket, alone: bool = False) -> None:
    """Answer in this process until told to stop."""
    # The server raises the signal that ended it once more when all is done; then it has been heeded already.
    for name in ("SIGINT", "SIGTERM"):
        signal.signal(getattr(signal, name), lambda *_: None)
    when_parent_ends(lambda: os.kill(os.getpid(), signal.SIGTERM))
    server = _Server(configuration(settings))
    server.alone = alone
    server.run(sockets=[listening])


def _supervise(settings: Settings, listening: socket.socket) -> None:
    """Keep server processes running until told to stop, then let them finish."""
    logging.config.dictConfig(log_configuration())
    stop_read, stop_write = _SPAWN.Pipe(duplex=False)
    for name in ("SIGINT", "SIGTERM"):
        signal.signal(getattr(signal, name), lambda *_: stop_write.send_bytes(b"stop"))

    workers = [_started(settings, listening) for _ in range(settings.workers)]
    while not stop_read.poll():
        connection.wait([stop_read, *(worker.sentinel for worker in workers)])
        for place, worker in enumerate(workers):
            if not worker.is_alive() and not stop_read.poll(_RESTART_AFTER):
                log_event("server process ended", logging.ERROR, code=worker.exitcode)
                workers[place] = _started(settings, listening)
    shut(listening)
    time.sleep(SETTLE)
    # While this copy of the socket is open, connections are accepted that no server process would answer.
    listening.close()
    for worker in workers:
        worker.terminate()
    for worker in workers:
        worker.join()


def _started(settings: Settings, listening: socket.socket) -> process.BaseProcess:
    worker = _SPAWN.Process(target=_run, args=(settings, listening), name="server")
    worker.start()
    return worker
