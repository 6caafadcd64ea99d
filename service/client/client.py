"""The requests to a running service: annotate, review, practice, clean, and a whole catalogue."""

from __future__ import annotations

import time
from collections import deque
from collections.abc import Iterable, Iterator, Mapping, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from types import TracebackType
from typing import Any
from urllib.parse import unquote

import httpx2

from ..errors import ScoreError, said

DEFAULT_ADDRESS = "http://127.0.0.1:8765"
_BUSY = frozenset({429, 503})
_LONGEST_PAUSE = 60.0  # seconds; a service that asks for more is not waited for
Option = str | int | float | bool | Sequence[str]
"""The value of an option, by the names that the service has for them."""


@dataclass(frozen=True, slots=True)
class MarkedScore:
    """A marked score and what the service says of it.

    Attributes:
        data: the file; the one that was sent, if it already carried exactly these marks.
        name: a name for the file.
        parts: ids of the parts planned.
        findings: how many there are in all parts, and `proposals` likewise.
        level_needed: the lowest level that can play all parts.
        remarks: what to know of a file in another format, or with more scores in it.
    """

    data: bytes
    name: str
    parts: tuple[str, ...]
    findings: int
    proposals: int
    level_needed: str
    remarks: tuple[str, ...]


class Client:
    """A connection to a running service; use it in a `with` statement, or `close` it.

    A busy service (503, 429) is asked again after the time that it names in `Retry-After`.

    Args:
        address: where the service answers.
        seconds: time for one request.
        attempts: how often a busy service is asked.
        transport: how requests are sent, for tests.
    """

    def __init__(
        self,
        address: str = DEFAULT_ADDRESS,
        *,
        seconds: float = 120.0,
        attempts: int = 5,
        transport: httpx2.BaseTransport | None = None,
    ) -> None:
        self._address, self._attempts = address, attempts
        try:
            self._client = httpx2.Client(base_url=address, timeout=seconds, transport=transport)
        except (httpx2.InvalidURL, ValueError):
            raise _no_service(address) from None

    def __enter__(self) -> Client:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the connection."""
        self._client.close()

    def annotate(self, data: bytes, name: str = "", **options: Option) -> MarkedScore:
        """Return the score with marks.

        Raises:
            ScoreError: what the service refuses, by its own code; `no-service`, if none answers.
        """
        answer = self._send("/annotate", data, name, options)
        headers = answer.headers
        return MarkedScore(
            data if answer.status_code == 204 else answer.content,
            _file_name(headers.get("Content-Disposition", "")) or name,
            _listed(headers.get("Handframe-Parts", "")),
            int(headers.get("Handframe-Findings", "0")),
            int(headers.get("Handframe-Proposals", "0")),
            headers.get("Handframe-Level-Needed", ""),
            _listed(headers.get("Handframe-Remarks", "")),
        )

    def review(self, data: bytes, name: str = "", **options: Option) -> dict[str, Any]:
        """Return the review: the plan, the proposals and the findings of every part.

        Raises:
            ScoreError: as for `annotate`.
        """
        review: dict[str, Any] = self._send("/review", data, name, options).json()
        return review

    def practice(self, data: bytes, name: str = "", **options: Option) -> bytes:
        """Return the practice sheet, as MusicXML or, with `format="page"`, as a page to print.

        Raises:
            ScoreError: as for `annotate`.
        """
        return self._send("/practice", data, name, options).content

    def clean(self, data: bytes, name: str = "") -> bytes:
        """Return the score without our marks.

        Raises:
            ScoreError: as for `annotate`.
        """
        answer = self._send("/clean", data, name, {})
        return data if answer.status_code == 204 else answer.content

    def review_all(
        self, scores: Iterable[tuple[str, bytes]], at_once: int = 4, **options: Option
    ) -> Iterator[tuple[str, dict[str, Any] | ScoreError]]:
        """Yield the name and the review of every score, or why there is none, in the order of the scores.

        Scores are taken only as fast as answers come, so that a catalogue need never be in memory as a whole.
        """
        waiting: deque[tuple[str, Future[dict[str, Any]]]] = deque()
        with ThreadPoolExecutor(at_once, thread_name_prefix="client") as threads:
            for name, data in scores:
                waiting.append((name, threads.submit(self.review, data, name, **options)))
                if len(waiting) >= 2 * at_once:
                    yield _outcome(*waiting.popleft())
            while waiting:
                yield _outcome(*waiting.popleft())

    def _send(self, path: str, data: bytes, name: str, options: Mapping[str, Option]) -> httpx2.Response:
        query: list[tuple[str, str | int | float | bool | None]] = [("filename", name)] if name else []
        query += [(option, text) for option, value in options.items() for text in _texts(value)]
        for attempt in range(1, self._attempts + 1):
            try:
                answer = self._client.post(path, content=data, params=query)
            except httpx2.TimeoutException:
                raise _too_slow(self._address) from None
            except (httpx2.TransportError, httpx2.InvalidURL):
                raise _no_service(self._address) from None
            pause = _pause(answer)
            if answer.status_code not in _BUSY or attempt == self._attempts or pause > _LONGEST_PAUSE:
                break
            time.sleep(pause)
        if answer.is_success:
            return answer
        raise _problem(answer)


def _outcome(name: str, review: Future[dict[str, Any]]) -> tuple[str, dict[str, Any] | ScoreError]:
    try:
        return name, review.result()
    except ScoreError as error:
        return name, error


def _texts(value: Option) -> list[str]:
    if isinstance(value, bool):
        return [str(value).lower()]
    return [str(value)] if isinstance(value, str | int | float) else list(value)


def _pause(answer: httpx2.Response) -> float:
    text = answer.headers.get("Retry-After", "")
    return float(text) if text.isdecimal() else 1.0


def _listed(header: str) -> tuple[str, ...]:
    return tuple(unquote(each) for each in header.split(",") if each)


def _file_name(header: str) -> str:
    encoded = header.rpartition("filename*=UTF-8''")[2] if "filename*=" in header else ""
    return unquote(encoded) or header.partition('filename="')[2].partition('"')[0]


def _problem(answer: httpx2.Response) -> ScoreError:
    """The refusal of the service (RFC 9457) as the error that the use case raises."""
    try:
        problem = answer.json()
        return ScoreError(
            problem["code"], problem["detail"], problem["advice"], problem.get("where"), answer.status_code
        )
    except (ValueError, KeyError, TypeError):
        return ScoreError(
            "no-service",
            said(
                "What answers at {address} is not this service (status {status}).",
                address=f"{answer.url.scheme}://{answer.url.netloc.decode()}",
                status=answer.status_code,
            ),
            said("Name the address of the service."),
            None,
            502,
        )


def _no_service(address: str) -> ScoreError:
    return ScoreError(
        "no-service",
        said("No service answers at {address}.", address=address),
        said("Start one with `handframe serve`."),
        None,
        503,
    )


def _too_slow(address: str) -> ScoreError:
    return ScoreError(
        "too-slow",
        said("The service at {address} took too long.", address=address),
        said("Send one movement or one part at a time."),
        None,
        503,
    )
