"""The piece at a glance: the map leads to a bar, notices say what lies beyond the level, many cards are filtered."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import (
    FIRST_NOTE,
    Opener,
    bars_away,
    drop,
    long_part,
    options,
    try_sample,
    wait_until_settled,
)

pytestmark = pytest.mark.browser


def test_the_map_leads_to_a_bar_by_press_and_by_key(open_page: Opener, sample_scores: dict[str, Path]) -> None:
    page = open_page().page
    drop(page, "long.musicxml", long_part(sample_scores["ferry_waltz"].read_bytes(), 200))
    page.wait_for_selector(FIRST_NOTE)
    wait_until_settled(page)
    piece = page.get_by_role("slider", name="The piece at a glance")
    assert piece.locator("i").count() == 200
    box = piece.bounding_box()
    assert box is not None
    piece.click(position={"x": box["width"] * 0.5, "y": box["height"] / 2})
    note = page.locator("g.note[aria-label*='bar 101,']").first
    expect(note).to_be_in_viewport()
    expect(piece).to_have_attribute("aria-valuetext", re.compile("^Bar (9|10)\\d"))
    piece.focus()
    page.keyboard.press("End")
    expect(page.locator("g.note[aria-label*='bar 200,']").first).to_be_in_viewport()
    page.keyboard.press("Home")
    expect(page.locator("#n0")).to_be_in_viewport()


def test_a_notice_says_what_lies_beyond_the_level_and_sets_the_one_that_reaches_it(open_page: Opener) -> None:
    page = open_page(360, 740).page
    try_sample(page, "Ferry waltz")
    expect(page.locator(".notice")).to_have_count(0)
    page.locator("#option-level").select_option("first")
    wait_until_settled(page)
    notice = page.locator(".notice")
    expect(notice).to_contain_text("beyond this level")
    expect(notice).to_be_in_viewport()
    assert page.locator(".map i.beyond").count() > 0
    notice.get_by_role("button", name="Use “1st and 3rd”").click()
    wait_until_settled(page)
    expect(notice).to_have_count(0)
    assert page.locator("#option-level").input_value() == "first-and-third"


def test_a_part_for_another_instrument_is_said_to_be_one(open_page: Opener, sample_scores: dict[str, Path]) -> None:
    page = open_page().page
    score = sample_scores["reed_crossing"].read_text(encoding="utf-8")
    other = re.sub(r"<part-name>.*?</part-name>", "<part-name>Hurdy-gurdy</part-name>", score)
    other = re.sub(
        r"<score-instrument.*?</score-instrument>|<midi-instrument.*?</midi-instrument>", "", other, flags=re.S
    )
    drop(page, "other.musicxml", other.encode())
    page.wait_for_selector(FIRST_NOTE)
    wait_until_settled(page)
    expect(page.locator(".notice")).to_contain_text("Hurdy-gurdy")


def test_many_cards_are_filtered_by_what_is_decided(open_page: Opener, sample_scores: dict[str, Path]) -> None:
    page = open_page().page
    drop(page, "long.musicxml", long_part(sample_scores["evening_on_the_jetty"].read_bytes(), 160))
    page.wait_for_selector(FIRST_NOTE)
    wait_until_settled(page)
    every = bars_away(page)
    assert len(every) >= 8
    page.get_by_role("button", name=re.compile("^Keep it")).click()
    wait_until_settled(page)
    page.get_by_label("Which stretches").select_option("decided")
    assert bars_away(page) == every[:1]
    page.get_by_label("Which stretches").select_option("open")
    assert bars_away(page) == every[1:]


def test_two_levels_stand_side_by_side(open_page: Opener) -> None:
    page = open_page(360, 740).page
    try_sample(page, "Ferry waltz")
    options(page)
    page.get_by_role("button", name="Compare two levels").click()
    dialog = page.get_by_role("dialog")
    reach = dialog.locator("tr", has_text="out of reach")
    expect(reach.locator("td").nth(1)).to_have_text("0")
    assert int(reach.locator("td").nth(0).inner_text()) > 0, "first position does not reach every note of the waltz"
    expect(dialog.locator(".levels-gains")).to_contain_text("third position")
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    dialog.get_by_role("button", name="Use “1st position only”").click()
    wait_until_settled(page)
    assert page.locator("#option-level").input_value() == "first"


def test_the_fingerboard_follows_the_music(open_page: Opener) -> None:
    page = open_page().page
    try_sample(page, "Ferry waltz")
    page.get_by_role("button", name="Fingerboard", exact=True).click()
    page.wait_for_selector(".fingerboard-picture svg")
    page.get_by_role("button", name="As planned", exact=True).click()
    place = page.wait_for_selector(".fingerboard-picture .sounding")
    string, key = (place.get_attribute("data-note") or "").split(":")
    assert int(string) in range(1, 5)
    assert 55 <= int(key) <= 100
    page.get_by_role("button", name="Stop", exact=True).click()
    expect(page.locator(".fingerboard-picture .sounding")).to_have_count(0)


def test_the_map_of_a_long_part_is_seen_on_a_phone(open_page: Opener, sample_scores: dict[str, Path]) -> None:
    """More bars than pixels: the strokes stand close, and the gaps between them do not eat them up."""
    page = open_page(360, 740).page
    drop(page, "long.musicxml", long_part(sample_scores["ferry_waltz"].read_bytes(), 400))
    page.wait_for_selector(FIRST_NOTE)
    wait_until_settled(page)
    inked = """() => [...document.querySelectorAll(".map-bars i")].filter((one) =>
        one.getBoundingClientRect().width - parseFloat(getComputedStyle(one).borderRightWidth) > 0).length"""
    assert page.evaluate(inked) == 400
