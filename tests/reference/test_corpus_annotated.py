"""The main job on every document that the music21 package brings along (its corpus and its lilypond suite).

Every document is read or refused with a clear error. Every document with a violin or viola part is marked; cleaned it
is the input, byte for byte (in an archive the score is, and all else in it); marked twice it is as marked once; the
schema judges it as before (source of the schema: see `tests/schema.py`).
"""

from __future__ import annotations

from pathlib import Path

import pytest

from service.config.options import Options, read_options
from service.errors import ScoreError
from service.musicxml.file.container import open_document
from service.usecases.annotate import AnnotatedScore, annotate
from service.usecases.clean import clean
from tests.reference.test_corpus_bytes import documents
from tests.schema import musicxml_schema
from tests.soak.laws import held

_EVERY = 14
EVERY = pytest.mark.parametrize("every", [6 * _EVERY, pytest.param(_EVERY, marks=pytest.mark.long)])


def answered(data: bytes, options: Options) -> AnnotatedScore | ScoreError:
    """The answer, or the refusal."""
    try:
        return annotate(data, options)
    except ScoreError as error:
        return error


def marked(path: Path, instrument: str, level: str) -> int:
    """Check one document for one instrument; returns the number of its parts that were marked."""
    data = path.read_bytes()
    options = read_options(
        {"instrument": [instrument], "level": [level], "range_lines": ["true"], "shift_lines": ["true"]}
    )
    answer = answered(data, options)
    if isinstance(answer, ScoreError):
        assert answer.status < 500, f"{path.name}: {answer}"
        assert answer.message
        assert answer.advice
        return 0
    assert held(clean(answer.data)) == held(data)
    assert annotate(answer.data, options).data == answer.data
    schema = musicxml_schema()
    before, after = open_document(data).root, open_document(answer.data).root
    assert schema.validate(before) == schema.validate(after)
    for part in answer.parts:
        rows = part.review.plan.rows
        assert [row.note.row for row in rows] == sorted(row.note.row for row in rows if row.note.row is not None)
        unheld = [
            fingered for fingered in part.review.plan.unheld if len(part.passage.events[fingered.event].notes) == 1
        ]
        assert all(not part.review.plan.route.options[fingered.event].grips for fingered in unheld)
    return len(answer.parts)


@EVERY
@pytest.mark.parametrize("instrument", ["violin", "viola"])
def test_a_sample_of_the_collection(instrument: str, every: int) -> None:
    assert sum(marked(path, instrument, "first-and-third") for path in documents()[::every]) > 0


def replaced(path: Path, instrument: str) -> int:
    """Check one document whose marks are replaced; returns how many words and lines were taken out."""
    data = path.read_bytes()
    options = read_options({"instrument": [instrument], "level": ["to-fifth"], "printed": ["replace"]})
    answer = answered(data, options)
    if isinstance(answer, ScoreError):
        assert answer.status < 500, f"{path.name}: {answer}"
        return 0
    assert held(clean(answer.data)) == held(data)
    assert annotate(answer.data, options).data == answer.data
    return sum(len(part.reading.outdated) for part in answer.parts)


@EVERY
def test_what_a_sample_of_the_collection_prints_is_replaced(every: int) -> None:
    for path in documents()[::every]:
        replaced(path, "violin")


@pytest.mark.slow
def test_what_the_whole_collection_prints_is_replaced() -> None:
    assert sum(replaced(path, "violin") for path in documents()) > 0, "some parts name the string they are for"


@pytest.mark.slow
@pytest.mark.parametrize("level", ["first-and-third", "all"])
@pytest.mark.parametrize("instrument", ["violin", "viola"])
def test_the_whole_collection(instrument: str, level: str) -> None:
    parts = sum(marked(path, instrument, level) for path in documents())
    assert parts > 50, f"{parts} parts marked in {len(documents())} documents"
