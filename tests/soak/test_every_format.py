"""Whole collections as witnesses: every score in every format goes in, and what comes back is a score.

Sources: every file of music21's corpus in a format that is read (MusicXML, .mxl, ABC, Humdrum kern), its scores in
other formats, and every file of the folders that `HANDFRAME_COLLECTIONS` names (with the separator of paths between
them), for example the test collections of engraving programs. Laws: an answer, or a refusal that says why, and never a
crash. MusicXML comes back byte for byte once our marks are taken out. The rest comes back as MusicXML that is read
again with as many notes. A format that is not read is refused. The whole corpus keeps a journal: a run that was cut off
goes on.
"""

from __future__ import annotations

import os
from collections import Counter
from pathlib import Path

import music21
import pytest

from service.config.file_limits import DEFAULT_LIMITS
from service.config.options import Options, read_options
from service.errors import ScoreError
from service.musicxml.formats.known_formats import ENDINGS, MUSICXML, format_of
from service.musicxml.notation.part_list import list_parts
from service.usecases.annotate import annotate
from service.usecases.clean import clean
from service.usecases.scores import open_score
from tests.conftest import ROOT
from tests.soak.figures import tell
from tests.soak.journal import Journal, program_state
from tests.soak.laws import held, refusal

CORPUS = Path(music21.__file__).parent / "corpus"
FOLDERS = [Path(name) for name in os.environ.get("HANDFRAME_COLLECTIONS", "").split(os.pathsep) if name]
_SHARES = 8  # of a collection, so that several processes have something to do
_EVERY = 400  # in a short run, every so many-th file
_TOUGH = 100_000  # bytes: a short run leaves out what takes long
_OTHER_SCORES = {".rntxt", ".mus", ".musx", ".noteworthytext", ".nwctxt", ".md", ".capx"}  # as music21 carries them


def scores(folder: Path) -> list[Path]:
    return sorted(path for path in folder.rglob("*") if path.suffix.lower() in ENDINGS and path.is_file())


def trip(path: Path) -> str:
    """Mark the first part of a score that has notes, check the laws, and return the outcome."""
    data = path.read_bytes()
    format = format_of(data, path.name)
    try:
        opened = open_score(data, Options(), DEFAULT_LIMITS, path.name)
        part = next((listing.id for listing in list_parts(opened.document.root) if listing.notes), None)
        if part is None:
            return f"{format.name}: no notes"
        answer = annotate(data, read_options({"level": ["all"], "part": [part]}), name=path.name)
    except ScoreError as error:
        return f"{format.name}: refused, {refusal(error)}"
    if opened.format is MUSICXML:
        assert held(clean(answer.data)) == held(clean(data)), path
    else:
        again = annotate(answer.data, read_options({"level": ["all"], "part": [part]}))
        assert len(again.parts[0].passage.notes) == len(answer.parts[0].passage.notes), path
    return f"{format.name}: marked"


def _all(name: str, paths: list[Path]) -> Counter[str]:
    journal = Journal(ROOT / "build" / "soak" / f"{name.replace(' ', '_')}.jsonl", program_state())
    outcomes = list(journal.outcomes(paths, trip))
    counts = Counter(outcome if not outcome.startswith("FAILED") else "FAILED" for _, outcome in outcomes)
    tell(f"every format: {name}", files=len(paths), **dict(sorted(counts.items())))
    failed = [f"{path}: {outcome}" for path, outcome in outcomes if outcome.startswith("FAILED")]
    assert not failed, "\n".join(failed)
    return counts


@pytest.mark.long
def test_a_sample_of_the_corpus() -> None:
    outcomes = _all("sample", [path for path in scores(CORPUS)[::_EVERY] if path.stat().st_size < _TOUGH])
    assert sum(count for outcome, count in outcomes.items() if outcome.endswith("marked")) >= 5


def test_scores_in_other_formats_are_refused() -> None:
    paths = [path for path in sorted(CORPUS.rglob("*")) if path.suffix.lower() in _OTHER_SCORES]
    assert len(paths) > 50
    for path in paths:
        with pytest.raises(ScoreError) as refused:
            annotate(path.read_bytes(), Options(), name=path.name)
        refusal(refused.value)


@pytest.mark.slow
@pytest.mark.parametrize("share", range(_SHARES))
def test_the_whole_corpus(share: int) -> None:
    outcomes = _all(f"corpus {share}", scores(CORPUS)[share::_SHARES])
    marked = sum(count for outcome, count in outcomes.items() if outcome.endswith("marked"))
    assert marked / outcomes.total() >= 0.95, outcomes


@pytest.mark.slow
@pytest.mark.skipif(not FOLDERS, reason="HANDFRAME_COLLECTIONS names no folder")
@pytest.mark.parametrize("folder", FOLDERS, ids=str)
def test_a_collection_of_your_own(folder: Path) -> None:
    assert _all(folder.name, scores(folder)), "there is no score in the folder"
