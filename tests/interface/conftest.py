"""The service in this process, with one planner, and the scores that it is tried with."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from service.config.settings import Settings
from service.http.app import create_app

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


_PITCH = "<pitch><step>{}</step><octave>{}</octave></pitch>"
_NOTE = f"<note>{_PITCH}<duration>1</duration><voice>1</voice><type>quarter</type></note>"


def long_score(bars: int, first: int = 0) -> bytes:
    """A violin part of so many bars, four notes in each, that wanders about; `first` makes it another one."""
    notes = [_NOTE.format("CDEFGAB"[(first + n * n) % 7], 4 + (first + n * n // 5) % 3) for n in range(4 * bars)]
    measures = (
        f"<measure number='{bar + 1}'>{_DIVISIONS if not bar else ''}{''.join(notes[4 * bar : 4 * bar + 4])}</measure>"
        for bar in range(bars)
    )
    text = (
        "<?xml version='1.0' encoding='UTF-8'?>\n<score-partwise version='4.0'><part-list><score-part id='P1'>"
        "<part-name>Violin</part-name></score-part></part-list>"
        f"<part id='P1'>{''.join(measures)}</part></score-partwise>"
    )
    return text.replace("<step>C</step><octave>4</octave>", "<step>A</step><octave>4</octave>").encode()


_DIVISIONS = (
    "<attributes><divisions>1</divisions><time><beats>4</beats><beat-type>4</beat-type></time>"
    "<clef><sign>G</sign><line>2</line></clef></attributes>"
)
