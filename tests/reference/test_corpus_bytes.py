"""Byte laws over every MusicXML document that the music21 package brings along (its corpus and its lilypond suite).

Source of the documents: the `music21` package; they are read where it installed them. Source of the note order: lxml.
Source of the schema: see `tests/schema.py`.
"""

from __future__ import annotations

import zipfile
from collections.abc import Callable
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import IO

import pytest
from music21 import common

from service.errors import ScoreError
from service.musicxml.file.container import Document, open_document
from service.musicxml.file.elements import Mark, NoteMark, Removal, WordsMark
from service.musicxml.file.scan import find_notes
from service.musicxml.notation.part_list import list_parts
from service.musicxml.read.reader import read_part
from service.musicxml.write.cleaning import clean, guard
from service.musicxml.write.splice import insert
from tests.schema import musicxml_schema

_SUFFIXES = (".mxl", ".musicxml", ".xml")


@cache
def documents() -> tuple[Path, ...]:
    """Every file of the package that holds a score (by its content, not by its name), smallest first."""
    found = []
    for path in sorted(common.getSourceFilePath().rglob("*")):
        if path.suffix not in _SUFFIXES:
            continue
        data = path.read_bytes()
        text = data.replace(b"\0", b"")
        if data[:2] == b"PK" or b"<score-partwise" in text:
            found.append(path)
    return tuple(sorted(found, key=lambda path: (path.stat().st_size, str(path))))


_EVERY = 12
"""Every so many-th document is tried in the long tests, and a third of these in a short run."""
_CHOSEN = [
    pytest.param(path, marks=() if number % 3 == 0 else pytest.mark.long, id=path.stem)
    for number, path in enumerate(documents()[::_EVERY])
]


def pattern(count: int) -> list[Mark]:
    """A fixed pattern that uses every kind of mark and marks every note."""
    marks: list[Mark] = []
    for note in range(count):
        if note % 7 == 0:
            marks.append(WordsMark(note, "3ème pos., sul A", staff=1 if note % 2 else None))
        if note % 11 == 3:
            marks.append(WordsMark(note, bracket="start" if note % 2 else "stop"))
        if note % 5 == 0:
            marks.append(Removal(note, frozenset({"fingering", "string", "open-string"})))
        marks.append(
            NoteMark(
                note,
                finger=note % 5,
                string=1 + note % 4 if note % 3 == 0 else None,
                open_string=note % 13 == 5,
                placement=(None, "above", "below")[note % 3],
                slides=((("start", 1), ("stop", 1))[: note % 3]),
                natural_harmonic=note % 17 == 2,
            )
        )
    return marks


def check(path: Path) -> int:
    """Every law on one document; the number of its notes."""
    data = path.read_bytes()
    document = open_document(data, prepare=clean)
    text = document.working
    assert document.rebuild(text) is data, "an unchanged score must come back as the very same bytes"

    notes = find_notes(text)
    lines = [note.sourceline for note in document.root.iter("note")]
    assert len(notes) == len(lines)
    assert [note.findtext("pitch/step") for note in document.root.iter("note")] == [
        _step(text[start:stop]) for start, stop in zip(notes, [*notes[1:], len(text)], strict=True)
    ]

    for listing in list_parts(document.root):
        assert _read(document, listing.id) == _read(document, listing.id, document.text_of_note), "alike is read alike"

    marks = pattern(len(notes))
    marked = insert(text, marks)
    guard(text, marked)
    assert clean(marked) == text
    assert insert(clean(marked), marks) == marked

    answer = document.rebuild(marked)
    again = open_document(answer, prepare=clean)
    assert again.working == text
    back = again.rebuild(again.working)
    assert again.rebuild(insert(again.working, marks)) == answer
    if document.kind == "xml":
        assert back == data, "the cleaned file must be the input"
    else:
        assert _contents(_file(back)) == _contents(path), "the score's own bytes and every other entry"
        names = [name for name, _ in _contents(_file(answer))]
        assert names == [name for name, _ in _contents(path)]

    tree = open_document(answer).root
    assert [len(note.findall("notations/technical/fingering")) for note in tree.iter("note")].count(0) == 0
    assert len(tree.findall(".//words")) - len(document.root.findall(".//words")) == len(
        [mark for mark in marks if isinstance(mark, WordsMark) and mark.text]
    )
    schema = musicxml_schema()
    assert schema.validate(tree) == schema.validate(document.root), schema.error_log.last_error
    return len(notes)


def _read(document: Document, part: str, text_of_note: Callable[[int], bytes] | None = None) -> object:
    """What is read of a part, and where its notes stand; or why it is refused."""
    try:
        reading = read_part(document.root, part, text_of_note=text_of_note)
    except ScoreError as error:
        return str(error)
    passage = reading.passage
    return passage.events, passage.measures, passage.words, passage.remarks, dict(reading.places)


def _step(note: bytes) -> str | None:
    return note.split(b"<step>", 1)[1][:1].decode() if b"<step>" in note else None


def _contents(file: IO[bytes] | Path) -> list[tuple[str, bytes]]:
    with zipfile.ZipFile(file) as archive:
        return [(info.filename, archive.read(info)) for info in archive.infolist()]


def _file(data: bytes) -> IO[bytes]:
    return BytesIO(data)


def test_there_are_documents() -> None:
    assert len(documents()) > 700


@pytest.mark.parametrize("path", _CHOSEN)
def test_a_sample_of_the_corpus(path: Path) -> None:
    check(path)


@pytest.mark.slow
def test_the_whole_corpus() -> None:
    notes = [check(path) for path in documents()]
    assert sum(notes) > 500_000
