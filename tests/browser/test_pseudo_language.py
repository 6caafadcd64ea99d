"""The page in a language of accents, 40 % longer: no view has English in it, and nothing is wider than 360 pixels."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page

from tests.browser.conftest import FIRST_NOTE, READY, ROOT, drop, options, sound, wait_for_address, wait_until_settled
from tests.pseudo_language import PSEUDO, pseudo, remnants, write_catalogues

pytestmark = pytest.mark.browser

NAMES = """handframe English British American Deutsch Français Italiano Español Violin Reed crossing Reed Crossing
Ferry waltz Two oars Evening the jetty Boathouse reel First bench Pier march Lantern quartet Invented for project
MusicXML Air reed marked musicxml Waltz learn torn language Viola Violoncello lantern Quartet"""
SEEN = """() => {
    const every = [...document.querySelectorAll("body *")].filter((one) => one.checkVisibility());
    const texts = every.filter((one) => !one.closest(".page")).flatMap((one) => [...one.childNodes])
        .filter((node) => node.nodeType === 3).map((node) => node.textContent);
    const choices = [...document.querySelectorAll("option")].map((one) => one.textContent);
    const labels = ["aria-label", "title", "placeholder", "alt"]
        .flatMap((name) => every.map((one) => one.getAttribute(name)));
    return [...texts, ...choices, ...labels.filter(Boolean), document.title].join(" | ");
}"""
"""What is seen, and what is said to those who do not see: labels, titles, and the choices of lists."""
TOO_WIDE = """() => [...document.querySelectorAll("body *")].filter((one) => one.checkVisibility()
    && !one.closest(".page, .map, .fingerboard-picture, .week, svg, option")
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


def press(page: Page, text: str) -> None:
    """Press the first button with a text, which is given in English."""
    page.get_by_role("button", name=re.compile(f"^{re.escape(pseudo(text).strip())}")).first.click()


def open_piece(page: Page, title: str) -> None:
    page.locator(".pieces .piece-button", has_text=re.compile(f"^{title}$")).click()
    page.wait_for_selector(FIRST_NOTE)
    wait_until_settled(page)


def close(page: Page) -> None:
    page.keyboard.press("Escape")
    page.get_by_role("dialog").wait_for(state="detached")


def save(page: Page) -> None:
    if not page.locator("#save").is_visible():
        options(page)
    page.locator("#save").click()
    page.get_by_role("dialog").wait_for()


def test_the_entrance_and_the_panels_have_no_english_in_them_and_fit(page: Page) -> None:
    assert page.evaluate("document.documentElement.lang") == PSEUDO
    read(page)
    head = page.request.get(page.url, headers={"Accept-Language": PSEUDO}).text()
    told = re.findall(r'<meta name="description" content="([^"]*)"|<noscript>([^<]*)', head)
    assert [bool("".join(each)) and remnants("".join(each), NAMES) for each in told] == [[], []]
    open_piece(page, "Reed crossing")
    page.wait_for_selector(".card .reasons")
    read(page)
    options(page)
    read(page)
    page.keyboard.press("Escape")
    sound(page)
    read(page)


def test_the_dialogs_have_no_english_in_them_and_fit(page: Page) -> None:
    open_piece(page, "Reed crossing")
    page.locator("#n5 .notehead").click()
    page.wait_for_selector(".note-choices input")
    read(page)
    close(page)
    if page.viewport_size and page.viewport_size["width"] < 600:
        press(page, "Show the whole card")
    press(page, "Compare")
    page.wait_for_selector(".form.plan svg")
    read(page)
    close(page)
    options(page)
    page.locator("#levels").click()
    page.wait_for_selector(".levels-body table")
    read(page)
    close(page)
    options(page)
    page.locator("#option-hand").click()
    page.wait_for_selector(".hand-scales select")
    read(page)
    close(page)


def test_sharing_saving_and_the_practice_sheet_have_no_english_in_them_and_fit(page: Page) -> None:
    open_piece(page, "Reed crossing")
    if not page.locator("#share").is_visible():
        options(page)
    page.locator("#share").click()
    page.get_by_role("dialog").wait_for()
    read(page)
    close(page)
    save(page)
    read(page)
    press(page, "Practice sheet")
    page.wait_for_selector(".practice-sheet .exercise svg")
    read(page)


def test_decisions_notices_and_other_pieces_have_no_english_in_them_and_fit(page: Page) -> None:
    open_piece(page, "Ferry waltz")
    press(page, "Keep it")
    wait_until_settled(page)
    read(page)
    options(page)
    page.locator("#option-level").select_option("first")
    page.wait_for_selector(".notice", state="attached")
    wait_until_settled(page)
    read(page)
    page.keyboard.press("Escape")
    press(page, "Another score")
    page.wait_for_selector(".recent li")
    read(page)
    page.locator(".pieces .piece-button", has_text=re.compile("^Lantern quartet$")).click()
    page.wait_for_selector(".entrance.narrow .pieces")
    read(page)


def test_what_cannot_be_read_is_said_without_english(page: Page) -> None:
    drop(page, "torn.musicxml", b"%PDF-1.7 a picture of music")
    page.wait_for_selector(".message.shown")
    read(page)


def test_the_choice_of_a_language_is_kept(page: Page) -> None:
    page.locator(".entrance-language select").select_option("en-GB")
    page.wait_for_selector(READY, state="attached")
    assert page.get_by_role("heading", name="Where should the left hand go?").is_visible()
    page.reload()
    page.wait_for_selector(READY, state="attached")
    assert page.evaluate("document.documentElement.lang") == "en-GB"
