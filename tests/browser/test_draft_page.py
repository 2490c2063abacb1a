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
    phone.set_viewport_size({"width": 390, "height": 1000})  # at the top, nothing is scrolled yet
    for _ in range(4):
        before = found.first.bounding_box()
        found.first.click()
        after = found.first.bounding_box()
        assert before and after and abs(before["y"] - after["y"]) <= 5
    phone.set_viewport_size({"width": 390, "height": 844})
    found.nth(9).click()
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


def test_a_link_says_what_it_has_wrong(evaluate: Evaluate) -> None:
    links = {
        "1~t=x&d=2026-12-10&s=9:05&m=12.5&v=bass&c=bass:D3&n=1~e=slipway&k=D4&m=2": [],
        "1~t=x&d=2026-02-30&s=25:00&m=9999&k=gala&c=bass:Z9&n=1~e=slipway&m=abc": [
            ("date", "2026-02-30", 0),
            ("starts", "25:00", 0),
            ("minutes", "9999", 0),
            ("kind", "gala", 0),
            ("first_chord", "bass: Z9", 0),
            ("minutes", "abc", 1),
        ],
    }
    found = evaluate("draft_link.js", "({replacedIn}, all) => all.map(replacedIn)", [*links])
    got = [[(one["name"], one["value"], one["item"]) for one in each] for each in found]
    assert got == [*links.values()]


def test_what_came_by_link_stays(phone: Page, site_url: str) -> None:
    """It is named as such, "Undo" does not take it away, and the same link brings no second one."""
    link = f"{site_url}draft/#1~t=Wharf&d=2026-02-30&m=9999&n=1~e=slipway&k=Z9"
    phone.goto(link)
    told, names = phone.locator(".hb-draft-told"), phone.locator("[name=draft] option")
    expect(told).to_contain_text("came by link")
    for wrong in ("Date, “2026-02-30”", "Minutes, “9999”", "Keys of item 1, “Z9”"):
        expect(told).to_contain_text(wrong)
    expect(names).to_have_text([re.compile("· Wharf · from a link$")])
    expect(phone.get_by_role("button", name="Undo")).to_be_disabled()
    phone.goto(link.replace("n=1", "l=Ann&n=1"))
    expect(names).to_have_text([re.compile("link$"), re.compile(r"from a link \(2\)$")])
    phone.goto(link)
    expect(names).to_have_count(2)
    expect(phone.locator("[name=draft]")).not_to_have_value("")
    phone.evaluate("() => { delete Navigator.prototype.clipboard }")  # as over plain HTTP
    phone.get_by_role("button", name="Share by link").click()
    expect(phone.get_by_role("button", name="Copied")).to_be_visible()
