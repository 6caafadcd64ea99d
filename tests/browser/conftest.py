"""A real chromium against a real server; every page that a test opens is watched.

No console error and no request to anywhere else: both are asserted for each test when it ends.
"""

from __future__ import annotations

import base64
import os
import re
import shutil
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Page, Request, expect, sync_playwright

ROOT = Path(__file__).resolve().parents[2]
CHROMIUM = next(filter(None, (shutil.which(name) for name in ("chromium", "chromium-browser", "google-chrome"))), None)
ARGUMENTS = [
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-component-update",
    "--disable-background-networking", "--disable-sync", "--autoplay-policy=no-user-gesture-required",
]  # fmt: skip
READY = "[data-ready]"
FIRST_NOTE = "g.note[role=button]"
PATIENCE = 15_000
"""Milliseconds that a page and what is expected of it have, on a machine that is busy with other tests as well."""
expect.set_options(timeout=PATIENCE)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    if CHROMIUM is None:
        if os.environ.get("CI"):
            pytest.fail("chromium is not installed, and this is the pipeline: .ci/run installs it")
        pytest.skip("chromium is not installed (on Debian: apt-get install chromium)")
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
        yield started
        started.close()


@pytest.fixture(scope="session")
def address() -> Iterator[str]:
    """The address of a service of our own, on a free port."""
    with running_service() as found:
        yield found


@contextmanager
def running_service(*flags: str) -> Iterator[str]:
    """Run a service of our own, on a free port; yield its address."""
    command = [sys.executable, "-m", "service.cli", "serve", "--port", "0", *flags]
    with subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True) as server:
        yield wait_for_address(server)
        server.terminate()


def wait_for_address(server: subprocess.Popen[str]) -> str:
    """Return the address that a server tells, when it takes connections there."""
    assert server.stdout is not None
    line = server.stdout.readline()
    found = re.search(r"http://\S+", line)
    assert found, f"the server said {line!r}"
    _wait_for(found[0], server)
    return found[0]


def _wait_for(address: str, server: subprocess.Popen[str], seconds: float = 30.0) -> None:
    """Wait until the server takes connections: its address is told before it does."""
    host, port = address.removeprefix("http://").split(":")
    end = time.monotonic() + seconds
    while time.monotonic() < end and server.poll() is None:
        try:
            socket.create_connection((host, int(port)), timeout=1).close()
        except OSError:
            time.sleep(0.1)
        else:
            return
    pytest.fail(f"the server at {address} did not come up")


class Watched:
    """A page, and what it did that it must not do."""

    def __init__(self, page: Page, address: str) -> None:
        self.page = page
        self.address = address
        self.faults: list[str] = []
        self.expected: list[str] = []
        page.on("console", self._console)
        page.on("pageerror", lambda error: self.faults.append(f"script: {error}"))
        page.on("request", self._request)

    def _console(self, message: ConsoleMessage) -> None:
        if message.type in {"error", "warning"}:
            self.faults.append(f"console: {message.text} ({message.location.get('url', '')})")

    def _request(self, request: Request) -> None:
        if not request.url.startswith((f"{self.address}/", f"blob:{self.address}/", "data:")):
            self.faults.append(f"request off the origin: {request.url}")

    @property
    def left(self) -> list[str]:
        """The faults that the test did not bring about on purpose."""
        return [fault for fault in self.faults if not any(text in fault for text in self.expected)]


Opener = Callable[..., Watched]


