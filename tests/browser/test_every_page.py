"""Every page of the demo, opened once, on a phone, made as wide as on a desktop, and printed: all
that must hold of each, since opening a page costs more than looking at it. Someone with ten
minutes' notice needs the steps within two screens of a phone, and an exercise on one sheet of
paper in legible type. Every fault is listed, not the first."""

from __future__ import annotations

import io
import json
import re
from collections.abc import Callable, Iterator
from functools import cache
from html import unescape
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urlsplit

import pytest
from playwright.sync_api import Page
from pypdf import PdfReader

PHONE, DESKTOP = 390, 1280
#: CSS pixels of lyrics on a phone, as high as the line's box.
SMALLEST_LYRICS = 11
#: Two screens of a phone of 390 by 844.
SECOND_SCREEN = 2 * 844
#: On paper, in points.
SMALLEST_PRINT = 10.5
#: Three systems of two staves, or two of four, are at most so high on a desktop, in CSS pixels.
ONE_SHEET = 800

#: What a page is: its width, ids that stand in it more than once, links, and boxes of all visible
#: texts of the score, one box around all its marks, and the drawing's own box, in CSS pixels.
LOOK = """async () => {
  await document.fonts.ready;
  await new Promise(requestAnimationFrame);  // scripts learn of another width with the next frame
  const ids = [...document.querySelectorAll('[id]')].map(e => e.id);
  return JSON.stringify({  // as one text: thousands of numbers take the driver long
    width: document.documentElement.scrollWidth,
    twice: ids.filter((id, n) => ids.indexOf(id) !== n),
    links: [...document.querySelectorAll('a[href]')].map(a => a.href),
    title: document.querySelector('.hb-figure svg[role=img]')?.ariaLabel ?? '',
    give: document.querySelector('.hb-give')?.innerText ?? '',
    steps: document.querySelector('#how-to-run-it')?.getBoundingClientRect().top + scrollY,
    scores: [...document.querySelectorAll('.hb-figure svg[role=img]')]
      .filter(svg => svg.checkVisibility())
      .map(svg => ({
        frame: svg.getBoundingClientRect().toJSON(),
        texts: [...svg.querySelectorAll('text, text tspan')]
          .filter(t => ![...t.children].some(c => c.textContent) && t.textContent.trim())
          .map(t => ({...t.getBoundingClientRect().toJSON(), text: t.textContent})),
        marks: [...svg.querySelectorAll('use, path, line, rect, polygon, ellipse')]
          .map(m => m.getBoundingClientRect())
          .reduce((all, m) => ({
            left: Math.min(all.left, m.left), right: Math.max(all.right, m.right),
            top: Math.min(all.top, m.top), bottom: Math.max(all.bottom, m.bottom),
          }), {left: Infinity, right: -Infinity, top: Infinity, bottom: -Infinity}),
      })),
  });
}"""
#: The same page in every key, by its chooser.
TURN = """() => [...document.querySelectorAll('[name=key] option')].map((option, n) => {
    option.parentElement.selectedIndex = n;
    option.parentElement.dispatchEvent(new Event('change'));
    const ids = [...document.querySelectorAll('[id]')].map(e => e.id);
    const svg = [...document.querySelectorAll('.hb-figure svg[role=img]')]
      .filter(s => s.checkVisibility());
    return {
      twice: ids.filter((id, n) => ids.indexOf(id) !== n),
      named: svg.every(s => s.ariaLabel
        && document.getElementById(s.getAttribute('aria-describedby'))),
      shown: svg.length,
      right: svg[0].getBoundingClientRect().right,
      top: document.querySelector('.hb-chooser').getBoundingClientRect().top + scrollY,
    };
})"""
_MODE = re.compile(r"[A-G](?: flat| sharp)? (minor|dorian|phrygian|lydian|mixolydian)")


def overlaps(one: dict[str, Any], other: dict[str, Any]) -> bool:
    """Whether two texts touch. A line's box is higher than its letters, hence the allowance."""
    sideways = min(one["right"], other["right"]) - max(one["left"], other["left"])
    upright = min(one["bottom"], other["bottom"]) - max(one["top"], other["top"])
    return sideways > 0.5 and upright > 0.45 * min(one["height"], other["height"])


