"""The demo site as readers meet it: phone and desktop, light and dark, search, accessibility."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
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


#: Spacing that text must bear without loss (WCAG 2.2, 1.4.12). Readers set it, and system fonts
#: differ in width by half as much. Lyrics in a score keep their own.
SPACED = """
article :not(svg, svg *) {
    line-height: 1.5 !important; letter-spacing: 0.12em !important; word-spacing: 0.16em !important;
}
article p { margin-bottom: 2em !important; }
"""


@pytest.mark.parametrize("kind", [*KINDS, "exercises/up-the-mast/", "exercises/bell-buoy/"])
def test_no_page_scrolls_sideways(
    phone: Page, site_url: str, set_width: Callable[[Page, int], None], kind: str
) -> None:
    """On screens of all widths, and on a phone with wide letters and everything opened."""
    phone.set_viewport_size({"width": 320, "height": 844})
    phone.goto(site_url + kind)
    for width in (320, 390, 768, 1280):  # 320: WCAG 2.2, 1.4.10 (reflow)
        set_width(phone, width)
        assert phone.evaluate("document.documentElement.scrollWidth") <= width
        wide = phone.eval_on_selector_all(
            "article *",
            "nodes => nodes.filter(n => n.getBoundingClientRect().right > innerWidth + 1"
            " && !n.closest('.hb-unseen')).map(n => n.outerHTML.slice(0, 80))",
        )
        assert wide == [], width
    set_width(phone, 390)
    phone.add_style_tag(content=SPACED)
    phone.evaluate("document.querySelectorAll('article details').forEach(d => d.open = true)")
    assert phone.evaluate("document.documentElement.scrollWidth") <= 390


def test_no_request_leaves_the_site(desktop: Page, site_url: str) -> None:
    asked: list[str] = []
    desktop.on("request", lambda request: asked.append(request.url))
    for kind in KINDS:
        desktop.goto(site_url + kind)
    desktop.wait_for_load_state("networkidle")
    home = urlsplit(site_url).netloc
    assert {urlsplit(url).netloc for url in asked if not url.startswith("data:")} == {home}


@pytest.mark.parametrize(
    ("kind", "scheme"),
    [(kind, "light") for kind in KINDS] + [("exercises/dropping-anchor/", "dark"), ("", "dark")],
)
def test_axe_finds_nothing_serious(phone: Page, site_url: str, kind: str, scheme: Any) -> None:
    phone.emulate_media(color_scheme=scheme)
    phone.goto(site_url + kind)
    found = Axe().run(phone).response["violations"]
    serious = [
        (v["id"], [n["html"][:120] for n in v["nodes"]][:3])
        for v in found
        if v["impact"] in ("serious", "critical")
    ]
    assert serious == []


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.2."""
    channels = [int(c) / 255 for c in re.findall(r"\d+", colour)[:3]]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def test_the_contrast_formula_gives_known_values() -> None:
    """Contrast of greys and colours on white. The formula is that of WCAG 2.2; the figures were
    computed by us, apart from this code. Black on white, 21, stands in WCAG itself."""
    white = "rgb(255, 255, 255)"
    for colour, expected in (
        ("rgb(0, 0, 0)", 21),
        ("rgb(89, 89, 89)", 7.0047),
        ("rgb(118, 118, 118)", 4.5422),
        ("rgb(119, 119, 119)", 4.4781),
        ("rgb(148, 148, 148)", 3.0335),
        ("rgb(255, 0, 0)", 3.9985),
        ("rgb(0, 0, 255)", 8.5925),
    ):
        assert contrast(colour, white) == pytest.approx(expected, abs=5e-4)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_text_and_score_stand_out_from_the_paper(desktop: Page, site_url: str, scheme: Any) -> None:
    page = desktop
    page.emulate_media(color_scheme=scheme)
    page.goto(site_url + "exercises/dropping-anchor/")
    colour = "(n => getComputedStyle(n)"
    paper = page.eval_on_selector("body", f"{colour}.backgroundColor)")
    for selector, least in (
        (".hb-summary", 4.5),
        (".hb-facts", 7),
        (".hb-say p", 7),
        (".hb-for a", 4.5),
        (".hb-note", 4.5),
    ):
        ink = page.eval_on_selector(selector, f"{colour}.color)")
        assert contrast(ink, paper) >= least, selector
    ink = page.eval_on_selector(".hb-figure svg use", f"{colour}.fill)")
    assert contrast(ink, paper) >= 7


def test_pointer_targets_are_large_enough(phone: Page, site_url: str) -> None:
    """WCAG 2.2, 2.5.8: at least 24 by 24 CSS px, or enough space around; text links in a sentence
    are exempt."""
    for kind in ("exercises/", "views/low-impact-openers/", ""):
        phone.goto(site_url + kind)
        small = phone.eval_on_selector_all(
            ".hb-list a, .hb-index a, .hb-all a",
            "links => links.map(a => [a.textContent, a.getBoundingClientRect().height])"
            ".filter(([_, height]) => height < 24)",
        )
        assert small == [], kind


#: What a singer may remember of an exercise, and the exercise.
REMEMBERED = {
    "Roll call on the quay": "roll-call",  # title
    "spoken call": "roll-call",  # plain name
    "call and answer": "roll-call",  # other name
    "roll call": "roll-call",  # cue word
    "tug boats": "roll-call",  # syllables
    "noo": "dropping-anchor",  # a syllable
    "tuning": "dropping-anchor",  # goal
}


def test_search_finds_an_exercise(desktop: Page, site_url: str, demo_site: Path) -> None:
    desktop.goto(site_url)
    field = desktop.locator(".md-search__input")
    field.click()
    meta = desktop.locator(".md-search-result__meta")
    results = desktop.locator(".md-search-result__list > li article h1")
    for words, slug in REMEMBERED.items():
        field.fill("")
        expect(meta).to_have_text("Type to start searching")
        desktop.keyboard.type(words)
        html = (demo_site / "exercises" / slug / "index.html").read_text(encoding="utf-8")
        title = re.search(r"<h1>(.*?)</h1>", html)
        assert title
        # Results come with every letter typed: wait for those of the whole word.
        expect(results.filter(has_text=f"{title[1]} · ").first).to_be_attached()
    desktop.goto(f"{site_url}?q=tug+boats")  # the first question is asked with the index still away
    expect(results.filter(has_text="Roll call on the quay · ").first).to_be_attached()


def test_notes_and_their_names_do_not_flood_the_search_index(demo_site: Path) -> None:
    index = (demo_site / "search" / "search_index.json").read_text(encoding="utf-8")
    assert "<svg" not in index and "soprano-1" not in index


def test_search_finds_everyday_words_where_they_lead(demo_site: Path) -> None:
    """Under the page's own title, not under a heading further down."""
    index = (demo_site / "search" / "search_index.json").read_text(encoding="utf-8")
    texts = {entry["location"]: entry["text"] for entry in json.loads(index)["docs"]}
    for page, word in (
        ("exercises/slipway/", "motorboat"),
        ("goals/dynamics/", "crescendo"),
        ("views/after-singing/", "cool down"),
        ("voice-care/", "sore throat"),
    ):
        assert any(word in text for at, text in texts.items() if at in {page, f"{page}#"}), page


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
