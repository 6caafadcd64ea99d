"""The log: one JSON object a line, with request ids; never the text of an exception, a query, a name or a score.

What belongs here: what is written, and how. What does not: when (see `gate`).
"""

from __future__ import annotations

import json
import logging
import re
import uuid
from datetime import UTC, datetime
from typing import Any

from ..workers.worker import origin

LOG = logging.getLogger("handframe")
_GIVEN_ID = re.compile(r"[A-Za-z0-9._-]{1,64}")


def request_id(given: str | None) -> str:
    """Return the caller's own id if it is harmless, else a new one."""
    return given if given and _GIVEN_ID.fullmatch(given) else uuid.uuid4().hex


def note(event: str, level: int = logging.INFO, **facts: str | float | None) -> None:
    """Write one line."""
    LOG.log(level, event, extra={"facts": {name: value for name, value in facts.items() if value is not None}})


def note_fault(error: BaseException, id: str) -> None:
    """Write that something of ours went wrong: the kind of exception and where it came from."""
    note("fault", logging.ERROR, id=id, kind=type(error).__name__, place=origin(error))


class JsonLines(logging.Formatter):
    """Writes a record as a line of JSON. Of an exception only its kind and place are told."""

    def format(self, record: logging.LogRecord) -> str:
        """Return the line."""
        line: dict[str, Any] = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "event": record.getMessage(),
            **getattr(record, "facts", {}),
        }
        if record.exc_info and record.exc_info[1]:
            line |= {"kind": type(record.exc_info[1]).__name__, "place": origin(record.exc_info[1])}
        return json.dumps(line, ensure_ascii=False)


def log_configuration(level: str = "INFO") -> dict[str, Any]:
    """Return the configuration of the server's loggers: everything as JSON lines on standard error."""
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "formatters": {"lines": {"()": JsonLines}},
        "handlers": {"errors": {"class": "logging.StreamHandler", "formatter": "lines", "stream": "ext://sys.stderr"}},
        "loggers": {
            "handframe": {"handlers": ["errors"], "level": level, "propagate": False},
            "uvicorn": {"handlers": ["errors"], "level": "WARNING", "propagate": False},
        },
    }
