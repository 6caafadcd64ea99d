"""The full check over every MusicXML document that the music21 package brings along: no part of any makes it stumble.

Source of the documents: see `test_corpus_bytes.py`. What the rules find in them was read; what fails here is a fault of
ours, or a refusal that says what to do.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from service.config.options import Options
from service.errors import ScoreError
from service.musicxml.file.container import open_document
from service.musicxml.notation.part_list import list_parts
from service.policies.policy_file import BUILT_IN, built_in
from service.reports.rendered import needs_of
from service.usecases.checks.batch import Job, check_file
from service.usecases.checks.check import CheckedFinding
from tests.reference.test_corpus_bytes import documents

_EVERY = 40
"""Every so many-th document is tried in the long tests, and a third of these in a short run."""
_CHOSEN = [
    pytest.param(path, marks=() if number % 3 == 0 else pytest.mark.long, id=path.name)
    for number, path in enumerate(documents()[::_EVERY])
]


def checked(path: Path, policy: str) -> list[CheckedFinding]:
    """Check every part of a document, whatever it is for, as a violin part."""
    try:
        ids = tuple(listing.id for listing in list_parts(open_document(path.read_bytes()).root))
    except ScoreError:
        ids = ()
    job = Job(built_in(policy), ".", Options(part=ids), frozenset({"part"}), needs_of("sarif")[0])
    result = check_file(job, str(path))
    assert result.fault is None or result.fault[0] not in ("internal", "unreadable"), f"{path.name}: {result.fault}"
    return [found for part in result.parts for found in part.findings]


@pytest.mark.parametrize("path", _CHOSEN)
def test_the_check_takes_every_part_of_some_documents(path: Path) -> None:
    for found in checked(path, "first-and-third"):
        assert found.notes
        assert "$" not in found.message
        assert found.line is not None


@pytest.mark.parametrize("every", [400, pytest.param(200, marks=pytest.mark.long)])
@pytest.mark.parametrize("policy", BUILT_IN)
def test_every_built_in_policy_takes_them(policy: str, every: int) -> None:
    assert sum(len(checked(path, policy)) for path in documents()[::every]) > 0


@pytest.mark.slow
def test_the_check_takes_every_part_of_all_documents() -> None:
    findings = sum(len(checked(path, "first-and-third")) for path in documents())
    assert findings > 1000


@pytest.mark.slow
def test_hardly_anything_is_marked_in_proof_where_nothing_is_fingered() -> None:
    """The documents print no fingers; what is reported was read and is true: chords and notes that do not exist."""
    job = Job(built_in("proof"), ".", Options(), collection=True)
    results = [check_file(job, str(path)) for path in documents()]
    parts = sum(len(result.parts) for result in results)
    found = [finding for result in results for part in result.parts for finding in part.findings if finding.counts]
    assert parts > 150
    assert len(found) <= parts / 10
    assert {finding.rule for finding in found} <= {"chord-not-held", "note-below-compass", "note-above-compass"}
