"""The check of a catalogue on a cluster: a local one, real processes. Source of the engine: dask.distributed."""

from __future__ import annotations

import subprocess
import sys
import time
import warnings
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from service.config.options import Options
from service.policies.policy_file import built_in
from service.reports.rendered import needs_of
from service.usecases.checks.batch import Job, check_file
from service.workers.distributed import check, check_scores
from tests.interface.deadly_policy import EndlessPolicy
from tests.interface.running import ROOT


@pytest.fixture(scope="module")
def cluster() -> Iterator[Any]:
    """Two workers, each a process of its own."""
    import distributed

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        with (
            distributed.LocalCluster(
                n_workers=2, threads_per_worker=1, dashboard_address=None, host="127.0.0.1"
            ) as made,
            distributed.Client(made) as client,
        ):
            yield client


def the_job() -> Job:
    detail, render = needs_of("json")
    return Job(built_in("first"), ".", Options(), detail=detail, render=render, collection=True)


@pytest.mark.long
@pytest.mark.filterwarnings("ignore")
def test_a_catalogue_is_checked_as_one_machine_would(cluster: Any, sample_scores: dict[str, Path]) -> None:
    scores: list[tuple[str, bytes | None]] = [(p.name, p.read_bytes()) for p in sample_scores.values()] * 3
    scores += [("picture.xml", b"\x89PNG"), ("empty.xml", b""), ("gone.xml", None)]
    read: list[str] = []

    def one_by_one() -> Iterator[tuple[str, bytes | None]]:
        for score in scores:
            read.append(score[0])
            yield score

    found = []
    for each in check_scores(cluster, the_job(), one_by_one()):
        found.append(each)
        assert len(read) <= len(found) + 8, "it reads no further than results come"
    assert found[:-1] == [check_file(the_job(), name, data) for name, data in scores[:-1]]
    assert sum(each.fault is not None for each in found) == 3


@pytest.mark.long
@pytest.mark.filterwarnings("ignore")
def test_a_score_that_takes_too_long_is_given_up_and_the_worker_goes_on(
    cluster: Any, waltz: bytes, tmp_path: Path
) -> None:
    job = Job(EndlessPolicy(str(tmp_path / "process")), ".", Options())  # type: ignore[arg-type]
    scores = [("easy.musicxml", waltz), ("waltz.musicxml", waltz), ("easy.musicxml", waltz), ("again.musicxml", waltz)]
    began = time.monotonic()
    found = list(check_scores(cluster, job, scores, seconds=2))
    assert [each.fault and each.fault[0] for each in found] == ["too-slow", None, "too-slow", None]
    assert time.monotonic() - began < 30


def test_the_time_limit_leaves_a_score_alone_that_is_done(waltz: bytes) -> None:
    assert check(the_job(), "a", waltz, 60.0).fault is None


@pytest.mark.long
@pytest.mark.filterwarnings("ignore")
def test_from_the_command_line(cluster: Any, tmp_path: Path, waltz: bytes) -> None:
    (tmp_path / "below").mkdir()
    (tmp_path / "below" / "waltz.xml").write_bytes(waltz)
    address = cluster.scheduler.address
    command = [sys.executable, "-m", "service.cli", "review", str(tmp_path), "--policy", "first", "--format", "lines"]
    alone, together = (
        subprocess.run([*command, *more], capture_output=True, text=True, cwd=ROOT, timeout=120)
        for more in ([], ["--cluster", address])
    )
    assert "Traceback" not in together.stderr
    assert (together.returncode, together.stdout) == (alone.returncode, alone.stdout)
    nowhere = subprocess.run(
        [*command, "--cluster", "tcp://127.0.0.1:1"], capture_output=True, text=True, cwd=ROOT, timeout=120
    )
    assert nowhere.returncode == 2
    assert "No scheduler answers" in nowhere.stderr
