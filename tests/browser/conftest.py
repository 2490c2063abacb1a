"""A real browser on the demo site, served on this machine only."""

from __future__ import annotations

import functools
import http.server
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Error, Page, expect


class _Quiet(http.server.SimpleHTTPRequestHandler):
    def translate_path(self, path: str) -> str:
        """Let tests name a script of ours without the hash in its name."""
        place = Path(super().translate_path(path))
        if place.suffix == ".js" and not place.exists():
            place = next(place.parent.glob(f"{place.stem}.*.js"), place)
        return str(place)

    def log_message(self, *_: object) -> None:
        """Tests need no access log."""


@pytest.fixture(scope="session")
def site_url(demo_site: Path) -> Iterator[str]:
    handler = functools.partial(_Quiet, directory=str(demo_site))
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{server.server_port}/"
    server.shutdown()


@pytest.fixture(scope="session")
def _phones(chromium: Browser) -> BrowserContext:
    return _new_phone(chromium)


def _new_phone(chromium: Browser) -> BrowserContext:
    return chromium.new_context(
        viewport={"width": 390, "height": 844},
        device_scale_factor=2,
        service_workers="block",  # what one test has opened must not be there in the next
    )


@pytest.fixture(scope="session")
def _desktops(chromium: Browser) -> BrowserContext:
    return chromium.new_context(viewport={"width": 1280, "height": 900}, service_workers="block")


@contextmanager
def _fresh_page(context: BrowserContext) -> Iterator[Page]:
    """A page of a browser that has never been to the site: a new context for each would load and
    compile every script again, and costs twice as much."""
    yield context.new_page()
    context.set_offline(False)
    context.clear_cookies()
    for page in context.pages:
        if page.url.startswith("http"):
            with suppress(Error):  # the test may have blocked it
                page.evaluate("localStorage.clear()")
        page.close()


@pytest.fixture
def phone(_phones: BrowserContext) -> Iterator[Page]:
    with _fresh_page(_phones) as page:
        yield page


@pytest.fixture
def clocked_phone(chromium: Browser) -> Iterator[Page]:
    """A phone whose clock a test may set. It is a context of its own, because a clock that was set
    stays so for all later pages of its context."""
    context = _new_phone(chromium)
    yield context.new_page()
    context.close()


@pytest.fixture
def desktop(_desktops: BrowserContext) -> Iterator[Page]:
    with _fresh_page(_desktops) as page:
        yield page


@pytest.fixture(scope="session")
def set_width() -> Callable[[Page, int], None]:
    """Makes a page so many pixels wide, without the theme's panels still moving to their places."""

    def run(page: Page, width: int) -> None:
        page.add_style_tag(content="*, ::before, ::after { transition: none !important }")
        page.set_viewport_size({"width": width, "height": 844})

    return run


@pytest.fixture(scope="session")
def play() -> Callable[[Page], None]:
    """Has the exercise of a page played, and waits until it is."""

    def tap(page: Page) -> None:
        page.locator(".hb-play").click()
        expect(page.locator(".hb-player-status")).to_contain_text("Playing in")

    return tap
