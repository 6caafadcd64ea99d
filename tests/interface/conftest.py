"""The service in this process, with one planner, and the scores that it is tried with."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from service.api import create_app
from service.settings import Settings

ADDRESS = "http://127.0.0.1:8765"


@pytest.fixture(scope="session")
def client() -> Iterator[TestClient]:
    """A client of the service with the settings as they come."""
    with TestClient(create_app(Settings(planners=1)), base_url=ADDRESS) as made:
        yield made


@pytest.fixture
def waltz(sample_scores: dict[str, Path]) -> bytes:
    """A score of one violin part."""
    return sample_scores["ferry_waltz"].read_bytes()


@pytest.fixture
def march(sample_scores: dict[str, Path]) -> bytes:
    """A compressed score."""
    return sample_scores["pier_march"].read_bytes()
