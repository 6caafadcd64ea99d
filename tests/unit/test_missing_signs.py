"""Accidentals and beams that a file lacks: taken out of scores of ours, they come back as they were written."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from lxml import etree

from service.config.file_limits import DEFAULT_LIMITS
from service.config.options import read_options
from service.drawing.missing_signs import add_signs, missing_signs
from service.musicxml.file.container import open_document
from service.web.page_data import marked_music, plan_text

PITCH = "<pitch><step>{0}</step><alter>{1}</alter><octave>4</octave></pitch>"


def part_of(path: Path) -> etree._Element:
    return next(open_document(path.read_bytes()).root.iterchildren("part"))


def signs(part: etree._Element, tag: str) -> list[list[str]]:
    """For each note, what it has of an element."""
    return [[one.text or "" for one in note.iterchildren(tag)] for note in part.iter("note")]


@pytest.mark.parametrize(
    ("name", "tag"),
    [
        *((name, "accidental") for name in ("ferry_waltz", "reed_crossing", "pier_march", "two_oars", "first_bench")),
        *((name, "beam") for name in ("ferry_waltz", "reed_crossing", "boathouse_reel", "evening_on_the_jetty")),
    ],
)
def test_what_is_taken_out_comes_back(sample_scores: dict[str, Path], name: str, tag: str) -> None:
    part = part_of(sample_scores[name])
    written = signs(part, tag)
    for element in [*part.iter(tag)]:
        element.getparent().remove(element)
    add_signs(part, missing_signs(part))
    assert signs(part, tag) == written


def test_a_part_that_has_them_is_left_as_it_is(sample_scores: dict[str, Path]) -> None:
    part = part_of(sample_scores["reed_crossing"])
    before = etree.tostring(part)
    added = add_signs(part, missing_signs(part))
    assert "beams" not in added
    if not added:
        assert etree.tostring(part) == before


def accidentals(fifths: int, *notes: str) -> list[str]:
    body = "".join(f"<note>{note}<duration>1</duration></note>" for note in notes)
    part = etree.fromstring(
        f"<part><measure><attributes><key><fifths>{fifths}</fifths></key></attributes>{body}</measure></part>"
    )
    add_signs(part, missing_signs(part))
    return [note.findtext("accidental", "") for note in part.iter("note")]


def test_an_accidental_holds_to_the_end_of_the_bar() -> None:
    sharp, natural = PITCH.format("F", 1), PITCH.format("F", 0)
    assert accidentals(0, sharp, sharp, natural, natural) == ["sharp", "", "natural", ""]
    assert accidentals(1, sharp, natural) == ["", "natural"]
    assert accidentals(-1, PITCH.format("B", -1), PITCH.format("B", 0)) == ["", "natural"]
    assert accidentals(0, PITCH.format("C", "2"), PITCH.format("B", "-2")) == ["double-sharp", "flat-flat"]


def test_a_tied_note_needs_none_and_quarter_tones_are_left_out() -> None:
    tied = PITCH.format("F", 1) + '<tie type="stop"/>'
    assert accidentals(0, tied, PITCH.format("F", 1)) == ["", "sharp"]
    assert accidentals(0, PITCH.format("F", "x"), PITCH.format("F", 3)) == ["", ""]


def test_the_page_says_what_it_has_drawn(sample_scores: dict[str, Path]) -> None:
    score = sample_scores["reed_crossing"].read_text(encoding="utf-8")
    bare = re.sub(r"<beam .*?</beam>", "", score)
    for text, drawn in ((bare, ["beams"]), (score, [])):
        of = text.encode(), read_options({}), DEFAULT_LIMITS
        added = marked_music(*of, False).added
        assert f'"drawn":{json.dumps(drawn)}' in plan_text(*of, added)
