"""Checks who may call: host names, origins, and the headers in which a browser says where a request comes from.

A page on the web can make a browser send requests to a service on the same machine. The Host must be a name we answer
to, an Origin must be our own or listed, and a request that another site causes (Sec-Fetch-Site) is refused.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from starlette.datastructures import Headers

from .. import problems

LOOPBACK = frozenset({"127.0.0.1", "localhost", "::1"})
_OWN_SITE = frozenset({"same-origin", "none"})
_EMBEDDABLE = re.compile(r"/embed")
_LINKABLE = re.compile(r"/|/docs|/rules|/problems/[^/]*")
_HOST = re.compile(r"(?:\[(?P<six>[0-9a-f:.]+)\]|(?P<name>[a-z0-9._-]+))(?::\d{1,5})?")


def host_name(host: str) -> str | None:
    """Return the name or address in a Host header, without port; None if it is none."""
    match = _HOST.fullmatch(host.strip().lower())
    return match and (match["six"] or match["name"].rstrip("."))


class OriginCheck:
    """The hosts that the service answers to and the origins that may call it."""

    def __init__(self, hosts: Iterable[str], origins: Iterable[str], frame_origins: Iterable[str] = ()) -> None:
        self._hosts = LOOPBACK | {host.lower() for host in hosts}
        self.origins = frozenset(origin.lower().rstrip("/") for origin in origins)
        # Browsers do not say which page holds a frame; they compare it with the policy of the answer.
        self._opened_in = {"document": _LINKABLE, **({"iframe": _EMBEDDABLE} if any(frame_origins) else {})}

    def check(self, method: str, path: str, headers: Headers) -> None:
        """Refuse a request that its sender may not make.

        Raises:
            RequestError: an unknown host (421), or a page of another site (403).
        """
        host, origins = headers.get("host", ""), headers.getlist("origin")
        if host_name(host) not in self._hosts:
            raise problems.wrong_host()
        if not all(self._admits(origin, host) for origin in origins):
            raise problems.foreign_origin()
        foreign = not _OWN_SITE.issuperset(headers.getlist("sec-fetch-site"))
        if foreign and not origins and not self._opens_page(method, path, headers):
            raise problems.cross_site()

    def _admits(self, origin: str, host: str) -> bool:
        """Whether a page of `origin` may call: one of our own (same name and port as asked for), or a listed one."""
        own = origin.lower() in (f"http://{host.lower()}", f"https://{host.lower()}")
        return own or origin.lower() in self.origins

    def _opens_page(self, method: str, path: str, headers: Headers) -> bool:
        """Whether the request opens one of our pages as a whole, as a followed link does, or in a frame that may be."""
        pages = self._opened_in.get(headers.get("sec-fetch-dest", ""))
        navigates = method == "GET" and headers.get("sec-fetch-mode") == "navigate"
        return navigates and pages is not None and pages.fullmatch(path) is not None
