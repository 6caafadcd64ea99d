"""A plan saved as a page of its own: it opens without the service, plays, and stays small."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from tests.browser.conftest import (
    Opener,
    bars_away,
    decline,
    downloaded,
    drop,
    long_part,
    try_sample,
    wait_until_settled,
)

pytestmark = pytest.mark.browser


def test_the_saved_page_opens_without_the_service_and_plays(
    open_page: Opener, browser: Browser, tmp_path: Path
) -> None:
    page = open_page().page
    try_sample(page, "Evening on the jetty")
    decline(page, bars_away(page)[1])
    wait_until_settled(page)
    page.locator("#share").click()
    expect(page.get_by_text("Only this machine can open this link")).to_be_visible()
    name, saved = downloaded(page, "Save as a page")
    assert name == "evening_on_the_jetty.plan.html"
    assert len(saved) < 2_000_000
    assert b"/page/" not in saved, "it names nothing of the service"
    (tmp_path / name).write_bytes(saved)
    context = browser.new_context(viewport={"width": 360, "height": 740}, offline=True)
    faults: list[str] = []
    other = context.new_page()
    other.on("pageerror", lambda error: faults.append(str(error)))
    other.on("console", lambda message: message.type == "error" and faults.append(message.text))
    other.goto((tmp_path / name).as_uri())
    expect(other.get_by_role("heading", level=1)).to_have_text("Evening on the Jetty")
    assert other.locator(".page g.note").count() == page.locator(".page g.note").count()
    assert other.locator(".stretch").count() > 0
    assert other.locator(".cards .card").count() == 1
    expect(other.locator(".decisions")).to_contain_text("stay in first position")
    assert other.evaluate("document.documentElement.scrollWidth <= innerWidth")
    other.get_by_role("button", name="Listen").click()
    other.wait_for_selector("g.note.sounding")
    other.get_by_role("button", name="Stop").click()
    assert other.locator("g.note.sounding").count() == 0
    context.close()
    assert faults == []


def test_the_saved_page_of_a_long_part_stays_small_and_loses_no_sign(
    open_page: Opener, browser: Browser, sample_scores: dict[str, Path], tmp_path: Path
) -> None:
    page = open_page().page
    page.set_default_timeout(90_000)
    drop(page, "long.musicxml", long_part(sample_scores["ferry_waltz"].read_bytes(), 975))
    wait_until_settled(page)
    page.locator("#share").click()
    name, saved = downloaded(page, "Save as a page")
    assert len(saved) < 2_000_000
    (tmp_path / name).write_bytes(saved)
    context = browser.new_context(viewport={"width": 800, "height": 600}, offline=True)
    other = context.new_page()
    other.goto((tmp_path / name).as_uri())
    notes = other.locator(".page g.note")
    assert notes.count() > 2000
    unseen = other.evaluate(
        "[...document.querySelectorAll('use')].filter((sign) => !(sign.getBoundingClientRect().width > 1)).length"
    )
    assert unseen == 0
    heads = "(all) => all.filter((note) => note.querySelector('.notehead use')).length"
    assert other.eval_on_selector_all(".page g.note", heads) == notes.count()
    context.close()
