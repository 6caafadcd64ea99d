"""Every sentence of a report is held against the plan: places, notes, fingers, positions, the hand, and counts."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import music21
import pytest

from rules import LEVELS
from service.config.options import read_options
from service.reports.player.report import text_report
from service.usecases.annotate import PartReview, review_score
from tests.conftest import ROOT
from tests.interface.report_reading import complaints, complaints_about

SAMPLES = sorted((ROOT / "sample_scores").glob("*.m*x*l"))
CORPUS = Path(music21.__file__).parent / "corpus"
WORKS = (
    "beethoven/opus18no1/movement1.mxl", "beethoven/opus59no1/movement2.mxl", "corelli/opus3no1/1grave.xml",
    "haydn/opus1no1/movement1.mxl", "haydn/opus74no1/movement1.mxl", "haydn/opus74no1/movement3.mxl",
    "mozart/k155/movement2.mxl", "mozart/k156/movement1.mxl", "mozart/k458/movement1.mxl", "mozart/k80/movement1.mxl",
    "schumann_robert/opus41no1/movement1.mxl", "schumann_robert/opus41no1/movement3.mxl",
)  # fmt: skip


def reviews(path: Path, level: str) -> tuple[PartReview, ...]:
    return review_score(path.read_bytes(), read_options({"level": [level]}))


@pytest.mark.parametrize("level", LEVELS)
@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_what_the_report_of_a_sample_says_is_so(path: Path, level: str) -> None:
    for part in reviews(path, level):
        assert complaints(part) == []


@pytest.mark.long
@pytest.mark.parametrize("name", WORKS)
def test_what_the_report_of_a_work_says_is_so(name: str) -> None:
    for level in LEVELS:
        for part in reviews(CORPUS / name, level):
            assert complaints(part) == [], f"{name} at {level}"


def next_letter(found: re.Match[str]) -> str:
    letters = "ABCDEFG"
    return found[0].replace(found[1], letters[(letters.index(found[1]) + 1) % 7])


def one_more(found: re.Match[str]) -> str:
    return found[0].replace(found[1], str(int(found[1]) + 1))


@pytest.mark.parametrize(
    ("pattern", "changed"),
    [
        (r"Third position needs (\d+) string", one_more),
        (r"instead of (\d+)", one_more),
        (r"(\d+) long notes", lambda found: found[0].replace(found[1], "99")),
        (r"shift up to (third)", lambda found: "shift up to fifth"),
        (r"Land on ([A-G])", next_letter),
        (r"from ([A-G])\S* \(\d", next_letter),
        (r"([1-4])(?:st|nd|rd|th) finger, A string", lambda found: found[0].replace(found[1], "9")),
        (r"string: 1 ([A-G])", next_letter),
        (r"string: 2 ([A-G])", next_letter),
        (r", 3 ([A-G])", next_letter),
        (r"semitone between (2)", lambda found: "semitone between 1"),
        (r"(whole tone)(?= between)", lambda found: "semitone"),
        (r"the long ([A-G])", next_letter),
        (r"in the (rest) just before", lambda found: "at the change of bow"),
        (r"\bBars (\d+)-\d+:", lambda found: f"Bars {found[1]}-{found[1]}:"),
        (r"\bbar (\d+)", lambda found: "bar 999"),
        (r"     (Why)", lambda found: "     How"),
    ],
)
def test_a_report_that_is_not_so_is_found_out(pattern: str, changed: Callable[[re.Match[str]], str]) -> None:
    """Each change of each kind, in every sample in which there is anything to change."""
    tried = 0
    for path in SAMPLES:
        for part in reviews(path, "all"):
            report = re.sub(r"\n     Or .*?(?=\n\n)", "", text_report("part", [part]), flags=re.DOTALL)
            assert complaints_about(part, report) == []
            for found in re.finditer(pattern, report):
                tried += 1
                wrong = report[: found.start()] + changed(found) + report[found.end() :]
                assert complaints_about(part, wrong) > [], wrong
    assert tried


@pytest.mark.parametrize(
    "pattern", [r"(?<=[a-z] )(\d+) (?:string|shift|finger|jump)", r"instead of (\d+)", r"landing on ([A-G])"]
)
def test_another_way_that_is_not_so_is_found_out(pattern: str) -> None:
    """Each number and each note on which the hand lands, in every sample and in a work."""
    tried = 0
    works = [*SAMPLES, CORPUS / "haydn" / "opus74no1" / "movement1.mxl", CORPUS / "mozart" / "k156" / "movement2.mxl"]
    for part in (part for path in works for part in reviews(path, "to-fifth")[:1]):
        report = text_report("part", [part])
        assert complaints_about(part, report) == []
        for told in re.finditer(r"\n     Or .*?(?=\n\n)", report, flags=re.DOTALL):
            for found in re.finditer(pattern, told[0]):
                tried += 1
                changed = one_more(found) if found[1].isdigit() else next_letter(found)
                start, end = told.start() + found.start(), told.start() + found.end()
                wrong = report[:start] + changed + report[end:]
                assert complaints_about(part, wrong) > [], told[0] + changed
    assert tried > 1
