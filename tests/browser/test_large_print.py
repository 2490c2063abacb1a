"""Large print on paper, from a dark screen: what a chorus hands out to those who see little."""

from __future__ import annotations

from playwright.sync_api import Page

#: Texts of the printed page that are smaller than 18 points (24 CSS pixels), with their sizes.
SMALL = """() => [...document.querySelectorAll('article *')]
    .filter(e => [...e.childNodes].some(n => n.nodeType === 3 && n.textContent.trim())
        && e.checkVisibility() && !e.closest('svg, .hb-unseen, button'))
    .map(e => [parseFloat(getComputedStyle(e).fontSize), e.outerHTML.slice(0, 80)])
    .filter(([size]) => size < 23.9)"""
LINES = "e => e.getBoundingClientRect().height / parseFloat(getComputedStyle(e).lineHeight)"
PAPER = """() => ['html', 'body'].map(n => getComputedStyle(document.querySelector(n)))
    .map(s => `${s.backgroundColor} ${s.colorScheme}`)"""


def test_a_sheet_in_large_print_from_a_dark_screen(desktop: Page, site_url: str) -> None:
    page = desktop
    page.emulate_media(color_scheme="dark")
    page.goto(site_url + "exercises/through-the-lock/")
    page.get_by_role("button", name="Large print").click()
    page.emulate_media(media="print", color_scheme="dark")
    # The margins take the ground of the root, which only its own scheme makes white.
    assert page.evaluate(PAPER) == ["rgb(255, 255, 255) light only"] * 2
    assert page.evaluate(SMALL) == []

    page.goto(site_url + "warmups/2026-12-03-towards-christmas/")
    assert page.evaluate(SMALL) == []
    for time in page.locator(".hb-sheet-time b").all():
        assert time.evaluate(LINES) < 1.5  # no time is broken in two
