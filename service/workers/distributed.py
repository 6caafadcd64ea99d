"""Checking a catalogue that one machine cannot hold, on an existing engine (dask.distributed; extra `scale`).

The work is a pure function, `check`: bytes in, findings out, nothing kept and nothing opened, so any engine can spread
it. `check_catalogue` spreads it over the workers of a dask cluster: a bounded number of scores is under way at a time,
answers come as they are ready, and a score that cannot be read is told like any other. Workers need this package
and nothing else. From the command line: python -m service.distributed SCHEDULER FOLDER [OPTION=VALUE …], which prints
one line of JSON a score.
"""

from __future__ import annotations

import json
import sys
from collections import defaultdict
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ..config.limits import DEFAULT_LIMITS, Limits
from ..config.options import Options, read_options
from ..errors import ScoreError
from ..musicxml.formats.table import ENDINGS
from ..reports.wire.review_data import review_data
from ..usecases.annotate import review_score
from ..usecases.files import printable_name

if TYPE_CHECKING:
    from distributed import Client

_A_WORKER = 4  # scores under way for each core of the cluster: enough to keep it busy, few enough to hold


def check(name: str, data: bytes, options: Options, limits: Limits = DEFAULT_LIMITS) -> dict[str, Any]:
    """Return the review of one score as plain data under `review`, or why there is none under `fault`."""
    try:
        return {"file": name, "review": review_data(review_score(data, options, limits, name=name))}
    except ScoreError as error:
        fault = {"code": error.code, "detail": error.message, "advice": error.advice, "where": error.where}
        return {"file": name, "fault": fault}


def check_catalogue(
    client: Client, scores: Iterable[tuple[str, bytes]], options: Options, limits: Limits = DEFAULT_LIMITS
) -> Iterator[dict[str, Any]]:
    """Yield what `check` finds in each score, in no particular order.

    `scores` is read only as fast as answers come, so a catalogue need never be in one place.
    """
    from distributed import as_completed

    waiting = iter(scores)
    room = _A_WORKER * max(1, sum(client.nthreads().values()))
    under_way = as_completed()
    for _, (name, data) in zip(range(room), waiting, strict=False):
        under_way.add(client.submit(check, name, data, options, limits, pure=False))
    for finished in under_way:
        yield finished.result()
        finished.release()
        for name, data in waiting:
            under_way.add(client.submit(check, name, data, options, limits, pure=False))
            break


def folder_scores(folder: Path) -> Iterator[tuple[str, bytes]]:
    """Yield name and bytes of every score below a folder, in order."""
    for path in sorted(folder.rglob("*")):
        if path.suffix.lower() in ENDINGS and path.is_file():
            yield printable_name(path.relative_to(folder).as_posix()), path.read_bytes()


def main(arguments: list[str]) -> int:
    """Check a folder on a cluster; prints a line of JSON a score. Returns 0, or 2 if any score could not be checked."""
    from distributed import Client

    scheduler, folder, *given = arguments
    named: dict[str, list[str]] = defaultdict(list)
    for each in given:
        name, _, value = each.partition("=")
        named[name].append(value)
    failed = False
    with Client(scheduler) as client:
        for found in check_catalogue(client, folder_scores(Path(folder)), read_options(named)):
            failed |= "fault" in found
            sys.stdout.write(json.dumps(found, ensure_ascii=False) + "\n")
    return 2 if failed else 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
