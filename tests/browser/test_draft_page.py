"""What the page of a draft does under the thumb: it keeps still, and leads to what it speaks of."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from playwright.sync_api import Page, expect

from checked import Checked
from chorus_handbook.pages.voice_load import load_table
from chorus_handbook.warmups.load import VoiceLoad

Evaluate = Callable[[str, str, object], Any]

#: From here on, this browser stores nothing.
FULL = "() => { Storage.prototype.setItem = () => { throw new Error('full') } }"


def test_it_keeps_still_and_says_what_is_the_matter(phone: Page, site_url: str) -> None:
    """One visit: exercises are added, the bar leads to the first notice, swaps stand right
    below one row of wishes, and then the storage is full."""
    phone.goto(site_url + "draft/")
    found = phone.locator(".hb-draft-found button")
    total = phone.locator(".hb-draft-total")
    expect(found.first).to_be_visible()
    expect(total).to_be_disabled()
    found.nth(9).scroll_into_view_if_needed()
    for _ in range(4):
        before = found.nth(9).bounding_box()
        found.nth(9).click()
        after = found.nth(9).bounding_box()
        assert before and after and abs(before["y"] - after["y"]) <= 1
    expect(total).to_contain_text("to look at")
    total.click()
    expect(phone.locator(".hb-draft-item li:focus")).to_be_in_viewport()
    phone.locator(".hb-draft-open").first.click()
    phone.get_by_role("button", name="Swap").click()
    wishes, swaps = phone.locator(".hb-swap-wishes"), phone.locator(".hb-swaps li")
    row, first = wishes.bounding_box(), swaps.first.bounding_box()
    assert row and first and row["height"] < 60 and first["y"] - row["y"] < 80
    phone.evaluate(FULL)
    found.first.click()
    expect(total).to_contain_text("Not stored in this browser")
    total.click()
    expect(phone.get_by_role("heading", name="Take it with you")).to_be_in_viewport()


def test_who_waits_longest_is_said_alike(evaluate: Evaluate, demo: Checked) -> None:
    chorus = demo.config.chorus
    assert chorus
    cases = ([0, 100, 239, 20], [240, 100, 354, 354], [250, 0, 0, 0])
    voices = list(chorus.voices.items())
    told = []
    for waits in cases:
        loads = {
            name: VoiceLoad(singing=1, near=0, waiting=wait)
            for (name, _), wait in zip(voices, waits, strict=True)
        }
        said = re.search(r'class="hb-waits"[^>]*>([^<]*)<', load_table(loads, chorus))
        assert said
        told.append(said[1])
    found = evaluate(
        "finding_sentences.js",
        "({longestWait}, all) => all.map(longestWait)",
        [[(v.label, wait) for (_, v), wait in zip(voices, one, strict=True)] for one in cases],
    )
    assert found == told
    assert found[0] == "" and found[1].endswith("Tenor and Bass, for 2 min 57 s.")
