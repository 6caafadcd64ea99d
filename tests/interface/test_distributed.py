"""The check of a catalogue on a cluster: a local one, real processes. Source of the engine: dask.distributed."""

from __future__ import annotations

import json
import subprocess
import sys
import warnings
from collections.abc import Iterator
from pathlib import Path

import distributed
import pytest

from service.config.options import Options, read_options
from service.reports.wire.review_data import review_data
from service.usecases.annotate import review_score
from service.workers.distributed import check, check_catalogue, folder_scores
from tests.interface.running import ROOT


@pytest.fixture(scope="module")
def cluster() -> Iterator[object]:
    """Two workers, each a process of its own."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        with (
            distributed.LocalCluster(
                n_workers=2, threads_per_worker=1, dashboard_address=None, host="127.0.0.1"
            ) as made,
            distributed.Client(made) as client,
        ):
            yield client


def _same(found: dict[str, object]) -> str:
    return json.dumps(found, sort_keys=True)


@pytest.mark.filterwarnings("ignore")
def test_a_catalogue_is_checked_as_one_machine_would(cluster: object, sample_scores: dict[str, Path]) -> None:
    scores = [(path.name, path.read_bytes()) for path in sample_scores.values()] * 4
    scores += [("picture.xml", b"\x89PNG"), ("empty.xml", b"")]
    read: list[str] = []

    def one_by_one() -> Iterator[tuple[str, bytes]]:
        for score in scores:
            read.append(score[0])
            yield score

    found = []
    for each in check_catalogue(cluster, one_by_one(), Options()):
        found.append(each)
        assert len(read) <= len(found) + 8, "it reads no further than answers come"
    expected = [check(name, data, Options()) for name, data in scores]
    assert sorted(map(_same, found)) == sorted(map(_same, expected))
    assert sum("fault" in each for each in found) == 2


def test_the_work_is_a_function_of_bytes(sample_scores: dict[str, Path]) -> None:
    data = sample_scores["two_oars"].read_bytes()
    options = read_options({"level": ["all"]})
    assert check("a", data, options) == {"file": "a", "review": review_data(review_score(data, options))}
    assert check("a", b"", options)["fault"]["code"] == "empty"  # type: ignore[index]


def test_from_the_command_line(cluster: object, tmp_path: Path, waltz: bytes) -> None:
    (tmp_path / "below").mkdir()
    (tmp_path / "below" / "waltz.xml").write_bytes(waltz)
    (tmp_path / "notes.txt").write_bytes(b"")
    assert [name for name, _ in folder_scores(tmp_path)] == ["below/waltz.xml"]
    address = cluster.scheduler.address  # type: ignore[attr-defined]
    command = [sys.executable, "-m", "service.workers.distributed", address, str(tmp_path), "level=to-fifth"]
    done = subprocess.run(command, capture_output=True, text=True, cwd=ROOT, timeout=60)
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout)["review"]["parts"][0]["level"] == "to-fifth"
