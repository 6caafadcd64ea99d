"""The hand of a player or a house: set in its dialog or read from a file, planned with, and kept."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import FIRST_NOTE, Opener, try_sample, wait_until_settled

pytestmark = pytest.mark.browser
FILE = b"# Learned from three pieces.\n\n[hand]\n# Shifts: 2.1 times as much as in the standard.\nshifts = 2.1\n"


def open_dialog(page: Page) -> None:
    page.locator("#options-button").click()
    page.locator("#option-hand").click()
    expect(page.get_by_role("dialog", name="Whose hand?")).to_be_visible()


def use(page: Page) -> list[str]:
    page.locator("#hand-use").click()
    wait_until_settled(page)
    return notes(page)


def notes(page: Page) -> list[str]:
    """Every note as the page tells it, with finger, string and position."""
    return [str(note.get_attribute("aria-label")) for note in page.locator(FIRST_NOTE).all()]


def test_a_hand_is_set_planned_with_and_kept(open_page: Opener) -> None:
    page = open_page().page
    try_sample(page, "Ferry waltz")
    page.locator("#option-level").select_option("all")
    wait_until_settled(page)
    usual = notes(page)
    open_dialog(page)
    page.locator("#hand-height").select_option(label="much more")
    lower = use(page)
    expect(page.locator("#options-button")).to_be_focused()
    assert lower != usual
    page.reload()
    page.wait_for_selector(FIRST_NOTE)
    wait_until_settled(page)
    assert notes(page) == lower
    open_dialog(page)
    expect(page.locator("#hand-height")).to_have_value("2")
    page.locator("#hand-usual").click()
    assert use(page) == usual
    page.locator("#options-button").click()
    expect(page.locator("#option-hand")).to_have_text("as usual")


def test_a_hand_comes_from_its_file_and_another_file_is_refused(open_page: Opener) -> None:
    page = open_page(360, 740).page
    try_sample(page, "Ferry waltz")
    usual = notes(page)
    open_dialog(page)
    page.locator("#hand-file").set_input_files({"name": "house.toml", "mimeType": "text/plain", "buffer": b"[policy]"})
    expect(page.get_by_text("house.toml is not a file that handframe learn writes.")).to_be_visible()
    page.locator("#hand-file").set_input_files({"name": "mine.toml", "mimeType": "text/plain", "buffer": FILE})
    expect(page.get_by_text("Read from mine.toml.")).to_be_visible()
    expect(page.locator("#hand-shifts option:checked")).to_have_text("2.1 times")
    assert use(page) != usual
