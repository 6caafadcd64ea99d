"""Every report and sheet of every sample in a language of accents: no English word is left in it."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path

import pytest

from rules import LEVELS, Finding, Flag, SheetForm, all_rules
from service.config.options import Options, read_options
from service.config.sheet_options import SheetFormat, SheetOptions
from service.drawing.chart import chart_of
from service.errors import ScoreError
from service.messages.message import Message, Wording
from service.musicxml.file.container import open_document
from service.musicxml.notation.title import composer_of
from service.reports.player.report import text_report
from service.reports.wire.review_data import review_json
from service.usecases.annotate import review_score
from service.usecases.practice import practice, progressive, written, written_as_wanted
from tests.pseudo_language import PSEUDO, pseudo, remnants, spoken

SAMPLES = sorted(path for path in Path("sample_scores").iterdir() if path.suffix in (".mxl", ".musicxml"))
NAMES = "The Violin Violine Viola Violini Violoncello " + " ".join(
    f"{path.stem.replace('_', ' ').title()} {composer_of(open_document(path.read_bytes()).root)}" for path in SAMPLES
)
NAMES += " " + NAMES.lower()


@pytest.fixture(autouse=True, scope="module")
def catalogues(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    with spoken(tmp_path_factory.mktemp("pseudo")):
        yield


def test_the_language_is_longer_and_shows_what_it_does_not_know() -> None:
    for text in ("Play until you can sing it.", "bar {number}", "{n} shifts"):
        assert len(re.sub(r"\{\w+\}", "", pseudo(text))) >= 1.4 * len(re.sub(r"\{\w+\}", "", text)) - 1
    assert remnants(pseudo("Play it")) == []
    assert remnants(f"{pseudo('Play it')} slowly") == ["slowly"]
    assert Wording(PSEUDO).say(Message("as planned")) == pseudo("as planned")


@pytest.mark.parametrize("level", list(LEVELS))
@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_a_report_has_no_english_in_it(path: Path, level: str) -> None:
    options = read_options({"language": [PSEUDO], "level": [level], "explain": ["true"]})
    report = text_report("", review_score(path.read_bytes(), options))
    assert len(report) > 100
    assert remnants(report, NAMES) == []


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_the_texts_of_the_cards_have_no_english_in_them(path: Path) -> None:
    answer = json.loads(review_json(review_score(path.read_bytes(), Options(language=PSEUDO)), indent=1))
    texts = [text for part in answer["parts"] for text in shown(part)]
    assert texts or path.stem in ("first_bench", "pier_march", "two_oars")
    assert [found for text in texts if (found := remnants(text, NAMES))] == []


def shown(value: object, name: str = "") -> Iterator[str]:
    """Every text of an answer that the page shows."""
    if isinstance(value, dict):
        for key, each in value.items():
            yield from shown(each, key)
    elif isinstance(value, list):
        for each in value:
            yield from shown(each, name)
    elif isinstance(value, str) and name in (
        "text",
        "message",
        "label",
        "how",
        "title",
        "why",
        "difference",
        "remarks",
    ):
        yield value


@pytest.mark.parametrize("form", list(SheetForm))
@pytest.mark.parametrize("path", [path for path in SAMPLES if path.stem != "lantern_quartet"], ids=lambda p: p.stem)
def test_a_sheet_has_no_english_in_it(path: Path, form: SheetForm) -> None:
    options, wanted = Options(language=PSEUDO, level="to-fifth"), SheetOptions(form=form)
    sheet = practice(path.read_bytes(), options, wanted).sheet
    words = words_of(written_as_wanted(sheet, options, wanted).decode(), "words|rehearsal|part-name|movement-title")
    assert len(words) > 100
    assert remnants(words, NAMES) == []


def test_the_page_of_a_sheet_has_no_english_in_it_and_names_its_language() -> None:
    options, wanted = Options(language=PSEUDO), SheetOptions(format=SheetFormat.PAGE)
    sheet = practice(Path("sample_scores/reed_crossing.musicxml").read_bytes(), options, wanted).sheet
    page = written_as_wanted(sheet, options, wanted).decode()
    page = re.sub(
        r"<svg\b.*?</svg>", "", page, flags=re.DOTALL
    )  # music is drawn from the sheet, the chart is read below
    assert page.startswith(f'<!DOCTYPE html>\n<html lang="{PSEUDO}">')
    assert remnants(words_of(page, "title|h1|h2|h3|p|li|td|th"), NAMES) == []


@pytest.mark.parametrize("position", [pytest.param(position, marks=pytest.mark.long) for position in (2, 3, 4, 5)])
def test_the_progressive_set_has_no_english_in_it(position: int) -> None:
    data = written(progressive("D", (position,)), SheetFormat.MUSICXML, PSEUDO).decode()
    assert remnants(words_of(data, "words|rehearsal|movement-title|part-name"), NAMES) == []


def test_the_chart_has_no_english_in_it() -> None:
    assert remnants(words_of(chart_of(3, "Bb", "violin", PSEUDO), "text|title|desc")) == []


def words_of(document: str, elements: str) -> str:
    """What stands in some elements, one after the other, without the tags in them."""
    found = re.findall(rf"<({elements})\b[^>]*>(.*?)</\1>", document, re.DOTALL)
    return unescape(
        " ".join(
            re.sub(r"<[^>]*>", " ", re.sub(r"<(svg|style)\b.*?</\1>", " ", text, flags=re.DOTALL)) for _, text in found
        )
    )


def test_every_finding_of_every_rule_is_said_without_english() -> None:
    wording = Wording(PSEUDO)
    for rule in all_rules():
        assert remnants(wording.say(Message(rule.title))) == []
        assert remnants(wording.say(Message(" ".join(rule.rationale.split())))) == []
        for code, outcome in rule.outcomes.items():
            facts = dict.fromkeys(re.findall(r"\$(\w+)", outcome.sentence), 3)
            finding = Finding(rule.id, code, 0, 0, (), facts)
            assert remnants(wording.text(Flag(finding, outcome.severity, rule.sentence(finding), None).sentence)) == []


def test_an_error_is_said_without_english() -> None:
    with pytest.raises(ScoreError) as raised:
        review_score(b"", Options())
    error = raised.value
    assert remnants(Wording(PSEUDO).text(error.message) + Wording(PSEUDO).text(error.advice)) == []
