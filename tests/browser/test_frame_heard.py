"""What a screen reader meets around the content of a page: one visit to an exercise, by keys."""

from __future__ import annotations

from playwright.sync_api import Page, expect

#: Landmarks in reading order: what has the role by its element, or by `role`.
LANDMARKS = """() => [...document.querySelectorAll(
        'header:not(main *), nav, main, main section[aria-label], footer:not(main *)')]
    .filter(e => e.checkVisibility({visibilityProperty: true}))
    .map(e => `${e.localName} ${e.getAttribute('aria-label') ?? ''}`.trim())"""
FOCUSED = "document.activeElement"


def test_the_content_and_the_notes_in_words_are_near(desktop: Page, site_url: str) -> None:
    page = desktop
    page.goto(site_url + "exercises/dropping-anchor/")
    expect(page.locator(".hb-player")).to_be_visible()
    assert page.evaluate(LANDMARKS) == [
        "header",
        "nav Main menu",
        "nav On this page",
        "main",
        "section Say",
        "section Score",
        "footer",
    ]
    # The bar says no name twice.
    assert page.locator(".md-header").aria_snapshot().count("Tidewater Chorus") == 1

    # One key to skip the menus, and the title comes next.
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    assert page.evaluate(f"{FOCUSED}.id") == "hb-content"
    first = page.locator("#hb-content").locator("h1, h2, a, button, [role=img]").first
    expect(first).to_have_text("Dropping anchor")

    # One key from the score to its notes in words, which open.
    page.locator(".hb-hear-only button").last.focus()
    page.keyboard.press("Tab")
    expect(page.locator(".hb-score").get_by_role("link", name="The notes in words")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.locator(".hb-notes li").first).to_be_visible()
    page.keyboard.press("Tab")
    expect(page.locator(".hb-notes summary")).to_be_focused()


def test_light_or_dark_is_said_as_it_is(desktop: Page, site_url: str) -> None:
    page = desktop
    page.goto(site_url + "kept/")  # a page without headings has the link, too
    expect(page.locator("a.md-skip")).to_have_attribute("href", "#hb-content")
    light, dark = (page.get_by_role("radio", name=f"{one} page") for one in ("Light", "Dark"))
    expect(light).to_be_checked()
    dark.focus()
    page.keyboard.press("Space")
    expect(dark).to_be_checked()
    expect(page.locator("body")).to_have_attribute("data-md-color-scheme", "slate")


def test_forced_colours_hold_for_scores_and_for_what_is_pressed(
    desktop: Page, site_url: str
) -> None:
    """A light page in a system that forces white on black."""
    page = desktop
    page.emulate_media(forced_colors="active", color_scheme="dark")
    page.goto(site_url + "exercises/dropping-anchor/")
    expect(page.locator(".hb-player")).to_be_visible()
    page.evaluate("document.body.dataset.mdColorScheme = 'default'")
    assert page.locator(".hb-figure svg use").first.evaluate("e => getComputedStyle(e).fill") == (
        "rgb(255, 255, 255)"
    )
    one, other = page.locator(".hb-hear-only button").all()[:2]
    one.evaluate("e => e.setAttribute('aria-pressed', 'true')")
    ground = "e => getComputedStyle(e).backgroundColor"
    assert one.evaluate(ground) != other.evaluate(ground)
