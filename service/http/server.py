"""Starting and stopping the service: one server process or several, the same socket, a shutdown that finishes work."""

from __future__ import annotations

import os
import signal
import socket
import sys

import uvicorn
from fastapi import FastAPI
from uvicorn.supervisors import Multiprocess

from ..config.settings import Settings, read_settings
from .app import create_app
from .connection import Connection, ServiceConfig
from .log import log_configuration

_FINISH = 5.0  # seconds beyond the deadline of the work that a shutdown leaves for answers to be sent


def app_from_environment() -> FastAPI:
    """Return the application with the settings that the environment holds."""
    return create_app(read_settings())


def configuration(settings: Settings) -> ServiceConfig:
    """Return the server's configuration."""
    return ServiceConfig(
        f"{__name__}:{app_from_environment.__name__}",
        settings,
        factory=True,
        host=settings.host,
        port=settings.port,
        workers=settings.workers,
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


def serve(settings: Settings) -> None:
    """Answer until told to stop (Ctrl-C, TERM); requests being worked on are finished first.

    Raises:
        OSError: the address cannot be listened on.
    """
    config = configuration(settings)
    # Who comes before the planners are warm waits here and is answered.
    family = socket.AF_INET6 if ":" in settings.host else socket.AF_INET
    listening = socket.create_server((settings.host, settings.port), family=family, backlog=config.backlog)
    os.environ.update(settings.environment())  # for the application, which is made in each server process
    host, port = listening.getsockname()[:2]
    shown = f"[{host}]" if ":" in host else host
    sys.stdout.write(f"handframe answers at http://{shown}:{port} (reference: /docs; stop with Ctrl-C)\n")
    sys.stdout.flush()
    if settings.workers > 1:
        Multiprocess(config, sockets=[listening]).run()
    else:
        # The server raises the signal that ended it once more when all is done; then it has been heeded already.
        for name in ("SIGINT", "SIGTERM"):
            signal.signal(getattr(signal, name), lambda *_: None)
        uvicorn.Server(config).run(sockets=[listening])
