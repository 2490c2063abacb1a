"""The demo site as readers meet it: search, the order of a page, no requests elsewhere."""

from __future__ import annotations

import re
from urllib.parse import urlsplit

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect

KINDS = (
    "",
    "exercises/",
    "exercises/dropping-anchor/",
    "exercises/roll-call/",
    "goals/tuning/",
    "views/low-impact-openers/",
    "voice-care/",
)


def test_no_request_leaves_the_site(desktop: Page, site_url: str) -> None:
    asked: list[str] = []
    desktop.on("request", lambda request: asked.append(request.url))
    for kind in KINDS:
        desktop.goto(site_url + kind)
    desktop.wait_for_load_state("networkidle")
    home = urlsplit(site_url).netloc
    assert {urlsplit(url).netloc for url in asked if not url.startswith("data:")} == {home}


#: What a singer may remember of an exercise, and the exercise.
REMEMBERED = {
    "Roll call on the quay": "roll-call",  # title
    "spoken call": "roll-call",  # plain name
    "call and answer": "roll-call",  # other name
    "roll call": "roll-call",  # cue word
    "tug boats": "roll-call",  # syllables
    "noo": "dropping-anchor",  # a syllable
}


def test_search_opens_over_a_page_and_has_a_page_of_its_own(desktop: Page, site_url: str) -> None:
    """By keyboard alone: what is found while typing, a line that says how much, the way to a result
    and back, the address of a search, and what to try where nothing is found."""
    asked: list[str] = []
    names = re.compile(r"([^/]+?)(?:\.[0-9a-f]{10})?(\.\w+)$")
    desktop.on("request", lambda request: asked.extend(map("".join, names.findall(request.url))))
    desktop.goto(f"{site_url}exercises/slipway/")
    assert "search.js" in asked and "search_index.js" not in asked
    desktop.keyboard.press("Control+k")
    dialog = desktop.get_by_role("dialog", name="Search")
    field = dialog.get_by_role("searchbox", name="Search")
    expect(field).to_be_focused()
    results = dialog.locator(".hb-found > li > a")
    for words, slug in REMEMBERED.items():
        field.fill(words)
        expect(dialog.locator(f'.hb-found a[href$="/exercises/{slug}/"]')).to_be_visible()
    assert {"search.json", "index.json", "minisearch.js"} <= {*asked}
    field.fill("tounge twister")
    expect(results.first).to_contain_text("Ten tin tubs")
    expect(results.first.locator("+ p")).to_have_text(
        "Exercise · impact 3, light singing · to learn: at once · Diction, Agility · "
        "1 part · minutes: 2, 1 once known"
    )
    expect(dialog.get_by_role("status")).to_contain_text("pages found")
    assert Axe().run(desktop, {"include": [[".hb-search-dialog"]]}).response["violations"] == []
    desktop.keyboard.press("ArrowDown")
    expect(results.first).to_be_focused()
    desktop.keyboard.press("ArrowUp")
    expect(field).to_be_focused()
    desktop.keyboard.press("Escape")
    expect(dialog).to_be_hidden()
    desktop.locator("a.hb-search").click()
    expect(field).to_be_focused()
    desktop.keyboard.press("Enter")
    expect(results.first).to_be_focused()
    dialog.locator(".hb-found-all a").click()
    expect(desktop).to_have_url(f"{site_url}search/?q=tounge+twister")
    found = desktop.locator(".hb-search-page .hb-found > li > a")
    expect(found.first).to_contain_text("Ten tin tubs")
    field = desktop.get_by_role("searchbox", name="Search")
    field.fill("qqquartett")
    said = desktop.locator(".hb-search-said")
    expect(said).to_contain_text("Nothing found.")
    said.get_by_role("link", name="quartet", exact=True).click()
    expect(found.first).to_have_attribute("href", f"{site_url}views/quartet/")


def test_the_page_reads_in_the_order_of_a_rehearsal(desktop: Page, site_url: str) -> None:
    desktop.goto(site_url + "exercises/slipway/")
    tops = [
        desktop.eval_on_selector(selector, "node => node.getBoundingClientRect().top")
        for selector in (
            ".hb-cautions",
            "h1",
            ".hb-plain",
            ".hb-summary",
            ".hb-facts",
            ".hb-say",
            ".hb-player",
            ".hb-figure",
            ".hb-way",
            "#how-to-run-it",
            "#listen-for",
            "#what-goes-wrong",
            "#make-it-fit",
            "#hb-voices",
            "#variations",
            "#hb-kin",
            ".hb-note",
        )
    ]
    assert tops == sorted(tops)
    fold = desktop.locator("details:has(> summary > #hb-voices)")
    expect(fold).not_to_have_attribute("open", "")
    desktop.evaluate("location.hash = 'hb-voices'")  # a link opens what it leads into
    expect(fold).to_have_attribute("open", "")


def test_without_scripts_the_page_still_shows_score_and_text(
    chromium: Browser, site_url: str
) -> None:
    context = chromium.new_context(
        java_script_enabled=False, viewport={"width": 390, "height": 844}
    )
    page = context.new_page()
    page.goto(site_url + "exercises/dropping-anchor/")
    assert page.locator(".hb-figure svg[role=img]:visible").count() == 1
    assert "drop anchor and listen" in page.locator(".hb-say").inner_text()
    context.close()
