"""What a draft takes along is what the page of the same warm-up has, word for word: the cue sheet
with its staves, the strip, and the music stand."""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from chorus_handbook.pages.cue_sheet import _lines

Evaluate = Callable[[str, str, object], Any]
#: Past warm-ups, so that page and draft have the same log: one to which the basses come late; one
#: with a second block and an exercise that comes twice; one with more.
WARM_UPS = (
    "2026-10-01-quick-and-light",
    "2026-11-21-concert-in-the-chapel",
    "2026-11-12-fog-comes-in",
)
PARTS = {
    "strip": (".hb-strip-title", ".hb-strip tbody tr"),
    "sheet": (".hb-sheet-head", ".hb-sheet tbody tr", ".hb-sheet-foot", ".hb-sheet-stave svg path"),
    "stand": (".hb-stand article:not(.hb-stand-log)", ".hb-stand-log li"),
}


def seen(page: Page, selector: str) -> list[str]:
    """The text of all that a selector finds, or where a drawing's lines are."""
    found = page.locator(selector).evaluate_all(
        "all => all.map(one => one.getAttribute('d') ?? one.textContent)"
    )
    return [" ".join(text.split()) for text in found]


@pytest.mark.parametrize("slug", WARM_UPS)
def test_a_draft_takes_along_what_its_page_has(phone: Page, site_url: str, slug: str) -> None:
    phone.add_init_script("window.print = () => {}")
    phone.goto(f"{site_url}warmups/{slug}/")
    expected = {selector: seen(phone, selector) for some in PARTS.values() for selector in some}
    assert expected[".hb-sheet tbody tr"]
    assert expected[".hb-sheet-stave svg path"] or slug == WARM_UPS[2]
    phone.get_by_role("link", name="Change this one").click()
    for part, selectors in PARTS.items():
        phone.locator(f"[data-take={part}]").click()
        expect(phone.locator(selectors[1]).first).to_be_attached()
        for selector in selectors:
            assert seen(phone, selector) == expected[selector]
        phone.evaluate("dispatchEvent(new Event('afterprint'))")


def test_both_sides_count_the_same_lines(evaluate: Evaluate) -> None:
    dice = random.Random(3)
    cases = [
        [
            [
                " ".join(
                    "".join(dice.choices("a-—é♭·", k=dice.choice([1, 3, 8, 35, 70])))
                    for _ in range(dice.randint(0, 9))
                )
                for _ in range(dice.randint(0, 3))
            ],
            dice.choice([7, 23, 30, 54]),
        ]
        for _ in range(600)
    ]
    script = "({lines}, all) => all.map(([texts, most]) => lines(texts, most))"
    assert evaluate("draft_sheet.js", script, cases) == [_lines(*case) for case in cases]
