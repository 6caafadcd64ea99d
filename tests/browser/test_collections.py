"""A file with several tunes on the page: it asks which one, and says what the file cannot tell."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import FIRST_NOTE, Opener, drop, wait_until_settled

pytestmark = pytest.mark.browser
TUNES = Path(__file__).resolve().parents[1] / "other_formats" / "landing_stage.abc"


def test_a_tune_is_chosen_and_planned(open_page: Opener) -> None:
    page = open_page().page
    drop(page, TUNES.name, TUNES.read_bytes())
    page.get_by_role("heading", name="Which tune?").wait_for()
    page.get_by_role("button", name="2. Slack Tide").click()
    page.wait_for_selector(FIRST_NOTE)
    wait_until_settled(page)
    expect(page.locator("#piece")).to_have_text("Slack Tide")
    remark = page.locator("#message.shown.remark")
    expect(remark).to_contain_text("lyrics and chord symbols are left out")
    remark.get_by_role("button").click()
    expect(page.locator("#message")).to_be_hidden()
