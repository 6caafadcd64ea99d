"""What every test may ask for: passages in the short form of `tests/notation.py`, and the sample scores."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import settings

from rules import Passage
from tests.notation import read_passage

ROOT = Path(__file__).resolve().parent.parent
os.environ["LC_ALL"] = "C.UTF-8"  # commands speak the language of the locale
MUSIC = {".musicxml", ".mxl"}

# The everyday run tries the same examples each time, so that a change is what made a test fail; the soak looks for new
# ones. No deadlines: how long a single example takes says more about the machine than about the code.
settings.register_profile("everyday", deadline=None, derandomize=True, max_examples=50)
settings.register_profile("soak", deadline=None, max_examples=2000)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "everyday"))


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--update-golden",
        action="store_true",
        help="write the golden results anew instead of comparing with them; read the diff before it is committed",
    )


def pytest_sessionstart() -> None:
    """Empty the caches of `rules`: mutation testing copies a process in which the tests have run before."""
    for name in [name for name in sys.modules if name.partition(".")[0] == "rules"]:
        for function in vars(sys.modules[name]).values():
            if hasattr(function, "cache_clear"):
                function.cache_clear()


def pytest_xdist_auto_num_workers() -> int:
    """One more than the cores: many tests wait for a time limit or for a process, and no core waits with them."""
    return (os.cpu_count() or 1) + 1


@pytest.fixture
def update_golden(request: pytest.FixtureRequest) -> bool:
    """Whether golden results are to be written anew."""
    return bool(request.config.getoption("--update-golden"))


@pytest.fixture
def passage() -> Callable[..., Passage]:
    """Build a passage: `passage("E5:1 B5:2 | [D4 B4]:1", tempo=60)`."""
    return read_passage


@pytest.fixture
def sample_scores() -> dict[str, Path]:
    """The sample scores by name."""
    return {path.stem: path for path in sorted((ROOT / "sample_scores").iterdir()) if path.suffix in MUSIC}