def clipped(score: dict[str, Any]) -> Iterator[str]:
    """What of a score lies outside its drawing, and syllables that lie on one another."""
    frame, texts = score["frame"], score["texts"]
    for box in [*texts, score["marks"]]:
        # The box of a text is higher than its ink, that of a path is not.
        spare = 0.2 * box["height"] if "text" in box else 1
        sideways = box["left"] < frame["left"] - 1 or box["right"] > frame["right"] + 1
        if sideways or box["top"] < frame["top"] - spare or box["bottom"] > frame["bottom"] + spare:
            yield f"{box.get('text', 'a mark')} is clipped"
    for index, one in enumerate(texts):
        for other in texts[index + 1 :]:
            if overlaps(one, other):
                yield f"{one['text']} lies on {other['text']}"
    if not texts:
        yield "a score without words or names"


def faults(seen: dict[str, Any], notated: bool, width: int) -> Iterator[str]:
    """What is wrong with a page as it opens."""
    if seen["width"] > width:
        yield f"scrolls sideways: {seen['width']}"
    if seen["twice"]:
        yield f"ids more than once: {seen['twice']}"
    if len(seen["scores"]) != notated:
        yield f"shows {len(seen['scores'])} scores"
    for score in seen["scores"]:
        yield from clipped(score)
        if score["frame"]["right"] > width:
            yield "a score wider than the page"
        if width == PHONE and min(t["height"] for t in score["texts"]) < SMALLEST_LYRICS:
            yield "small lyrics"
    mode = _MODE.search(seen["title"])
    if mode and seen["give"] and f" {mode[1]}: give" not in seen["give"]:
        yield f"{seen['title']!r}, but {seen['give']!r}"


def faults_in_keys(keys: list[dict[str, Any]], width: int) -> Iterator[str]:
    """What is wrong with a page once other keys are chosen."""
    for number, key in enumerate(keys):
        if key["twice"] or not key["named"] or key["shown"] != 1 or key["right"] > width:
            yield f"key {number}: {key}"
    tops = [key["top"] for key in keys]
    if keys and max(tops) - min(tops) > 1:
        yield f"the choice of keys jumps from key to key: {tops}"


def faults_of_the_phone(seen: dict[str, Any]) -> Iterator[str]:
    """What is wrong with an exercise as it opens on a phone."""
    if seen["steps"] > SECOND_SCREEN:
        yield f"how to run it begins {seen['steps']:.0f} pixels down"


def small_print(pdf: PdfReader) -> Iterator[str]:
    """Texts that are too small, but for numbers of bars."""
    for page in pdf.pages:
        found: list[str] = []

        def look(text: str, cm: list[float], tm: list[float], _font: object, size: float) -> None:
            scale = abs((cm[0] * cm[3] - cm[1] * cm[2]) * (tm[0] * tm[3] - tm[1] * tm[2])) ** 0.5
            words = text.strip()
            if words and not words.isdigit() and size * scale < SMALLEST_PRINT - 0.1:
                found.append(f"{words!r} in {size * scale:.1f} points")  # noqa: B023

        page.extract_text(visitor_text=look)
        yield from found


def faults_of_print(page: Page, paper: str, seen: dict[str, Any]) -> Iterator[str]:
    """What is wrong with an exercise on paper; `seen` is how it looks on a desktop."""
    page.emulate_media(media="print", color_scheme="dark")
    pdf = PdfReader(io.BytesIO(page.pdf(format=paper)))
    yield from small_print(pdf)
    text = "\n".join(sheet.extract_text() for sheet in pdf.pages)
    yield from (f"{part} is not printed" for part in ("How to run it",) if part not in text)
    yield from (f"{part} is printed" for part in ("Goes with", "Variations") if part in text)
    height = max((score["frame"]["height"] for score in seen["scores"]), default=0)
    if len(pdf.pages) > (1 if height <= ONE_SHEET else 2):
        yield f"prints on {len(pdf.pages)} sheets ({height:.0f} px)"
    body, ink = (
        page.eval_on_selector(selector, f"e => getComputedStyle(e).{part}")
        for selector, part in (("body", "backgroundColor"), ("h1", "color"))
    )
    if (body, ink) != ("rgb(255, 255, 255)", "rgb(0, 0, 0)"):
        yield f"prints in {ink} on {body}"
    page.emulate_media(media="screen", color_scheme="light")


