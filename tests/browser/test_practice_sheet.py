"""The practice sheet in chromium: chosen and heard; on paper no text lies over another, and a card fits on a page."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser, expect

from service.config.options import read_options
from service.config.sheet_options import SheetFormat, read_sheet_options
from service.naming import Language
from service.usecases.practice import Practice, progressive, written
from service.usecases.practice import practice as make_practice
from tests.browser.conftest import ROOT, Opener
from tests.browser.test_for_everybody import practice

pytestmark = pytest.mark.browser


def test_a_teacher_chooses_exercises_and_hears_one(open_page: Opener) -> None:
    page = open_page().page
    practice(page)
    count = page.locator(".exercise").count()
    page.get_by_label("Name of the pupil").fill("Anna")
    page.get_by_label("Name of the pupil").press("Tab")
    page.wait_for_selector(".practice-sheet .pupil")
    page.get_by_role("button", name="Leave out: 1.").click()
    expect(page.locator(".practice-sheet .exercise")).to_have_count(count - 1)
    # What stands in the place of the exercise that is gone has the focus.
    expect(page.get_by_role("button", name="Leave out: 1.")).to_be_focused()
    page.get_by_role("button", name="Move down: 1.").click()
    expect(page.locator(".practice-sheet .exercise").first).to_have_attribute("data-number", "3")
    expect(page.get_by_role("button", name="Move down: 2.")).to_be_focused()
    page.get_by_label("Drone").check()
    sounding = "async () => (await import('/page/sound/transport.js')).isPlaying()"
    for stop in (page.get_by_role("button", name="Stop 2."), page.locator(".practice-hear").get_by_role("button")):
        page.get_by_role("button", name="Play 2.").click()
        page.wait_for_function(sounding)
        stop.click()
        assert not page.evaluate(sounding)
        expect(page.get_by_role("button", name="Play 2.")).to_have_text("Play")
    page.get_by_label("Heading").fill("For Monday")
    page.get_by_label("Heading").press("Tab")
    expect(page.locator(".practice-sheet .part")).to_contain_text("Reed Crossing, Violin")
    page.get_by_label("Form").select_option("card")
    page.wait_for_selector(".practice-sheet.card")
    assert page.locator(".practice-sheet .pupil").text_content() == "Anna"


def test_texts_of_a_sheet_do_not_lie_over_each_other(browser: Browser) -> None:
    """Boxes as chromium measures them, on full sheets, cards and a set."""
    page = browser.new_page(viewport={"width": 680, "height": 1000})
    page.emulate_media(media="print")
    sheets = [practice_of(data, form).sheet for data in SCORES for form in ("full", "card")]
    for sheet in [*sheets, progressive("D", (3,))]:
        page.set_content(written(sheet, SheetFormat.PAGE, Language.BRITISH).decode())
        assert page.evaluate(OVERLAPS) == []


def test_a_card_fits_on_one_page(browser: Browser) -> None:
    page = browser.new_page(viewport={"width": 680, "height": 100})  # 180 mm at 96 dots an inch
    page.emulate_media(media="print")
    for data in SCORES:
        page.set_content(written(practice_of(data, "card").sheet, SheetFormat.PAGE, Language.BRITISH).decode())
        height = page.evaluate("document.body.getBoundingClientRect().height")
        assert height <= 269 / 25.4 * 96


def practice_of(data: bytes, form: str) -> Practice:
    wanted = read_sheet_options({"form": [form], "pupil": ["Anna Berg"], "remark": ["Two lines this week, please."]})
    return make_practice(data, read_options({"level": ["to-fifth"]}), wanted)


SCORES = [path.read_bytes() for path in sorted((ROOT / "sample_scores").iterdir()) if path.suffix == ".musicxml"]
OVERLAPS = """() => [...document.querySelectorAll(".exercise")].flatMap((exercise) => {
    const texts = [...exercise.querySelectorAll("svg text")]
        .map((element) => ({ said: element.textContent.trim(), box: element.getBoundingClientRect() }))
        .filter(({ said, box }) => /^[\\x20-\\x7e]+$/.test(said) && box.width > 0);
    return texts.flatMap((one, index) => texts.slice(index + 1).flatMap((other) => {
        const across = Math.min(one.box.right, other.box.right) - Math.max(one.box.left, other.box.left);
        const down = Math.min(one.box.bottom, other.box.bottom) - Math.max(one.box.top, other.box.top);
        // A box is as high as the font: letters of two lines may share a third of it without touching.
        return across > 0.5 && down > 0.35 * Math.min(one.box.height, other.box.height)
            ? [`${exercise.querySelector("h3").textContent}: ${one.said} ${other.said}`] : [];
    }));
})"""
