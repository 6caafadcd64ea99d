"""The engraver's copy and its pictures: every row of the plan is found again, and the score itself is not touched."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from lxml import etree

from service.config.file_limits import DEFAULT_LIMITS
from service.config.options import read_options
from service.drawing.engraving import Layout, engrave, music_font, prepare_for_engraver
from service.errors import ScoreError
from service.web.page_data import compared, marked_music

XLINK = "{http://www.w3.org/1999/xlink}href"


def shown(score: bytes, **options: str) -> tuple[str, list[etree._Element]]:
    """The copy for the engraver, and its pictures."""
    (copy,), _ = marked_music(score, read_options({k: [v] for k, v in options.items()}), DEFAULT_LIMITS, False)
    return copy, [etree.fromstring(page.encode()) for page in engrave(copy, Layout(1900))]


@pytest.mark.parametrize("name", ["ferry_waltz", "two_oars", "pier_march", "reed_crossing"])
def test_every_row_of_the_plan_is_drawn_once_and_in_order(sample_scores: dict[str, Path], name: str) -> None:
    copy, pictures = shown(sample_scores[name].read_bytes())
    drawn = [int(id[1:]) for page in pictures for id in page.xpath("//*[contains(@class, 'note')]/@id") if id[0] == "n"]
    rows = sorted(int(row) for row in re.findall(r'<note[^>]* id="n(\d+)"', copy))
    assert rows == list(range(len(rows)))
    assert sorted(drawn) == rows
    assert rows


def test_only_the_part_that_is_looked_at_is_drawn(sample_scores: dict[str, Path]) -> None:
    copy, pictures = shown(sample_scores["lantern_quartet"].read_bytes(), part="P2")
    assert re.findall(r'<part id="(\w+)"', copy) == ["P2"]
    assert pictures[0].xpath("count((//*[@class='system'])[1]//*[@class='staff']) >= 1")
    measures = pictures[0].xpath("//*[@class='measure']")
    assert all(len(measure.xpath(".//*[@class='staff']")) == 1 for measure in measures)


def test_pictures_bring_no_style_and_reach_for_nothing_outside(sample_scores: dict[str, Path]) -> None:
    _, pictures = shown(sample_scores["ferry_waltz"].read_bytes())
    for page in pictures:
        assert not page.xpath("//*[local-name() = 'style']")
        assert not page.xpath("//@style")
        assert not page.xpath("//*[local-name() = 'script']")
        assert all(link.startswith("#") for link in page.xpath("//@*[local-name() = 'href']"))


def test_strings_are_drawn_as_roman_numerals(sample_scores: dict[str, Path]) -> None:
    _, pictures = shown(sample_scores["evening_on_the_jetty"].read_bytes(), level="all")
    marks = {"".join(mark.itertext()).strip() for page in pictures for mark in page.xpath("//*[@class='fing']")}
    assert marks & {"I", "II", "III", "IV"}
    assert marks & {"1", "2", "3", "4"}


def test_the_bars_at_hand_are_drawn_in_both_forms(sample_scores: dict[str, Path]) -> None:
    score = sample_scores["reed_crossing"].read_bytes()
    forms = compared(score, read_options({}), ("9", "12"), Layout(1900), DEFAULT_LIMITS)
    differs = forms.pop("differs")
    assert differs, "third position is not first position"
    counts = {}
    for name, pictures in forms.items():
        pages = [etree.fromstring(page.encode()) for page in pictures]
        assert sum(len(page.xpath("//*[@class='measure']")) for page in pages) == 4
        counts[name] = sum(len(page.xpath("//*[@class='note']")) for page in pages)
        fingers = sum(len(page.xpath("//*[@class='fing']")) for page in pages)
        assert fingers >= counts[name], "every note has its finger"
    assert counts["home"] == counts["plan"]


def test_pages_have_the_size_that_was_asked_for(sample_scores: dict[str, Path]) -> None:
    (copy,), _ = marked_music(sample_scores["ferry_waltz"].read_bytes(), read_options({}), DEFAULT_LIMITS, True)
    page = etree.fromstring(next(engrave(copy, Layout(2160, 3055, 150))).encode())
    _, _, width, height = map(float, page.get("viewBox").split())
    assert width / height == pytest.approx(210 / 297, rel=0.01)  # A4, ISO 216
    assert "Ferry Waltz" in "".join(page.itertext())


def test_the_same_score_is_drawn_the_same_way_again(sample_scores: dict[str, Path]) -> None:
    (copy,), _ = marked_music(sample_scores["first_bench"].read_bytes(), read_options({}), DEFAULT_LIMITS, False)
    assert list(engrave(copy, Layout(1900))) == list(engrave(copy, Layout(1900)))


def test_a_text_that_is_no_score() -> None:
    with pytest.raises(ScoreError, match="engraver"):
        next(engrave("no score", Layout()))


@pytest.mark.parametrize(("time", "stays"), [
    ("<beats>4</beats>", False), ("<beats>4</beats><beat-type>0</beat-type>", False),
    ("<beats>4</beats><beat-type/>", False), ("<beats>4</beats><beat-type>0.5</beat-type>", False),
    ("<senza-misura/>", True), ("<beats>3+2</beats><beat-type>8</beat-type>", True),
])  # fmt: skip
def test_a_time_signature_without_a_note_value_is_left_out(
    sample_scores: dict[str, Path], time: str, stays: bool
) -> None:
    """The engraver divides by the note value: its process would end."""
    score = re.sub("<beats>.*?</beat-type>", time, sample_scores["first_bench"].read_text(), flags=re.DOTALL)
    copy = prepare_for_engraver(etree.fromstring(score.encode()), "P1", {}).text
    assert (time in copy) is stays
    assert ("<time>" in copy) is stays
    assert next(engrave(copy, Layout(1900))).startswith("<svg")


def test_the_font_of_signs_within_text_is_a_font() -> None:
    assert music_font()[:4] == b"wOF2"  # the signature of WOFF2, W3C Recommendation, section 4


def test_remarks_are_drawn_below_their_notes_and_only_there(sample_scores: dict[str, Path]) -> None:
    score = sample_scores["two_oars"].read_bytes()
    marked = marked_music(
        score, read_options({}), DEFAULT_LIMITS, False, {1: "both <fingers> & slow", 4: "listen\x07!"}
    )
    pages = [etree.fromstring(page.encode()) for page in engrave(marked.scores[0], Layout(1900))]
    words = ["".join(one.itertext()) for page in pages for one in page.xpath("//*[@class='dir']")]
    assert {"both <fingers> & slow", "listen!"} <= set(words)
    copy = etree.fromstring(marked.scores[0].encode())
    for chord in copy.iter("chord"):
        before = chord.getparent().getprevious()
        assert before.tag == "note", "nothing stands between the notes of a chord"


def test_a_space_parts_the_words_of_a_tempo_from_its_figure(sample_scores: dict[str, Path]) -> None:
    _, pictures = shown(sample_scores["ferry_waltz"].read_bytes())
    (tempo, *_) = ["".join(mark.itertext()) for page in pictures for mark in page.xpath("//*[@class='tempo']")]
    assert re.sub(r"\s", " ", tempo).startswith("Tempo di valse (")
