"""Other files than a site has, for its pages."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from playwright.sync_api import Page

_UNCHECKED = """{ const ask = window.fetch;
window.fetch = (address, {integrity, ...others} = {}) => ask(address, others); }"""


def serve_altered(page: Page, file: str, answer: Callable[..., Any]) -> None:
    """Have requests for data files of this name answered by a test. Pages state the hash of their
    data, by which the browser would refuse what a test has changed: here it does not look."""
    page.add_init_script(_UNCHECKED)
    page.route(re.compile(rf"/{re.escape(file)}(\?|$)"), answer)
