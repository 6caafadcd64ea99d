"""The marked samples in other programs: music21 keeps every finger number that was written, verovio shows every one.

Source: the packages `music21` (an analysis library that reads and writes MusicXML) and `verovio` (an engraver).
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import verovio
from lxml import etree
from music21 import articulations, converter, expressions

from service.config.options import read_options
from service.musicxml.file.container import open_document
from service.usecases.annotate import annotate
from tests.conftest import ROOT

SAMPLES = sorted((ROOT / "sample_scores").glob("*.musicxml"))


def marked(path: Path, fingers: str) -> etree._Element:
    """A sample with its marks, as the tree that others are given."""
    answer = annotate(path.read_bytes(), read_options({"fingers": [fingers]}))
    return open_document(answer.data).root


@pytest.mark.parametrize("fingers", ["essential", "all"])
@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_music21_keeps_every_finger_and_position(path: Path, fingers: str) -> None:
    root = marked(path, fingers)
    written = [int(element.text or "") for element in root.iter("fingering")]
    score = converter.parseData(etree.tostring(root).decode(), format="musicxml")
    kept = [
        mark.fingerNumber
        for note in score.recurse().notes
        for mark in note.articulations
        if isinstance(mark, articulations.Fingering)
    ]
    assert sorted(kept) == sorted(written)
    words = [word.content for word in score.recurse().getElementsByClass(expressions.TextExpression)]
    positions = [element.text for element in root.iter("words") if re.fullmatch(r"\d+\w\w pos\.", element.text or "")]
    assert [word for word in words if re.fullmatch(r"\d+\w\w pos\.", word)] == positions


@pytest.mark.parametrize("fingers", ["essential", "all"])
@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_verovio_shows_every_finger(path: Path, fingers: str) -> None:
    root = marked(path, fingers)
    written = sum(1 for _ in root.iter("fingering"))
    toolkit = verovio.toolkit()
    assert toolkit.loadData(etree.tostring(root).decode())
    shown = sum(
        len(re.findall(r'class="fing"', toolkit.renderToSVG(page))) for page in range(1, toolkit.getPageCount() + 1)
    )
    assert shown == written
