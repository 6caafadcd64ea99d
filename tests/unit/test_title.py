"""The title of a piece and its composer, wherever a score has them."""

from __future__ import annotations

import pytest
from lxml import etree

from service.musicxml.notation.title import composer_of, title_of


def score(inside: str) -> etree._Element:
    return etree.fromstring(f"<score-partwise>{inside}</score-partwise>")


def credit(kind: str, words: str) -> str:
    return f"<credit><credit-type>{kind}</credit-type><credit-words>{words}</credit-words></credit>"


@pytest.mark.parametrize(
    ("inside", "title"),
    [
        ("", ""),
        ("<work><work-title>Sonata</work-title></work>", "Sonata"),
        ("<movement-title>Largo</movement-title>", "Largo"),
        ("<work><work-title>Sonata</work-title></work><movement-title>Largo</movement-title>", "Sonata, Largo"),
        ("<work><work-title>Sonata: Largo</work-title></work><movement-title>Largo</movement-title>", "Sonata: Largo"),
        ("<work><work-title>sonata</work-title></work><movement-title>Sonata 1</movement-title>", "Sonata 1"),
        (credit("composer", "A. Viner") + credit("title", "The\n Lake"), "The Lake"),
        (credit("page number", "3"), ""),
    ],
)
def test_a_title_names_work_and_movement_or_is_what_is_printed(inside: str, title: str) -> None:
    assert title_of(etree.fromstring(f"<score-partwise>{inside}</score-partwise>")) == title


@pytest.mark.parametrize(
    ("inside", "composer"),
    [
        ("", ""),
        ("<identification><creator type='lyricist'>B. Oar</creator></identification>", ""),
        ("<identification><creator type='composer'> A.  Viner </creator></identification>", "A. Viner"),
        (credit("title", "The Lake") + credit("composer", "A. Viner"), "A. Viner"),
    ],
)
def test_a_composer_is_one_who_is_called_so(inside: str, composer: str) -> None:
    assert composer_of(etree.fromstring(f"<score-partwise>{inside}</score-partwise>")) == composer


@pytest.mark.parametrize("title", ["movement4.mxl", "haydn_op1no1_4.musicxml", "Music21 Fragment", "Untitled score"])
def test_the_name_of_a_file_and_what_programs_write_are_no_titles(title: str) -> None:
    movement = f"<movement-title>{title}</movement-title>"
    assert title_of(score(movement)) == ""
    assert title_of(score(f"<work><work-title>Sonata</work-title></work>{movement}")) == "Sonata"
    assert title_of(score("<movement-title>Op. 18, no. 1.</movement-title>")) == "Op. 18, no. 1."


def test_a_program_is_no_composer() -> None:
    def by(name: str) -> str:
        return composer_of(score(f"<identification><creator type='composer'>{name}</creator></identification>"))

    assert (by("Music21"), by("Joseph Haydn")) == ("", "Joseph Haydn")
