"""The settings of the service, declared once: flags of `serve`, environment variables and the tables come from here.

The flag of a setting is its name with dashes (`--upload-bytes`), its variable HANDFRAME_ and its name
(`HANDFRAME_UPLOAD_BYTES`). A flag overrides the variable.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from difflib import get_close_matches
from typing import Annotated, Any

from pydantic import BeforeValidator, Field, ValidationError
from pydantic.fields import FieldInfo
from pydantic_settings import BaseSettings, NoDecode, SettingsConfigDict

from ..errors import Sentence, said
from .file_limits import DEFAULT_LIMITS, Limits

PREFIX = "HANDFRAME_"
_MOST = 10**12


class SettingError(ValueError):
    """A setting with a value that it cannot have; the sentence names the setting and says what is possible."""

    def __init__(self, sentence: Sentence) -> None:
        super().__init__(sentence)
        self.sentence = sentence


def _split(value: Any) -> Any:
    return tuple(value.replace(",", " ").split()) if isinstance(value, str) else value


_SCHEME = r"[a-zA-Z][a-zA-Z0-9+.-]*"
_ADDRESS = r"(\[[0-9a-fA-F:.]+\]|[A-Za-z0-9._-]+)"
_ORIGIN = f"{_SCHEME}://{_ADDRESS}(:[0-9]+)?/?"
_Hosts = Annotated[
    tuple[Annotated[str, Field(pattern=f"^({_ADDRESS}|[0-9a-fA-F:.]+)$")], ...], NoDecode, BeforeValidator(_split)
]
_Origins = Annotated[
    tuple[Annotated[str, Field(pattern=f"^{_ORIGIN}$")], ...],
    NoDecode,
    BeforeValidator(_split),
]
_EXPECTED = {
    "host": said("an address, such as 127.0.0.1"),
    "hosts": said("host names without scheme and port, such as music.example"),
    "origins": said("origins with their scheme, such as https://editor.example"),
    "frame_origins": said("origins with their scheme, such as https://school.example"),
}


class Settings(BaseSettings):
    """How the service is run. Counts are whole numbers, sizes bytes, times seconds."""

    model_config = SettingsConfigDict(env_prefix=PREFIX, frozen=True, extra="forbid", str_strip_whitespace=True)

    host: str = Field(
        "127.0.0.1",
        pattern=r"^[^\s/]+$",
        description="address to listen on; anything but loopback opens the service to others",
    )
    port: int = Field(8765, ge=0, le=65535, description="port to listen on; 0 takes a free one")
    hosts: _Hosts = Field((), description="host names to answer to besides localhost and the address, without port")
    origins: _Origins = Field(
        (), description="origins of web pages that may call from elsewhere, such as https://editor.example"
    )
    frame_origins: _Origins = Field(
        (), description="origins of web pages that may show `/embed` in a frame; without any there is no such address"
    )
    workers: int = Field(1, ge=1, le=_MOST, description="server processes, each with its own planners")
    planners: int = Field(
        0,
        ge=0,
        le=_MOST,
        description="planner processes of each server process; 0 shares the cores among the server processes",
    )
    seconds: float = Field(60.0, ge=0.05, le=_MOST, description="time for the work of one request; then it is stopped")
    queue: int = Field(96, ge=0, le=_MOST, description="requests that may wait for a planner; more are answered 503")
    requests: int = Field(
        64, ge=1, le=_MOST, description="requests of one client address at once; more are answered 429"
    )
    held_bytes: int = Field(
        256_000_000, ge=1, le=_MOST, description="bytes of all requests in progress; more are answered 503"
    )
    body_seconds: float = Field(30.0, ge=0.05, le=_MOST, description="time in which a request has to arrive")
    answer_seconds: float = Field(
        60.0, ge=0.05, le=_MOST, description="time in which the client has to take each piece of an answer"
    )
    idle_seconds: int = Field(10, ge=1, le=_MOST, description="time after which an idle connection is closed")
    upload_bytes: int = Field(DEFAULT_LIMITS.upload_bytes, ge=1, le=_MOST, description="size of a file as it is sent")
    unpacked_bytes: int = Field(
        DEFAULT_LIMITS.unpacked_bytes, ge=1, le=_MOST, description="size of the score's XML, unpacked"
    )
    ratio: int = Field(
        DEFAULT_LIMITS.ratio, ge=1, le=_MOST, description="unpacked to packed size of a score above a megabyte"
    )
    entries: int = Field(DEFAULT_LIMITS.entries, ge=1, le=_MOST, description="files in a compressed score")
    notes: int = Field(DEFAULT_LIMITS.notes, ge=1, le=_MOST, description="notes of a score, all parts together")
    parts: int = Field(DEFAULT_LIMITS.parts, ge=1, le=_MOST, description="parts of a score")
    depth: int = Field(
        DEFAULT_LIMITS.depth, ge=1, le=256, description="elements within each other; the parser allows at most 256"
    )

    @property
    def limits(self) -> Limits:
        """The limits on what is opened."""
        names = [name for name in Limits.__dataclass_fields__ if name in type(self).model_fields]
        return Limits(**{name: getattr(self, name) for name in names})

    @property
    def planner_count(self) -> int:
        """Planner processes of one server process."""
        return self.planners or max(1, (os.cpu_count() or 1) // self.workers)

    def environment(self) -> dict[str, str]:
        """The settings as variables, for processes that are started for the same service."""
        return {variable(name): _text(value) for name, value in self}


def variable(name: str) -> str:
    """Return the name of a setting's environment variable."""
    return PREFIX + name.upper()


def read_settings(flags: Mapping[str, str] | None = None) -> Settings:
    """Return the settings from flags and the environment; a setting without either keeps its default.

    Raises:
        SettingError: a value that the setting cannot have, or a variable HANDFRAME_… that is not a setting.
    """
    known = [variable(name) for name in Settings.model_fields]
    unknown = sorted(name for name in os.environ if name.startswith(PREFIX) and name not in known)
    if unknown:
        nearest = get_close_matches(unknown[0], known, n=1)
        hint = said("There are: {known}.", known=", ".join(known))
        if nearest:
            hint = said("Did you mean {nearest}?", nearest=nearest[0])
        raise SettingError(said("There is no setting {name}. {advice}", name=unknown[0], advice=hint))
    try:
        return Settings(**(flags or {}))  # type: ignore[arg-type]
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        name = str(first["loc"][0]).lower().removeprefix(PREFIX.lower())
        raise SettingError(
            said(
                "{name} cannot be {value}. Give {expected}.",
                name=variable(name),
                value=repr(first["input"]),
                expected=_expected(name),
            )
        ) from None


def _expected(name: str) -> Sentence:
    if name in _EXPECTED:
        return _EXPECTED[name]
    field = Settings.model_fields[name]
    least = next(each.ge for each in field.metadata if hasattr(each, "ge"))
    most = next(each.le for each in field.metadata if hasattr(each, "le"))
    kind = said("a whole number") if field.annotation is int else said("a number")
    if most == _MOST:
        return said("{kind}, {least} or more", kind=kind, least=f"{least:g}")
    return said("{kind} from {least} to {most}", kind=kind, least=f"{least:g}", most=f"{most:g}")


def default_text(field: FieldInfo) -> str:
    """Return the default of a setting as people write it: large numbers with commas, an empty list as "none"."""
    if isinstance(field.default, int) and field.default >= 10_000:
        return f"{field.default:,}"
    return _text(field.default) or said("none")


def _text(value: Any) -> str:
    return ",".join(value) if isinstance(value, tuple) else str(value)
