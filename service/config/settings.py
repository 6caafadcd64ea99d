"""Every setting of the service in one value, from flags or the environment; each has a name, a default and a meaning.

The flag of a setting is its name with dashes (`--upload-bytes`), its variable HANDFRAME_ and its name
(`HANDFRAME_UPLOAD_BYTES`); a flag wins. What does not belong here: how the work is done (see `options`).
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from typing import Any

from .limits import DEFAULT_LIMITS, Limits

PREFIX = "HANDFRAME_"


class SettingError(ValueError):
    """A setting with a value that it cannot have; the message names it and says what is possible."""


def _setting(default: Any, meaning: str, least: float = 0) -> Any:
    return field(default=default, metadata={"meaning": meaning, "least": least})


@dataclass(frozen=True, slots=True)
class Settings:
    """How the service is run. Counts are whole numbers, sizes bytes, times seconds."""

    host: str = _setting("127.0.0.1", "address to listen on; anything but loopback opens the service to others")
    port: int = _setting(8765, "port to listen on; 0 takes a free one")
    hosts: tuple[str, ...] = _setting((), "host names to answer to besides localhost and the address, without port")
    origins: tuple[str, ...] = _setting((), "origins of web pages that may call from elsewhere: https://editor.example")
    workers: int = _setting(1, "server processes, each with its own planners", 1)
    planners: int = _setting(0, "planner processes of each server process; 0 takes the cores, shared among the workers")
    seconds: float = _setting(60.0, "time for the work of one request, after which it is stopped", 0.05)
    queue: int = _setting(96, "requests waiting for a planner, beyond which the answer is 503", 0)
    requests: int = _setting(64, "requests of one client address at once, beyond which the answer is 429", 1)
    held_bytes: int = _setting(256_000_000, "bytes of all requests being worked on, beyond which the answer is 503", 1)
    body_seconds: float = _setting(30.0, "time in which a request has to arrive", 0.05)
    answer_seconds: float = _setting(60.0, "time in which each piece of an answer has to be taken", 0.05)
    idle_seconds: int = _setting(10, "time after which a connection without a request is closed", 1)
    upload_bytes: int = _setting(DEFAULT_LIMITS.upload_bytes, "size of a file as it is sent", 1)
    unpacked_bytes: int = _setting(DEFAULT_LIMITS.unpacked_bytes, "size of the score's XML, unpacked", 1)
    ratio: int = _setting(DEFAULT_LIMITS.ratio, "unpacked to packed size of a score above a megabyte", 1)
    entries: int = _setting(DEFAULT_LIMITS.entries, "files in a compressed score", 1)
    notes: int = _setting(DEFAULT_LIMITS.notes, "notes of a score, all parts together", 1)
    parts: int = _setting(DEFAULT_LIMITS.parts, "parts of a score", 1)
    depth: int = _setting(DEFAULT_LIMITS.depth, "elements within each other, at most the parser's own 256", 1)

    @property
    def limits(self) -> Limits:
        """The limits on what is opened."""
        return Limits(
            upload_bytes=self.upload_bytes,
            unpacked_bytes=self.unpacked_bytes,
            entries=self.entries,
            ratio=self.ratio,
            notes=self.notes,
            parts=self.parts,
            depth=self.depth,
        )

    @property
    def planner_count(self) -> int:
        """Planner processes of one server process."""
        return self.planners or max(1, (os.cpu_count() or 1) // self.workers)

    def environment(self) -> dict[str, str]:
        """The settings as variables, for processes that are started for the same service."""
        return {variable(each.name): _text(getattr(self, each.name)) for each in fields(self)}


def variable(name: str) -> str:
    """Return the name of a setting's environment variable."""
    return PREFIX + name.upper()


def meanings() -> dict[str, tuple[str, Any]]:
    """Return meaning and default of each setting by name, in order."""
    return {each.name: (each.metadata["meaning"], each.default) for each in fields(Settings)}


def read_settings(environment: Mapping[str, str], flags: Mapping[str, str] | None = None) -> Settings:
    """Return the settings from texts; what is not given keeps its default.

    Raises:
        SettingError: a value that the setting cannot have, or a variable HANDFRAME_… that is no setting.
    """
    known = {variable(each.name): each for each in fields(Settings)}
    unknown = sorted(name for name in environment if name.startswith(PREFIX) and name not in known)
    if unknown:
        raise SettingError(f"There is no setting {unknown[0]}. There are: {', '.join(known)}.")
    values: dict[str, Any] = {}
    for name, each in known.items():
        text = (flags or {}).get(each.name, environment.get(name))
        if text is not None:
            values[each.name] = _value(name, text, each.default, each.metadata["least"])
    return Settings(**values)


def _value(name: str, text: str, default: Any, least: float) -> Any:
    text = text.strip()
    if isinstance(default, tuple):
        return tuple(piece for piece in text.replace(",", " ").split() if piece)
    if isinstance(default, str):
        return text
    kind = type(default)
    try:
        value = kind(text)
    except ValueError:
        value = None
    if value is None or not least <= value <= 10**12:
        what = "a whole number" if kind is int else "a number"
        raise SettingError(f"{name} cannot be {text!r}. Give {what}, {least:g} or more.")
    return value


def _text(value: Any) -> str:
    return ",".join(value) if isinstance(value, tuple) else str(value)
