"""The log: one JSON object a line, with request ids; never the text of an exception, a query, a name or a score."""

from __future__ import annotations

import json
import logging
from datetime import UTC, datetime
from typing import Any

from ..workers.worker import origin

LOG = logging.getLogger("handframe")
_OUR_TEXTS = {"handframe", "uvicorn"}
"""Loggers whose texts hold nothing of a request; of other libraries only the name is logged."""


def log_event(event: str, level: int = logging.INFO, **facts: str | float | None) -> None:
    """Write one line."""
    LOG.log(level, event, extra={"facts": {name: value for name, value in facts.items() if value is not None}})


def log_fault(error: BaseException, id: str) -> None:
    """Log an internal error: the kind of exception and where it was raised."""
    log_event("fault", logging.ERROR, id=id, kind=type(error).__name__, place=origin(error))


class JsonLines(logging.Formatter):
    """Writes a record as a line of JSON; of an exception only kind and place."""

    def format(self, record: logging.LogRecord) -> str:
        """Return the line."""
        line: dict[str, Any] = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "event": record.getMessage() if record.name.split(".")[0] in _OUR_TEXTS else f"message of {record.name}",
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
        "root": {"handlers": ["errors"], "level": "WARNING"},
        "loggers": {
            "handframe": {"handlers": ["errors"], "level": level, "propagate": False},
            "uvicorn": {"handlers": ["errors"], "level": "WARNING", "propagate": False},
        },
    }
