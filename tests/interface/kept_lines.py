"""What the service logs, kept for a test."""

from __future__ import annotations

import logging

from service.http.log import JsonLines


class Kept(logging.Handler):
    """Keeps what is logged, whatever else listens to the same logger."""

    def __init__(self) -> None:
        super().__init__(logging.INFO)
        self.lines: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.lines.append(JsonLines().format(record))