def listening(page: Page) -> list[str]:
    """What fails to load or to run, from now on."""
    wrong: list[str] = []
    page.on("pageerror", lambda error: wrong.append(str(error)))
    page.on("console", lambda m: wrong.append(m.text) if m.type == "error" else None)
    page.on("response", lambda r: wrong.append(r.url) if r.status >= 400 else None)
    return wrong


@cache
def ids_in(file: Path) -> frozenset[str]:
    return frozenset(map(unescape, re.findall(r'\sid="([^"]*)"', file.read_text("utf-8"))))


def lost(links: set[str], site: Path, site_url: str) -> list[str]:
    """Links into the site that lead nowhere: to no file, or to no id of a page."""
    found = []
    for link in sorted(links):
        parts = urlsplit(link)
        if parts.netloc != urlsplit(site_url).netloc:
            continue
        target = site / unquote(parts.path).lstrip("/")
        target = target / "index.html" if parts.path.endswith("/") else target
        fragment = "" if "=" in parts.fragment else unquote(parts.fragment)  # else for a script
        if not target.is_file() or (fragment and fragment not in ids_in(target)):
            found.append(link)
    return found


@pytest.mark.long
def test_every_exercise_is_sound(
    desktop: Page, site_url: str, demo_site: Path, set_width: Callable[[Page, int], None]
) -> None:
    """Nothing fails, is clipped, is wider than the page or leads nowhere, in no key do ids repeat
    or do the controls jump; the steps begin on a phone's second screen; every other one, since
    printing takes as long as all the rest, prints legibly, black on white, on A4 (every eighth on
    Letter), on one sheet unless its score is tall."""
    wrong = listening(desktop)
    with_keys, modes, links = 0, set(), set()
    for number, file in enumerate(sorted((demo_site / "exercises").glob("*/index.html"))):
        slug = file.parent.name
        notated = "hb-figure" in file.read_text("utf-8")
        for width in (PHONE, DESKTOP):  # the second time in the last key
            if width == PHONE:
                desktop.set_viewport_size({"width": width, "height": 844})
                desktop.goto(f"{site_url}exercises/{slug}/")
            else:
                set_width(desktop, width)
            seen = json.loads(desktop.evaluate(LOOK))
            found = [*faults(seen, notated, width)]
            if width == PHONE:
                found += faults_of_the_phone(seen)
            elif number % 2 == 0:
                paper = "Letter" if number % 8 == 0 else "A4"
                found += faults_of_print(desktop, paper, seen)
            keys = desktop.evaluate(TURN)
            found += faults_in_keys(keys, width)
            wrong += [f"{slug}, {width} pixels wide: {fault}" for fault in found]
            modes.update(mode[1] for mode in [_MODE.search(seen["title"])] if mode and seen["give"])
            links.update(seen["links"])
        with_keys += bool(keys)
    assert wrong == []
    assert with_keys > 30 and "minor" in modes  # else little was looked at
    assert links and lost(links, demo_site, site_url) == []


def test_every_other_page_is_sound(desktop: Page, site_url: str, demo_site: Path) -> None:
    """Nothing fails or leads nowhere."""
    wrong = listening(desktop)
    for file in sorted(demo_site.rglob("*.html")):
        name = file.relative_to(demo_site).as_posix().removesuffix("index.html")
        if name == "404.html" or re.fullmatch("exercises/.+/", name):
            continue
        desktop.goto(site_url + name)
        seen = json.loads(desktop.evaluate(LOOK))
        wrong += [f"{name}: {fault}" for fault in lost(set(seen["links"]), demo_site, site_url)]
        wrong += [f"{name}: {fault}" for fault in faults(seen, False, DESKTOP)]
    assert wrong == []
