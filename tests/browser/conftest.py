"""A real browser on the demo site, served on this machine only."""

from __future__ import annotations

import functools
import http.server
import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect


class _Quiet(http.server.SimpleHTTPRequestHandler):
    def log_message(self, *_: object) -> None:
        """Tests need no access log."""


@pytest.fixture(scope="session")
def site_url(demo_site: Path) -> Iterator[str]:
    handler = functools.partial(_Quiet, directory=str(demo_site))
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{server.server_port}/"
    server.shutdown()


@pytest.fixture
def phone(chromium: Browser) -> Iterator[Page]:
    context = chromium.new_context(viewport={"width": 390, "height": 844}, device_scale_factor=2)
    yield context.new_page()
    context.close()


@pytest.fixture
def desktop(chromium: Browser) -> Iterator[Page]:
    context = chromium.new_context(viewport={"width": 1280, "height": 900})
    yield context.new_page()
    context.close()


@pytest.fixture(scope="session")
def play() -> Callable[[Page], None]:
    """Has the exercise of a page played, and waits until it is."""

    def tap(page: Page) -> None:
        page.locator(".hb-play").click()
        expect(page.locator(".hb-player-says")).to_contain_text("Playing in")

    return tap