@pytest.fixture
def open_page(browser: Browser, address: str) -> Iterator[Opener]:
    """Open the page: `open_page(width, height, dark=True, path="/#…")`; what it did wrong is asserted at the end."""
    contexts: list[BrowserContext] = []
    opened: list[Watched] = []

    def opener(
        width: int = 1366, height: int = 768, *, dark: bool = False, path: str = "/", language: str = "en-GB"
    ) -> Watched:
        context = browser.new_context(
            viewport={"width": width, "height": height},
            color_scheme="dark" if dark else "light",
            reduced_motion="reduce",
            accept_downloads=True,
            locale=language,
        )
        contexts.append(context)
        page = context.new_page()
        page.set_default_timeout(PATIENCE)
        watched = Watched(page, address)
        opened.append(watched)
        page.goto(address + path)
        page.wait_for_selector(READY, state="attached")
        return watched

    yield opener
    faults = [fault for watched in opened for fault in watched.left]
    for context in contexts:
        context.close()
    assert faults == []


def try_sample(page: Page, title: str) -> None:
    """Open a sample score and wait for its first notes."""
    page.get_by_role("button", name=title, exact=True).click()
    page.wait_for_selector(FIRST_NOTE)
    wait_until_settled(page)


def wait_until_settled(page: Page) -> None:
    """Wait until the plan asked for last is shown."""
    page.wait_for_selector(".desk:not([aria-busy])")


def drop(page: Page, name: str, data: bytes) -> float:
    """Drop a file on the page, as a player does; return the seconds until its first notes can be seen."""
    return float(
        page.evaluate(
            """async ([name, text]) => {
                const file = new File([Uint8Array.from(atob(text), (sign) => sign.charCodeAt(0))], name);
                const dropped = new DataTransfer();
                dropped.items.add(file);
                for (const old of document.querySelectorAll(".page")) old.remove();
                const began = performance.now();
                document.body.dispatchEvent(
                    new DragEvent("drop", { bubbles: true, cancelable: true, dataTransfer: dropped }));
                const seen = () => document.querySelector(".page g.note") || document.querySelector(".message.shown")
                    || performance.now() - began > 10000;
                while (!seen()) await new Promise((drawn) => requestAnimationFrame(drawn));
                return (performance.now() - began) / 1000;
            }""",
            [name, base64.b64encode(data).decode("ascii")],
        )
    )


def bars_away(page: Page) -> list[str]:
    """The bars of the card of every stretch away from first position."""
    return page.eval_on_selector_all(
        ".card:not(.declined) .card-where strong", "all => all.map((one) => one.textContent)"
    )


def card(page: Page, bars: str) -> None:
    """Open the card of some bars, unless it is open."""
    head = page.locator(".card-head", has_text=bars)
    if head.get_attribute("aria-expanded") == "false":
        head.click()


def decline(page: Page, bars: str) -> None:
    """Stay in first position instead of a stretch."""
    card(page, bars)
    page.get_by_role("button", name=f"Stay in first: {bars.lower()}").click()


def options(page: Page) -> None:
    """Open the panel with the options, unless it is open."""
    if not page.locator("#options").is_visible():
        page.locator("#options-button").click()


def sound(page: Page) -> None:
    """Open the panel with bars, tempo and pitch, unless it is open."""
    if not page.locator("#sound").is_visible():
        page.locator("#sound-button").click()


def downloaded(page: Page, button: str) -> tuple[str, bytes]:
    """Press a button that downloads; return the name and the content of the file."""
    with page.expect_download() as waiting:
        page.get_by_role("button", name=button, exact=True).click()
    return waiting.value.suggested_filename, Path(waiting.value.path()).read_bytes()


def long_part(score: bytes, bars: int) -> bytes:
    """A score of one part made longer: its bars again and again, numbered anew."""
    text = score.decode("utf-8")
    measures = re.findall(r"<measure .*?</measure>", text, re.DOTALL)
    begin, end = text.index(measures[0]), text.rindex("</measure>") + len("</measure>")
    inner = (measures[1:-1] * (bars // len(measures[1:-1]) + 1))[: bars - 2]
    numbered = (
        re.sub(r'number="[^"]*"', f'number="{number}"', measure, count=1)
        for number, measure in enumerate([measures[0], *inner, measures[-1]], start=1)
    )
    return (text[:begin] + "\n".join(numbered) + text[end:]).encode("utf-8")
