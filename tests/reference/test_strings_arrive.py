"""How strings are written, and what other programs keep of it: the table in `service/musicxml/README.md`.

Source: the packages `verovio` (an engraver) and `music21` (an analysis library that reads and writes MusicXML).
"""

from __future__ import annotations

import re

import pytest
import verovio
from lxml import etree
from music21 import converter
from music21.musicxml.m21ToXml import GeneralObjectExporter

from service.config.options import read_options
from service.musicxml.file.container import open_document
from service.usecases.annotate import annotate
from tests.conftest import ROOT

SCORE = (ROOT / "sample_scores" / "evening_on_the_jetty.musicxml").read_bytes()
_NUMERALS = ("I", "II", "III", "IV")


def marked(strings: str) -> etree._Element:
    """A sample in which strings are printed beside digits."""
    return open_document(annotate(SCORE, read_options({"level": ["all"], "strings": [strings]})).data).root


def numerals(texts: list[str | None]) -> list[str]:
    """Those texts that name a string."""
    return [text for text in texts if text in _NUMERALS]


def drawn(root: etree._Element) -> list[str]:
    """The texts of verovio's picture."""
    toolkit = verovio.toolkit()
    assert toolkit.loadData(etree.tostring(root).decode())
    pages = "".join(toolkit.renderToSVG(page) for page in range(1, toolkit.getPageCount() + 1))
    return [text.strip() for text in re.findall(r">([^<>]+)</tspan>", pages)]


@pytest.mark.parametrize("strings", ["words", "both"])
def test_numerals_are_drawn_and_kept(strings: str) -> None:
    root = marked(strings)
    written = numerals([words.text for words in root.iter("words")])
    assert written
    assert numerals(drawn(root)) == written
    score = converter.parseData(etree.tostring(root).decode(), format="musicxml")
    kept = etree.fromstring(GeneralObjectExporter(score).parse())
    assert numerals([words.text for words in kept.iter("words")]) == written


def test_elements_are_kept_and_not_drawn() -> None:
    root = marked("elements")
    written = [string.text for string in root.iter("string")]
    assert written
    assert numerals(drawn(root)) == [], "verovio shows strings now: think again about the default"
    score = converter.parseData(etree.tostring(root).decode(), format="musicxml")
    kept = etree.fromstring(GeneralObjectExporter(score).parse())
    assert [string.text for string in kept.iter("string")] == written


def test_words_take_the_place_of_elements_and_both_print_both() -> None:
    words, elements, both = marked("words"), marked("elements"), marked("both")
    strings = [_NUMERALS[int(string.text or 0) - 1] for string in elements.iter("string")]
    assert numerals([each.text for each in words.iter("words")]) == strings
    assert list(words.iter("string")) == []
    assert numerals([each.text for each in both.iter("words")]) == strings
    assert len(list(both.iter("string"))) == len(strings)
