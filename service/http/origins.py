"""Who may ask: host names and origins. Pure decisions on header values.

A page on the web can make a browser send requests to a service on the same machine. Two checks keep it out: the Host
must be a name we answer to (so a name that its owner lets point to 127.0.0.1 is of no use), and an Origin must be our
own or listed.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

LOOPBACK = frozenset({"127.0.0.1", "localhost", "::1"})
METHODS = "GET, HEAD, POST"
REQUEST_HEADERS = "Content-Type, Content-Disposition, If-None-Match, X-Request-Id"
EXPOSED = (
    "Content-Disposition, ETag, Retry-After, X-Request-Id, "
    "Handframe-Parts, Handframe-Findings, Handframe-Proposals, Handframe-Level-Needed"
)
_PREFLIGHT_SECONDS = "600"
_HOST = re.compile(r"(?:\[(?P<six>[0-9a-f:.]+)\]|(?P<name>[a-z0-9._-]+))(?::\d{1,5})?")


def host_name(host: str) -> str | None:
    """Return the name or address in a Host header, without port; None if it is none."""
    found = _HOST.fullmatch(host.strip().lower())
    return found and (found["six"] or found["name"].rstrip("."))


class Callers:
    """The hosts that the service answers to and the origins that may call it."""

    def __init__(self, hosts: Iterable[str], origins: Iterable[str]) -> None:
        self._hosts = LOOPBACK | {host.lower() for host in hosts}
        self._origins = {origin.lower().rstrip("/") for origin in origins}

    def knows_host(self, host: str) -> bool:
        """Whether the service answers to this Host header."""
        return host_name(host) in self._hosts

    def admits(self, origin: str, host: str) -> bool:
        """Whether a page of `origin` may call: one of our own (same name and port as asked for), or a listed one."""
        own = origin.lower() in (f"http://{host.lower()}", f"https://{host.lower()}")
        return own or self.lists(origin)

    def lists(self, origin: str) -> bool:
        """Whether an origin other than our own may call."""
        return origin.lower() in self._origins

    @property
    def vary(self) -> str | None:
        """The header that answers depend on as soon as any origin is listed."""
        return "Origin" if self._origins else None

    def answer_headers(self, origin: str) -> Mapping[str, str]:
        """The headers that let a listed origin read an answer."""
        return {"Access-Control-Allow-Origin": origin, "Access-Control-Expose-Headers": EXPOSED}

    def preflight_headers(self, origin: str, private_network: bool) -> Mapping[str, str]:
        """The headers that let a listed origin send its request."""
        headers = {
            "Access-Control-Allow-Origin": origin,
            "Access-Control-Allow-Methods": METHODS,
            "Access-Control-Allow-Headers": REQUEST_HEADERS,
            "Access-Control-Max-Age": _PREFLIGHT_SECONDS,
        }
        if private_network:
            headers["Access-Control-Allow-Private-Network"] = "true"
        return headers
