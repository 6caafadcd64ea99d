"""Nothing decided is lost: reload, Back, a list of recent scores, and a service that is gone for a while."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import Page, Route, expect

from tests.browser.conftest import (
    FIRST_NOTE,
    Opener,
    bars_away,
    decline,
    drop,
    try_sample,
    wait_until_settled,
)

pytestmark = pytest.mark.browser


def again(page: Page) -> None:
    page.wait_for_selector(FIRST_NOTE)
    wait_until_settled(page)


def test_reload_and_back_lead_where_the_player_was(open_page: Opener) -> None:
    page = open_page().page
    try_sample(page, "Evening on the jetty")
    first, second = bars_away(page)
    decline(page, first)
    wait_until_settled(page)
    page.locator("#option-level").select_option("to-fifth")
    wait_until_settled(page)
    page.get_by_role("button", name="Next stretch").click()
    page.reload()
    again(page)
    expect(page.locator(".card.declined")).to_have_count(1)
    expect(page.locator(".card.open")).to_contain_text(second)
    assert page.locator("#option-level").input_value() == "to-fifth"
    page.get_by_role("button", name="Another score").click()
    expect(page.get_by_role("heading", name="Go on where you stopped")).to_be_visible()
    assert "#" not in page.url, "the address shows no score when the page shows none"
    page.go_back()
    again(page)
    expect(page.locator(".card.declined")).to_have_count(1)
    page.go_back()
    expect(page.get_by_label("Paste MusicXML or ABC")).to_be_visible()
    page.go_forward()
    again(page)
    expect(page.locator("#piece")).to_have_text("Evening on the Jetty")


def test_the_address_belongs_to_the_score_on_the_page(open_page: Opener, sample_scores: dict[str, Path]) -> None:
    page = open_page().page
    try_sample(page, "Reed crossing")
    one = page.url
    drop(page, "waltz.musicxml", sample_scores["ferry_waltz"].read_bytes())
    expect(page.locator("#piece")).to_have_text("Ferry Waltz")
    again(page)
    assert page.url != one
    page.locator("#share").click()
    assert "#plan=" in page.locator("#link").input_value()
    assert "#plan=" not in page.url
    page.keyboard.press("Escape")
    page.go_back()
    expect(page.locator("#piece")).to_have_text("Reed Crossing")
    assert page.url == one


def test_recent_scores_are_opened_and_forgotten(open_page: Opener, sample_scores: dict[str, Path]) -> None:
    page = open_page().page
    drop(page, "lesson.musicxml", sample_scores["reed_crossing"].read_bytes())
    again(page)
    decline(page, bars_away(page)[0])
    wait_until_settled(page)
    page.get_by_role("button", name="Another score").click()
    recent = page.locator(".recent li")
    expect(recent).to_have_count(1)
    expect(recent).to_contain_text("one decision")
    recent.get_by_role("button", name="Reed Crossing", exact=True).click()
    again(page)
    expect(page.locator(".card.declined")).to_have_count(1)
    page.get_by_role("button", name="Another score").click()
    page.get_by_role("button", name="Forget: Reed Crossing").click()
    expect(page.locator(".recent")).to_be_hidden()
    drop(page, "lesson.musicxml", sample_scores["reed_crossing"].read_bytes())
    again(page)
    expect(page.locator(".card.declined")).to_have_count(0)


def test_without_storage_the_page_asks_before_decisions_are_lost(open_page: Opener) -> None:
    page = open_page().page
    page.add_init_script("Object.defineProperty(window, 'indexedDB', { value: undefined });")
    page.reload()
    try_sample(page, "Reed crossing")
    decline(page, bars_away(page)[0])
    wait_until_settled(page)
    page.get_by_role("button", name="Another score").click()
    page.get_by_role("button", name="Stay here").click()
    expect(page.locator(".card.declined")).to_have_count(1)
    page.get_by_role("button", name="Another score").click()
    page.get_by_role("button", name="Leave it").click()
    expect(page.get_by_label("Paste MusicXML or ABC")).to_be_visible()


def wait(_route: Route) -> None:
    """Answer nothing."""


def gone(route: Route) -> None:
    route.abort("connectionrefused")


def test_a_service_that_is_gone_is_tried_again_and_nothing_is_lost(open_page: Opener) -> None:
    watched = open_page(360, 740)
    watched.expected.append("ERR_CONNECTION_REFUSED")
    page = watched.page
    try_sample(page, "Reed crossing")
    page.route("**/page/view", gone)
    page.locator(".decline").click()
    message = page.get_by_role("alert")
    expect(message).to_contain_text("The service does not answer")
    expect(message).to_be_in_viewport()
    assert page.locator(FIRST_NOTE).count() > 0, "the music stays"
    page.unroute("**/page/view", gone)
    page.get_by_role("button", name="Try again").click()
    expect(page.locator(".card.declined")).to_have_count(1)
    expect(message).to_be_hidden()


def test_what_is_pasted_stays_when_the_service_is_gone(open_page: Opener) -> None:
    watched = open_page()
    watched.expected.append("ERR_CONNECTION_REFUSED")
    page = watched.page
    page.get_by_label("Paste MusicXML or ABC").fill("X:1\nT:Jetty air\nM:4/4\nL:1/4\nK:G\nB c d g |]\n")
    page.route("**/page/open", gone)
    page.get_by_role("button", name="Read this").click()
    expect(page.get_by_role("alert")).to_contain_text("The service does not answer")
    assert page.get_by_label("Paste MusicXML or ABC").input_value().startswith("X:1")
    page.unroute("**/page/open", gone)
    page.get_by_role("button", name="Try again").click()
    again(page)


def test_progress_is_shown_and_can_be_cancelled(open_page: Opener) -> None:
    page = open_page().page
    try_sample(page, "Reed crossing")
    page.route("**/page/view", wait)
    page.locator("#option-level").select_option("to-fifth")
    progress = page.locator("#progress")
    expect(progress).to_contain_text(re.compile(r"Planning \d+ notes…"))
    expect(progress).to_be_visible()
    page.get_by_role("button", name="Cancel").click()
    expect(progress).to_be_hidden()
    expect(page.get_by_role("alert")).to_contain_text("Cancelled")
    page.unroute("**/page/view", wait)
    page.get_by_role("button", name="Try again").click()
    wait_until_settled(page)


def test_a_sample_that_does_not_come_is_tried_again(open_page: Opener) -> None:
    watched = open_page()
    page = watched.page
    watched.expected.append("net::ERR")
    samples = "**/page/samples/**"
    page.route(samples, gone)
    page.get_by_role("button", name="Reed crossing", exact=True).click()
    expect(page.locator(".message.shown")).to_contain_text("does not answer")
    page.unroute(samples, gone)
    page.get_by_role("button", name="Try again").click()
    page.wait_for_selector(FIRST_NOTE)
