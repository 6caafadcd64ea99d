"""The page in a language of accents, 40 % longer: no view has English in it, and nothing is wider than 360 pixels."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page

from tests.browser.conftest import FIRST_NOTE, READY, ROOT, options, sound, wait_for_address, wait_until_settled
from tests.pseudo_language import PSEUDO, remnants, write_catalogues

pytestmark = pytest.mark.browser

NAMES = """handframe English British American Deutsch Français Italiano Español Violin Reed crossing Reed Crossing
Ferry waltz Two oars Evening the jetty Boathouse reel First bench Pier march Lantern quartet Invented for project
MusicXML Air reed marked musicxml"""
SEEN = """() => [...document.querySelectorAll("body *")].filter((one) => one.checkVisibility() && !one.closest(".page"))
    .flatMap((one) => [...one.childNodes].filter((node) => node.nodeType === 3).map((node) => node.textContent))
    .join(" | ")"""
TOO_WIDE = """() => [...document.querySelectorAll("body *")].filter((one) => one.checkVisibility()
    && !one.closest(".page, .map, .fingerboard-picture, svg, option")
    && one.getBoundingClientRect().right > innerWidth + 1)
    .map((one) => `${one.tagName}.${one.className} ${one.textContent.slice(0, 40)}`)"""


@pytest.fixture(scope="module")
def pseudo_address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """A service whose catalogues are all in that language."""
    folder = tmp_path_factory.mktemp("pseudo")
    write_catalogues(folder)
    command = [sys.executable, "-m", "service.cli", "serve", "--port", "0"]
    environment = os.environ | {"MESSAGE_CATALOGUES": str(folder)}
    with subprocess.Popen(
        command, cwd=ROOT, env=environment, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
    ) as server:
        yield wait_for_address(server)
        server.terminate()


@pytest.fixture(params=[(360, 740), (1366, 768)], ids=lambda size: f"{size[0]}")
def page(browser: Browser, pseudo_address: str, request: pytest.FixtureRequest) -> Iterator[Page]:
    width, height = request.param
    context = browser.new_context(
        viewport={"width": width, "height": height}, locale=PSEUDO.value, reduced_motion="reduce"
    )
    page = context.new_page()
    page.goto(pseudo_address)
    page.wait_for_selector(READY, state="attached")
    yield page
    context.close()


def read(page: Page) -> None:
    """Read what is seen, and look whether it fits."""
    assert remnants(page.evaluate(SEEN), NAMES) == []
    assert page.evaluate(TOO_WIDE) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= page.evaluate("innerWidth")


def test_no_view_has_english_in_it_and_every_view_fits(page: Page) -> None:
    assert page.evaluate("document.documentElement.lang") == PSEUDO
    read(page)
    page.locator(".pieces .piece-button", has_text=re.compile("^Reed crossing$")).click()
    page.wait_for_selector(FIRST_NOTE)
    wait_until_settled(page)
    page.wait_for_selector(".card .reasons")
    read(page)
    options(page)
    read(page)
    page.keyboard.press("Escape")
    sound(page)
    read(page)
    page.keyboard.press("Escape")
    page.locator("#save").click() if page.locator("#save").is_visible() else (
        options(page),
        page.locator("#save").click(),
    )
    read(page)


def test_the_choice_of_a_language_is_kept(page: Page) -> None:
    page.locator(".entrance-language select").select_option("en-GB")
    page.wait_for_selector(READY, state="attached")
    assert page.get_by_role("heading", name="Where should the left hand go?").is_visible()
    page.reload()
    page.wait_for_selector(READY, state="attached")
    assert page.evaluate("document.documentElement.lang") == "en-GB"
