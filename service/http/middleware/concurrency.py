"""Limits on concurrent work: requests per client address, and bytes of all requests together."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager

from .. import problems

_RETRY_SECONDS = 2  # sent as Retry-After


class Concurrency:
    """Counts what is being worked on. Used by one event loop only, so counting needs no lock."""

    def __init__(self, requests: int, held_bytes: int) -> None:
        self._requests, self._most_held = requests, held_bytes
        self._by_client: Counter[str] = Counter()
        self._held = 0

    class Held:
        """The bytes that one request holds."""

        def __init__(self, concurrency: Concurrency) -> None:
            self._concurrency = concurrency
            self.bytes = 0

        def add(self, count: int) -> None:
            """Hold more.

            Raises:
                RequestError: that would be too much (503).
            """
            limit = self._concurrency
            if limit._held + count > limit._most_held:
                raise problems.too_much_held(_RETRY_SECONDS)
            limit._held += count
            self.bytes += count

    @contextmanager
    def visit(self, client: str) -> Iterator[Held]:
        """Count a request of a client address while it is worked on.

        Raises:
            RequestError: the address has enough requests here (429).
        """
        if self._by_client[client] >= self._requests:
            raise problems.too_many_requests(self._requests)
        self._by_client[client] += 1
        held = Concurrency.Held(self)
        try:
            yield held
        finally:
            self._held -= held.bytes
            self._by_client[client] -= 1
            if not self._by_client[client]:
                del self._by_client[client]
