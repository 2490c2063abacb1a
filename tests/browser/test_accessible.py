"""Every kind of page by the rules of WCAG 2.2, level AA, as far as a machine can tell: each is
opened once, on a screen as wide as a desktop at 400 %, and looked at in both schemes.

axe-core finds what is wrong with names, roles, order, landmarks, contrast and the size of targets
(2.5.8). What it does not look at stands here: reflow (1.4.10), text spacing (1.4.12), focus that is
seen and not covered (2.4.7, 2.4.11, 1.4.11), and targets of 44 pixels, the size
of level AAA (2.5.5), for controls that stand by themselves.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

#: A page of every kind, and what is tapped there first.
KINDS = (
    ("", ""),
    ("exercises/through-the-lock/", ""),
    ("exercises/bell-buoy/?practise=1", ""),
    ("exercises/gangway/", ""),
    ("goals/", ""),
    ("goals/tuning/", ""),
    ("views/", ""),
    ("views/buzz-first/", ""),
    ("warmups/", ""),
    ("warmups/2026-12-03-towards-christmas/", ""),
    ("warmups/2026-12-03-towards-christmas/", "[data-open=stand]"),
    ("routines/quartet-in-the-stairwell/", ""),
    ("find/", ""),
    ("draft/", ""),
    ("gaps/", ""),
    ("kept/", ""),
    ("search/", ""),
    ("glossary/", ""),
    ("404.html", ""),
)
#: Where axe does not look: drawings have one name for all that is in them.
LEFT_OUT = [[".hb-drawings"], [".hb-list-score"]]
VIOLATIONS = {"resultTypes": ["violations"]}  # the rest would only take time
ALL_RULES = {"rules": {"target-size": {"enabled": True}}, **VIOLATIONS}
CONTRAST = {"runOnly": ["color-contrast", "link-in-text-block"], **VIOLATIONS}

#: Spacing that text must bear without loss (1.4.12). Readers set it, and system fonts differ in
#: width by half as much. Lyrics in a score keep their own.
SPACED = """
article :not(svg, svg *) {
    line-height: 1.5 !important; letter-spacing: 0.12em !important; word-spacing: 0.16em !important;
}
article p { margin-bottom: 2em !important; }
"""
#: Elements of the text that are wider than the screen.
TOO_WIDE = """() => [...document.querySelectorAll('article *')]
    .filter(e => e.getBoundingClientRect().right > innerWidth + 1
        && !e.closest('.hb-unseen, .hb-scrolls, dialog'))
    .map(e => e.outerHTML.slice(0, 80))"""
#: Controls that stand by themselves and are lower or narrower than 44 pixels.
SMALL = """() => [...document.querySelectorAll(
        'button, select, input, textarea, summary, [role=button], .md-button')]
    .filter(e => e.checkVisibility({opacityProperty: true, visibilityProperty: true})
        && !e.closest('[data-md-component=palette]'))
    .map(e => [e, (e.matches('[type=checkbox], [type=radio]') && e.closest('label') || e)
        .getBoundingClientRect()])
    .filter(([, {width, height}]) => width && (height < 43.5 || width < 43.5))
    .map(([e, {width, height}]) => `${width} x ${height}: ${e.outerHTML.slice(0, 90)}`)"""
#: For everything that can have the focus: its outline, and the ground on which it is drawn.
FOCUSED = """() => {
  const ground = (e) => {
    for (let at = e; at; at = at.parentElement) {
      const colour = getComputedStyle(at).backgroundColor;
      if (colour !== 'transparent' && !/, 0\\)$/.test(colour)) return colour;
    }
    return 'rgb(255, 255, 255)';
  };
  const found = {}, open = document.querySelector('dialog[open]');
  const all = 'a[href], button, select, input, summary, [tabindex="0"]';
  for (const e of document.querySelectorAll(all)) {
    if (!e.checkVisibility({visibilityProperty: true}) || e.disabled) continue;
    if (open && !e.closest('dialog')) continue;
    e.focus({preventScroll: true});
    if (document.activeElement !== e) continue;
    // what stands for a box that is not shown itself
    const shown = e.matches('.md-option') ? e.nextElementSibling : e.closest('.hb-choice') || e;
    const {outlineStyle, outlineWidth, outlineColor} = getComputedStyle(shown);
    const key = [outlineStyle, outlineWidth, outlineColor, ground(shown.parentElement)].join('|');
    found[key] ??= shown.outerHTML.slice(0, 90);
  }
  return Object.entries(found);
}"""


#: Controls that something lies on when they get the focus as by Shift and Tab, from the last to the
#: first (2.4.11): the bars at the top and at the foot of a page stay where they are.
OBSCURED = """() => {
  const open = document.querySelector('dialog[open]'), found = [];
  const all = [...document.querySelectorAll('a[href], button, select, input, summary')].reverse();
  for (const e of all) {
    if (!e.checkVisibility({visibilityProperty: true}) || e.disabled) continue;
    if (open ? !e.closest('dialog') : !e.closest('.md-content')) continue;
    e.focus();
    if (document.activeElement !== e) continue;
    const shown = e.closest('.hb-choice') || e;
    const {left, top, width, height} = shown.getBoundingClientRect();
    const seen = [[0.5, 0.5], [0.1, 0.2], [0.9, 0.8]].some(([x, y]) => {
      const there = document.elementFromPoint(left + x * width, top + y * height);
      return there && (shown.contains(there) || there.contains(shown));
    });
    if (width && !seen) found.push(shown.outerHTML.slice(0, 90));
  }
  return found;
}"""


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


def found_by_axe(page: Page, options: dict[str, Any]) -> Iterator[str]:
    response = Axe().run(page, {"exclude": LEFT_OUT}, options).response
    for violation in response["violations"]:
        nodes = [node["html"][:120] for node in violation["nodes"]]
        yield f"{violation['id']}: {nodes[:3]}"


def unseen_focus(page: Page) -> Iterator[str]:
    """Controls whose outline is missing, thin, or of less than 3 : 1 against its ground."""
    page.keyboard.press("Shift")  # from now on focus is shown as for a keyboard
    for look, element in page.evaluate(FOCUSED):
        style, width, colour, ground = look.split("|")
        if style == "none" or float(width.removesuffix("px")) < 2 or contrast(colour, ground) < 3:
            yield f"focus is not seen ({look}): {element}"


def faults(page: Page, set_width: Callable[[Page, int], None]) -> Iterator[str]:
    yield from found_by_axe(page, ALL_RULES)
    yield from (f"too small: {one}" for one in page.evaluate(SMALL))
    yield from unseen_focus(page)
    yield from (f"focus is covered: {one}" for one in page.evaluate(OBSCURED))
    page.emulate_media(color_scheme="dark")
    yield from found_by_axe(page, CONTRAST)
    yield from unseen_focus(page)
    page.emulate_media(color_scheme="light")
    yield from faults_of_width(page, set_width)


def faults_of_width(page: Page, set_width: Callable[[Page, int], None]) -> Iterator[str]:
    for width in (390, 768, 1280, 320):
        set_width(page, width)
        if page.evaluate("document.documentElement.scrollWidth") > width:
            yield f"scrolls sideways when {width} pixels wide"
        yield from (f"too wide for {width}: {one}" for one in page.evaluate(TOO_WIDE))
    page.add_style_tag(content=SPACED)
    if page.evaluate("document.documentElement.scrollWidth") > 320:
        yield "scrolls sideways with wide letters"


@pytest.mark.long
def test_every_kind_of_page_is_accessible(
    phone: Page, site_url: str, set_width: Callable[[Page, int], None]
) -> None:
    """Everything that can be folded is open."""
    wrong = []
    for kind, tapped in KINDS:
        phone.set_viewport_size({"width": 320, "height": 844})
        phone.goto(site_url + kind)
        if tapped:
            phone.locator(tapped).first.click()
        phone.evaluate("document.querySelectorAll('article details').forEach(d => d.open = true)")
        wrong += [f"{kind} {tapped}: {fault}" for fault in faults(phone, set_width)]
    phone.goto(site_url + "exercises/")  # so long that axe would take as long as for all others
    wrong += [f"exercises/: {fault}" for fault in faults_of_width(phone, set_width)]
    assert wrong == []


def test_the_menu_opens_by_keys(phone: Page, site_url: str) -> None:
    """While it is closed, none of it can have the focus. Large print is kept for other pages."""
    phone.set_viewport_size({"width": 320, "height": 844})
    phone.goto(site_url)
    menu, first = phone.get_by_role("button", name="Menu"), phone.locator(".md-sidebar--primary a")
    expect(menu).to_have_attribute("aria-expanded", "false")
    expect(first.first).to_be_hidden()
    menu.press("Enter")
    expect(menu).to_have_attribute("aria-expanded", "true")
    assert phone.evaluate("!!document.activeElement.closest('.md-sidebar--primary')")
    phone.keyboard.press("Escape")
    expect(menu).to_be_focused()
    expect(first.first).to_be_hidden()

    size = "parseFloat(getComputedStyle(document.querySelector('article p')).fontSize)"
    small = phone.evaluate(size)
    phone.get_by_role("button", name="Large print").click()
    assert phone.evaluate(size) == pytest.approx(1.5 * small, rel=0.01)
    phone.goto(site_url + "exercises/through-the-lock/")
    assert phone.evaluate(size) >= 24  # CSS pixels: 18 points
    assert phone.evaluate("document.documentElement.scrollWidth") <= 320
    score = phone.locator(".hb-drawings")
    assert score.evaluate("e => e.scrollWidth > e.clientWidth && e.tabIndex === 0")
    phone.get_by_role("button", name="Large print").click()
    assert phone.evaluate(size) < 24 and score.evaluate("e => e.tabIndex") == -1
