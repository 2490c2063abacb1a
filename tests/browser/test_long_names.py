"""The longest names that fields may hold, on the narrowest screen: they break, and the page keeps
its width (WCAG 2.2, 1.4.10: 320 CSS px)."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser

from chorus_handbook.entries.model import FrontMatter

#: The lengths that the fields allow.
TITLE, PLAIN = 80, 60
SET_NAMES = """([title, plain]) => {
    for (const node of document.querySelectorAll("h1, .hb-list-title")) node.textContent = title;
    const names = document.querySelectorAll(".hb-plain");
    for (const node of names) node.textContent = plain;
    return names.length;
}"""


def test_the_fields_allow_names_that_are_long() -> None:
    fields = FrontMatter.model_json_schema()["properties"]
    assert fields["title"]["maxLength"] == TITLE
    assert fields["plain"]["anyOf"][0]["maxLength"] == PLAIN


@pytest.mark.parametrize("where", ["exercises/dropping-anchor/", "exercises/"])
@pytest.mark.parametrize("words", ["Wide ", "W"])
def test_a_long_title_beside_a_long_plain_name_keeps_the_width(
    chromium: Browser, site_url: str, where: str, words: str
) -> None:
    page = chromium.new_page(viewport={"width": 320, "height": 640}, service_workers="block")
    page.goto(site_url + where)
    names = [(words * length)[:length] for length in (TITLE, PLAIN)]
    assert page.evaluate(SET_NAMES, names) >= 1
    assert page.evaluate("document.documentElement.scrollWidth") <= 320
    widest = page.eval_on_selector_all(
        "h1, .hb-list-title, .hb-plain",
        "nodes => Math.max(...nodes.map(node => node.getBoundingClientRect().right))",
    )
    assert widest <= 320
    page.close()


def test_an_exercise_page_says_what_it_is(chromium: Browser, site_url: str) -> None:
    """The plain name stands under the title, in the browser's title, and is found by search."""
    page = chromium.new_page(service_workers="block")
    page.goto(site_url + "exercises/dropping-anchor/")
    assert page.locator("h1 + .hb-plain").inner_text() == "Scale into a chord"
    assert page.title().startswith("Dropping anchor · Scale into a chord - ")
    page.close()
