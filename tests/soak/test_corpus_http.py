"""A whole collection through the service, three times over: marked, cleaned, and byte for byte what it was.

Source of the documents: the music21 package (its corpus and its lilypond suite), read where it is installed.
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from tests.interface.running import Running, running
from tests.reference.test_corpus_bytes import documents
from tests.soak.figures import tell
from tests.soak.laws import held

_EVERY = 40  # in a short run, every so many-th document


def trip(service: Running, path: Path) -> str:
    """Through /annotate and /clean; returns what became of it: marked, nothing to mark, or the code of a refusal."""
    data = path.read_bytes()
    with service.connect(120) as connection:
        status, headers, marked = connection.ask("POST", "/annotate", data)
        if status == 422:  # no part for a violin, or not one for certain: name the first
            status, headers, marked = connection.ask("POST", "/annotate?part=P1&level=all", data)
        assert status < 500, (path, marked)
        if status == 204:
            return "nothing to mark"
        if status != 200:
            assert headers["content-type"] == "application/problem+json"
            marked = data
        cleaned_status, _, cleaned = connection.ask("POST", "/clean", marked)
        assert cleaned_status == (200 if status == 200 else 204), (path, cleaned)
        assert held(cleaned if cleaned_status == 200 else marked) == held(data), path
        if status != 200:
            return f"refused {status}"
        again, _, _ = connection.ask("POST", "/annotate", marked)
        assert again in (204, 200, 422)
    return "marked"


def _all(service: Running, paths: tuple[Path, ...]) -> dict[str, int]:
    with ThreadPoolExecutor(4) as threads:
        results = list(threads.map(lambda path: trip(service, path), paths))
    return {result: results.count(result) for result in sorted(set(results))}


@pytest.mark.long
def test_a_sample_of_the_collection() -> None:
    with running() as service:
        assert _all(service, documents()[::_EVERY])["marked"] > 5


@pytest.mark.slow
def test_the_whole_collection_three_times() -> None:
    with running() as service:
        results = [_all(service, documents()) for _ in range(3)]
    assert results[0] == results[1] == results[2]
    tell("collection through the service", documents=len(documents()), times=3, byte_identical="all", **results[0])
