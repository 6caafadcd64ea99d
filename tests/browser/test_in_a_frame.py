"""The page within a page of another site. Source: Content Security Policy Level 3 (W3C), 6.4.2 (frame-ancestors)."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import FIRST_NOTE, running_service

pytestmark = pytest.mark.browser


class _Lesson(BaseHTTPRequestHandler):
    """A page that holds a frame; its query is the address of what the frame shows."""

    def do_GET(self) -> None:
        """Answer with the page."""
        address = self.path.partition("?")[2]
        html = f'<!doctype html><title>Lesson</title><iframe src="{address}" width="780" height="560"></iframe>'
        self.send_response(200)
        self.send_header("Content-Type", "text/html")
        self.end_headers()
        self.wfile.write(html.encode())

    def log_message(self, format: str, *args: object) -> None:
        """Write no log."""


@pytest.fixture(scope="module")
def school() -> Iterator[str]:
    """The origin of another site: to a browser localhost is another site than 127.0.0.1."""
    with ThreadingHTTPServer(("127.0.0.1", 0), _Lesson) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield f"http://localhost:{server.server_port}"
        server.shutdown()


@pytest.fixture(scope="module")
def framed_address(school: str) -> Iterator[str]:
    """The address of a service that lets the school show its page."""
    with running_service("--planners", "1", "--frame-origins", school) as found:
        yield found


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    context = browser.new_context(viewport={"width": 800, "height": 600}, locale="en-GB")
    yield context.new_page()
    context.close()


def test_a_listed_site_shows_the_page_and_plans_in_it(page: Page, school: str, framed_address: str) -> None:
    errors: list[str] = []
    page.on("console", lambda message: errors.append(message.text) if message.type == "error" else None)
    page.goto(f"{school}/?{framed_address}/embed")
    frame = page.frame_locator("iframe")
    frame.get_by_role("button", name="Reed crossing", exact=True).click()
    expect(frame.locator(FIRST_NOTE).first).to_be_visible(timeout=20_000)
    expect(frame.locator(".card").first).to_be_visible(timeout=20_000)
    assert errors == []


@pytest.mark.parametrize(("host", "path"), [("localhost", "/"), ("127.0.0.1", "/embed")])
def test_no_other_address_and_no_other_site_is_shown(
    page: Page, school: str, framed_address: str, host: str, path: str
) -> None:
    with page.expect_response(framed_address + path):
        page.goto(f"{school.replace('localhost', host)}/?{framed_address}{path}")
    page.wait_for_timeout(500)
    expect(page.frame_locator("iframe").locator("#stand")).to_have_count(0)
