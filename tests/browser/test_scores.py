"""The scores as a browser draws them: nothing clipped, no syllable over another, the right font."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

#: Boxes of all visible texts of the score, with the drawing's own box, in CSS pixels.
BOXES = """() => [...document.querySelectorAll('.hb-figure svg[role=img]')]
  .filter(svg => svg.checkVisibility())
  .map(svg => ({
    frame: svg.getBoundingClientRect().toJSON(),
    texts: [...svg.querySelectorAll('text, text tspan')]
      .filter(t => ![...t.children].some(c => c.textContent) && t.textContent.trim())
      .map(t => ({...t.getBoundingClientRect().toJSON(), text: t.textContent})),
    marks: [...svg.querySelectorAll('use, path, line, rect, polygon, ellipse')]
      .map(m => m.getBoundingClientRect().toJSON()),
  }))"""


def notated(site: Path) -> list[str]:
    return sorted(
        page.parent.name
        for page in (site / "exercises").glob("*/index.html")
        if "hb-figure" in page.read_text(encoding="utf-8")
    )


def overlaps(one: dict, other: dict) -> bool:
    """Whether two texts touch. A line's box is higher than its letters, hence the allowance."""
    sideways = min(one["right"], other["right"]) - max(one["left"], other["left"])
    upright = min(one["bottom"], other["bottom"]) - max(one["top"], other["top"])
    return sideways > 0.5 and upright > 0.45 * min(one["height"], other["height"])


@pytest.mark.parametrize("width", [390, 1280])
def test_no_score_is_clipped_and_no_syllable_lies_on_another(
    chromium: Browser, site_url: str, demo_site: Path, width: int
) -> None:
    page = chromium.new_page(viewport={"width": width, "height": 844})
    for slug in notated(demo_site):
        page.goto(f"{site_url}exercises/{slug}/")
        page.evaluate("document.fonts.ready")
        (score,) = page.evaluate(BOXES)
        frame, texts = score["frame"], score["texts"]
        assert frame["right"] <= width
        for box in [*texts, *score["marks"]]:
            assert box["left"] >= frame["left"] - 1, slug
            assert box["right"] <= frame["right"] + 1, slug
            # The box of a text is higher than its ink, that of a path is not.
            spare = 0.2 * box["height"] if "text" in box else 1
            assert box["top"] >= frame["top"] - spare, slug
            assert box["bottom"] <= frame["bottom"] + spare, slug
        for index, one in enumerate(texts):
            for other in texts[index + 1 :]:
                assert not overlaps(one, other), (slug, one["text"], other["text"])
        assert texts, slug
    page.close()


def test_lyrics_are_large_enough_to_read_on_a_phone(
    phone: Page, site_url: str, demo_site: Path
) -> None:
    for slug in notated(demo_site):
        phone.goto(f"{site_url}exercises/{slug}/")
        (score,) = phone.evaluate(BOXES)
        assert min(text["height"] for text in score["texts"]) >= 11, slug


def test_lyrics_are_set_in_the_font_they_were_spaced_for(desktop: Page, site_url: str) -> None:
    desktop.goto(site_url + "exercises/roll-call/")
    loaded = """document.fonts.load('20px "Handbook Lyrics"').then(faces => faces.length)"""
    assert desktop.evaluate(loaded) == 1
    family = desktop.eval_on_selector(
        ".hb-figure svg[role=img] text", "node => getComputedStyle(node).fontFamily"
    )
    assert family.startswith('"Handbook Lyrics"')


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_score_has_the_colour_of_the_text(
    chromium: Browser, site_url: str, scheme: str
) -> None:
    context = chromium.new_context(color_scheme=scheme)
    page = context.new_page()
    page.goto(site_url + "exercises/long-tide/")
    colours = page.evaluate(
        "() => [...document.querySelectorAll('.hb-wide svg *')].flatMap(n => {"
        " const s = getComputedStyle(n); return [s.fill, s.stroke] })"
    )
    ink = page.eval_on_selector("h1", "node => getComputedStyle(node).color")
    assert set(colours) <= {ink, "none"}
    context.close()


def test_every_note_has_its_id_once_and_the_narrow_drawing_its_own(
    desktop: Page, site_url: str
) -> None:
    desktop.goto(site_url + "exercises/long-tide/")
    wide = desktop.eval_on_selector_all(".hb-wide [id]", "all => all.map(n => n.id)")
    narrow = desktop.eval_on_selector_all(".hb-narrow [id]", "all => all.map(n => n.id)")
    assert {"soprano-1", "alto-1", "tenor-1", "bass-1"} <= set(wide)
    assert {f"{i}.n" for i in wide if "score" not in i} == {i for i in narrow if "score" not in i}
    assert len(wide) == len(set(wide))
