"""One column on phones and tablets, and in windows at 200 %: music, card and player are in view together."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import Opener, bars_away, options, sound, try_sample, wait_until_settled

pytestmark = pytest.mark.browser
SIZES = {
    "small phone": (320, 640),
    "phone": (360, 740),
    "phone on its side": (740, 360),
    "tablet": (768, 1024),
    "laptop": (1366, 768),
    "laptop at 200 %": (683, 384),
    "wide": (1920, 1080),
}
SMALL = {name: size for name, size in SIZES.items() if name not in {"laptop", "wide"}}
# What can be pressed and is seen, with its size; links within text are not meant (WCAG 2.2, 2.5.5).
TARGETS = """() => [...document.querySelectorAll("button, select, summary, input:not([type=radio]), .as-button")]
    .filter((one) => one.checkVisibility({ visibilityProperty: true }) && !one.matches(".hidden-words"))
    .map((one) => [one.closest("label.tick") ?? one, one])
    .map(([box, one]) => ({ name: one.getAttribute("aria-label") || one.title || one.textContent || one.id,
                            box: box.getBoundingClientRect() }))
    .filter(({ box }) => box.width < 43.99 || box.height < 43.99)
    .map(({ name, box }) => `${name}: ${box.width} x ${box.height}`)"""


def chosen(page: Page) -> None:
    """The number of the stretch in the music, its card and the player are in view, and not under another."""
    for part in (".stretch.selected .stretch-flag", ".away", ".player"):
        expect(page.locator(part)).to_be_in_viewport(ratio=0.9)
    for part in (".away", ".player"):
        box = page.locator(part).bounding_box()
        assert box is not None
        middle = [box["x"] + box["width"] / 2, box["y"] + box["height"] / 2]
        assert page.evaluate(
            "([x, y, part]) => Boolean(document.elementFromPoint(x, y)?.closest(part))", [*middle, part]
        ), part


@pytest.mark.parametrize("size", SMALL.values(), ids=SMALL.keys())
def test_the_chosen_stretch_its_card_and_the_player_are_in_view_together(
    open_page: Opener, size: tuple[int, int]
) -> None:
    page = open_page(*size).page
    try_sample(page, "Reed crossing")
    page.get_by_role("button", name="Next stretch").click()
    chosen(page)
    page.get_by_role("button", name="Stretch before").click()
    chosen(page)
    page.get_by_role("button", name="Show the whole card").click()
    expect(page.locator(".card.open .details").first).to_be_visible()
    page.get_by_role("button", name="Show less of the card").click()
    expect(page.locator(".card.open .details").first).to_be_hidden()


@pytest.mark.parametrize("size", SIZES.values(), ids=SIZES.keys())
def test_nothing_sticks_out_sideways(open_page: Opener, size: tuple[int, int]) -> None:
    page = open_page(*size).page
    fits = "document.documentElement.scrollWidth <= innerWidth"
    assert page.evaluate(fits), "start"
    try_sample(page, "Reed crossing")
    assert page.evaluate(fits), "music"
    for open_panel in (options, sound):
        open_panel(page)
        box = page.locator(":popover-open").bounding_box()
        assert box is not None
        assert box["x"] >= 0
        assert box["x"] + box["width"] <= size[0]
        assert box["y"] + box["height"] <= size[1]
        page.keyboard.press("Escape")


@pytest.mark.parametrize("size", SMALL.values(), ids=SMALL.keys())
def test_what_is_pressed_is_44_pixels_wide_and_high(open_page: Opener, size: tuple[int, int]) -> None:
    page = open_page(*size).page
    assert page.evaluate(TARGETS) == []
    try_sample(page, "Reed crossing")
    assert page.evaluate(TARGETS) == []
    page.get_by_role("button", name="Show the whole card").click()
    assert page.evaluate(TARGETS) == []
    page.get_by_role("button", name="Show less of the card").click()
    for open_panel in (options, sound):
        open_panel(page)
        assert page.evaluate(TARGETS) == []
        page.keyboard.press("Escape")


def test_a_stroke_of_the_finger_leads_to_the_next_stretch(open_page: Opener) -> None:
    page = open_page(360, 740).page
    try_sample(page, "Reed crossing")
    first, second = bars_away(page)
    stroke = """([x, y]) => {
        const sheet = document.querySelector(".margin");
        const touch = (dx, dy) => new Touch({ identifier: 1, target: sheet, clientX: 200 + dx, clientY: 600 + dy });
        sheet.dispatchEvent(new TouchEvent("touchstart", { touches: [touch(0, 0)], bubbles: true }));
        sheet.dispatchEvent(new TouchEvent("touchend", { changedTouches: [touch(x, y)], bubbles: true }));
    }"""
    page.evaluate(stroke, [-80, 5])
    expect(page.locator(".card.open")).to_contain_text(second)
    page.evaluate(stroke, [80, 5])
    expect(page.locator(".card.open")).to_contain_text(first)
    page.evaluate(stroke, [0, -80])
    expect(page.locator(".margin")).to_have_class("margin expanded")
    page.evaluate(stroke, [0, 80])
    expect(page.locator(".margin")).to_have_class("margin")


def test_a_double_press_declines_one_stretch_and_its_card_stays(open_page: Opener) -> None:
    page = open_page(360, 740).page
    try_sample(page, "Evening on the jetty")
    page.locator(".decline").dblclick()
    wait_until_settled(page)
    expect(page.locator(".card.declined.open")).to_have_count(1)
    page.get_by_role("button", name="Next stretch").click()
    expect(page.locator(".card.open .decline")).to_be_visible()
    page.get_by_role("button", name="Show the whole card").click()
    expect(page.locator(".decisions li")).to_have_count(1)


@pytest.mark.parametrize("size", SIZES.values(), ids=SIZES.keys())
def test_a_pressed_note_stays_in_view_beside_its_dialog(open_page: Opener, size: tuple[int, int]) -> None:
    """Also the last note, below which there is nothing to scroll to. The field for a remark is not under a button."""
    page = open_page(*size).page
    try_sample(page, "Reed crossing")
    page.locator("#option-level").select_option("all")
    wait_until_settled(page)
    for head in (page.locator("#n5 .notehead"), page.locator("g.note[role=button] .notehead").last):
        head.scroll_into_view_if_needed()
        head.click()
        page.get_by_role("radio").first.wait_for()
        note, dialog = head.bounding_box(), page.get_by_role("dialog").bounding_box()
        assert note is not None
        assert dialog is not None
        assert 0 <= note["y"] <= size[1] - note["height"]
        is_beside = note["x"] + note["width"] <= dialog["x"] or note["x"] >= dialog["x"] + dialog["width"]
        is_apart = note["y"] + note["height"] <= dialog["y"] or note["y"] >= dialog["y"] + dialog["height"]
        assert is_beside or is_apart
        assert dialog["y"] + dialog["height"] <= size[1]
        page.get_by_label("Remark, printed and shared").focus()
        seen = """() => { const { left, top, width, height } = document.activeElement.getBoundingClientRect();
                          return document.elementFromPoint(left + width / 2, top + height / 2).id; }"""
        assert page.evaluate(seen) == "remark"
        page.keyboard.press("Escape")


def test_pages_fit_a_phone(open_page: Opener) -> None:
    page = open_page(360, 740).page
    try_sample(page, "Reed crossing")
    options(page)
    page.locator("#view-mode").select_option("pages")
    wait_until_settled(page)
    page.keyboard.press("Escape")
    box = page.locator(".page").first.bounding_box()
    assert box is not None
    assert box["x"] >= 0
    assert box["x"] + box["width"] <= 360


def test_nothing_lies_over_the_whole_card(open_page: Opener) -> None:
    """With a notice above the music, little room is left for it: what has none is not drawn over the card."""
    page = open_page(360, 740).page
    try_sample(page, "Ferry waltz")
    page.locator("#option-level").select_option("first")
    page.wait_for_selector(".notice")
    wait_until_settled(page)
    page.get_by_role("button", name="Show the whole card").click()
    covered = """() => { const { left, top, width, height } = document.querySelector(".margin").getBoundingClientRect();
        return [0.02, 0.05, 0.1, 0.2, 0.5].map((at) => document.elementFromPoint(left + width / 2, top + height * at))
            .filter((one) => !one?.closest(".margin")).map((one) => one?.className); }"""
    assert page.evaluate(covered) == []
