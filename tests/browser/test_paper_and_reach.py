"""What someone with ten minutes' notice needs: the steps within two screens of a phone, and an
exercise on one sheet of paper in legible type. Every fault is listed, not the first."""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page
from pypdf import PdfReader

#: Two screens of a phone of 390 by 844.
SECOND_SCREEN = 2 * 844
#: Two systems of four staves are at most so high on a phone, in CSS pixels.
TWO_SYSTEMS = 780
#: Points, and for the words of a score, whose staves are then six millimetres high.
SMALLEST_TYPE, SMALLEST_LYRICS = 10.5, 9
#: Three systems of one staff, or one of four, are at most so high on a desktop, in CSS pixels.
ONE_SHEET = 400


def slugs(site: Path) -> list[str]:
    return sorted(page.parent.name for page in (site / "exercises").glob("*/index.html"))


@pytest.mark.long
def test_the_steps_begin_on_the_second_screen(phone: Page, site_url: str, demo_site: Path) -> None:
    found = {}
    for slug in slugs(demo_site):
        phone.goto(f"{site_url}exercises/{slug}/")
        found[slug] = phone.evaluate(
            """() => [
                document.querySelector('#how-to-run-it').getBoundingClientRect().top + scrollY,
                [...document.querySelectorAll('.hb-figure svg[role=img]')]
                    .find(svg => svg.checkVisibility())?.getBoundingClientRect().height ?? 0]"""
        )
    short = {slug: top for slug, (top, height) in found.items() if height <= TWO_SYSTEMS}
    assert len(short) > 40  # else little was looked at
    assert {slug: top for slug, top in short.items() if top > SECOND_SCREEN} == {}


def small_type(pdf: PdfReader, score: str) -> Iterator[str]:
    """Texts that are too small, but for numbers of bars; `score` is all that the score says."""
    for page in pdf.pages:
        found: list[str] = []

        def look(text: str, cm: list[float], tm: list[float], _font: object, size: float) -> None:
            scale = abs((cm[0] * cm[3] - cm[1] * cm[2]) * (tm[0] * tm[3] - tm[1] * tm[2])) ** 0.5
            words = text.strip()
            least = SMALLEST_LYRICS if words in score else SMALLEST_TYPE
            if words and not words.isdigit() and size * scale < least - 0.1:
                found.append(f"{words!r} in {size * scale:.1f} points")  # noqa: B023

        page.extract_text(visitor_text=look)
        yield from found


@pytest.mark.long
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_an_exercise_prints_on_one_sheet(
    desktop: Page, site_url: str, demo_site: Path, paper: str
) -> None:
    """Where its score is no higher than three systems of a tune; on Letter, some of them."""
    wrong, looked = [], 0
    for slug in slugs(demo_site)[:: 1 if paper == "A4" else 8]:
        desktop.emulate_media(media="screen")
        desktop.goto(f"{site_url}exercises/{slug}/")
        height = desktop.evaluate(
            "document.querySelector('.hb-wide svg[role=img]')?.getBoundingClientRect().height ?? 0"
        )
        score = " ".join(desktop.locator(".hb-wide svg text").all_text_contents())
        desktop.emulate_media(media="print")
        pdf = PdfReader(io.BytesIO(desktop.pdf(format=paper)))
        wrong += [f"{slug}: {fault}" for fault in small_type(pdf, score)]
        text = "\n".join(page.extract_text() for page in pdf.pages)
        wrong += [f"{slug} lacks {part}" for part in ("How to run it",) if part not in text]
        wrong += [f"{slug} prints {part}" for part in ("Goes with", "Variations") if part in text]
        if height <= ONE_SHEET:
            looked += 1
            if len(pdf.pages) > 1:
                wrong.append(f"{slug} prints on {len(pdf.pages)} sheets ({height:.0f} px)")
    assert looked > (35 if paper == "A4" else 4)
    assert wrong == []
