"""`make bench`: a thousand-file catalogue checked, beside music21 merely reading the same files; and its memory.

The catalogue is music21's own corpus under numbered names; music21 reads every so many-th of them. Processor seconds of
both are compared, so that other work on the machine does not count.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from tests.reference.test_corpus_bytes import documents

_READ_EVERY = 20
_CHECK = """
import json, resource, sys, time
from service.usecases.checks.batch import Job, check_files, named_scores
from service.config.options import Options
from service.policies.policy_file import read_policy
from service.reports.summary import Totals
names = json.load(sys.stdin)
policy = read_policy('level = "first-and-third"\\nparts = ["P1"]', "bench")
totals, began = Totals(), time.monotonic()
for result in check_files(Job(policy, ".", Options()), named_scores(names), int(sys.argv[1])):
    totals.add(result)
spent = sum(sum(resource.getrusage(who)[:2]) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
peak = max(resource.getrusage(who).ru_maxrss for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
print(json.dumps({"files": totals.files, "notes": totals.notes, "faults": len(totals.faults), "processor": spent,
                  "seconds": time.monotonic() - began, "kilobytes": peak}))
"""
_READ = """
import json, resource, sys
from music21 import converter
names = json.load(sys.stdin)
converter.parse(names[0], forceSource=True)
began = sum(resource.getrusage(resource.RUSAGE_SELF)[:2])
for name in names:
    converter.parse(name, forceSource=True)
print(json.dumps({"processor": sum(resource.getrusage(resource.RUSAGE_SELF)[:2]) - began}))
"""


def run(code: str, names: list[str], *arguments: str) -> dict[str, float]:
    """Run a script with names on standard input, and return what it measured."""
    done = subprocess.run(
        [sys.executable, "-c", code, *arguments], input=json.dumps(names), capture_output=True, text=True, check=True
    )
    return dict(json.loads(done.stdout.splitlines()[-1]))


def catalogue(files: int) -> list[str]:
    """So many files: the corpus, small and large mixed, again and again."""
    corpus = [str(path) for path in sorted(documents(), key=lambda path: path.name) if "corpus" in path.parts]
    return [corpus[number % len(corpus)] for number in range(files)]


@pytest.mark.benchmark
def test_a_catalogue_is_checked(tmp_path: Path) -> None:
    names = catalogue(1000)
    checked = run(_CHECK, names, "2")
    reading = run(_READ, names[::_READ_EVERY])["processor"] * _READ_EVERY
    print(
        f"\n{checked['files']:.0f} files with --jobs 2: {checked['files'] / checked['seconds']:.1f} files a second, "
        f"{checked['notes'] / checked['seconds']:.0f} notes a second; processor seconds {checked['processor']:.1f}, "
        f"music21 reading them {reading:.1f}: {reading / checked['processor']:.1f} times; "
        f"peak of a process {checked['kilobytes'] / 1024:.0f} MB"
    )


@pytest.mark.slow
def test_memory_is_flat_over_the_files() -> None:
    few, many = (run(_CHECK, catalogue(files), "1")["kilobytes"] for files in (650, 1300))
    assert many < 1.1 * few, f"{few} KB for 650 files, {many} KB for 1300"
