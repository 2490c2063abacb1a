"""The music stand in one visit: by keys alone, without a signal, what was sung, the cue sheet."""

from __future__ import annotations

import re

from playwright.sync_api import Locator, Page, expect

NIGHT = "warmups/2026-11-12-fog-comes-in"


def test_an_evening_from_the_stand(desktop: Page, site_url: str) -> None:
    failures: list[str] = []
    desktop.on("pageerror", lambda error: failures.append(str(error)))
    desktop.goto(site_url + NIGHT + "/")
    pages = [desktop.pdf(prefer_css_page_size=True)]
    desktop.evaluate("window.print = () => {}")
    desktop.get_by_role("button", name="Print this strip").click()
    pages.append(desktop.pdf(prefer_css_page_size=True))
    desktop.evaluate("dispatchEvent(new Event('afterprint'))")
    assert [len(re.findall(rb"/Type ?/Page[^s]", pdf)) for pdf in pages] == [1, 1]
    assert len(pages[1]) != len(pages[0])
    desktop.get_by_role("button", name="Music stand").click()
    stand = desktop.get_by_role("dialog", name="Music stand")
    shown = stand.locator("article:visible")
    expect(stand.get_by_text("1 of 7")).to_be_visible()
    expect(stand.get_by_text("15 min left")).to_be_visible()
    desktop.wait_for_load_state("networkidle")
    desktop.context.set_offline(True)

    titles = []
    for _ in range(60):  # as a pedal does, through every step of every item
        title = shown.get_by_role("heading").inner_text()
        if title == "What was sung?":
            break
        if title not in titles and title == "Intervals tuned against a held note":
            _through_its_keys(desktop, stand, shown)
        titles += [title] if title not in titles else []
        desktop.keyboard.press("ArrowRight")
    assert len(titles) == 7 and titles[0] == "Standing tall and at ease"
    expect(stand.get_by_role("status").last).to_have_text("")  # nothing was missing to sound it

    row = shown.get_by_role("listitem").nth(3)
    expect(row.locator("[name=top]")).to_have_value("E4")
    shown.get_by_role("listitem").nth(4).get_by_role("button", name="cut short").click()
    row.get_by_role("textbox").fill("Slower")
    row.get_by_role("textbox").blur()
    tops = row.locator("[name=top] option").evaluate_all("all => all.map(one => one.value)")
    assert tops == ["", "E4", "D4", "C4"]
    lines = shown.locator("textarea")
    expect(lines).to_have_value(
        re.compile('top: E4\n    remark: "Slower"\n  - exercise: up-the-mast\n    sung: cut')
    )

    desktop.context.set_offline(False)
    _on_the_same_day(desktop, stand, shown)
    assert failures == []


def _through_its_keys(page: Page, stand: Locator, shown: Locator) -> None:
    """By taps, to the last key, with the score; on a phone that lies on its side."""
    shown.get_by_role("button", name="Next key").click()
    expect(shown.locator("strong")).to_have_text("D")
    expect(shown.get_by_text("key 2 of 3, going up")).to_be_visible()
    page.keyboard.press("h")
    stop = shown.get_by_role("button", name="Stop")
    expect(stop).to_have_attribute("aria-pressed", "true")
    stop.click()
    expect(shown.get_by_role("button", name="Hear this key")).to_be_visible()
    stand.evaluate("one => one.scrollTo(0, one.scrollHeight)")
    for kept in (stand.locator(".hb-stand-where"), shown.get_by_role("heading")):
        expect(kept).to_be_in_viewport(ratio=1)
    expect(stand.get_by_role("button", name="Close")).to_be_in_viewport(ratio=1)
    page.keyboard.press("s")
    expect(shown.locator("figure")).to_have_attribute("data-key", "D4")
    expect(shown.locator("figure svg[role=img]").first).to_be_visible()
    shown.get_by_role("button", name="Next key").click()  # which leaves the focus nowhere
    expect(shown.get_by_role("button", name="Last key")).to_be_disabled()
    expect(shown.locator("figure")).to_have_attribute("data-key", "E4")
    page.set_viewport_size({"width": 844, "height": 390})
    stand.evaluate("one => one.scrollTo(0, one.scrollHeight)")
    expect(shown.get_by_role("heading")).to_be_in_viewport(ratio=1)
    expect(shown.locator("strong").first).to_be_in_viewport(ratio=1)
    for name in ("Starting notes", "Last key", "Hear this key"):
        expect(shown.get_by_role("button", name=name)).to_be_in_viewport(ratio=1)
    for kept in (stand.locator(".hb-stand-where"), stand.locator(".hb-stand-left")):
        expect(kept).to_be_in_viewport(ratio=1)
    expect(stand.get_by_role("button", name="Close")).to_be_in_viewport(ratio=1)


def _left_out_asks_no_key(shown: Locator) -> None:
    row = shown.get_by_role("listitem").nth(3)
    row.get_by_role("button", name="left out").click()
    expect(row.get_by_role("button", name="sung")).to_have_attribute("aria-pressed", "false")
    expect(row.locator("[name=top]")).to_be_hidden()
    row.get_by_role("button", name="sung").click()
    expect(row.locator("[name=top]")).to_have_value("E4")


def _on_the_same_day(page: Page, stand: Locator, shown: Locator) -> None:
    """From the log: saved, loaded again, and finished."""
    _left_out_asks_no_key(shown)
    for name in ("Save as a file", "Finish"):
        expect(stand.get_by_role("button", name=name)).to_be_in_viewport(ratio=1)
    stand.get_by_role("button", name="Finish").click()
    notes = page.get_by_text("Notes of this evening, not saved yet.")
    expect(notes).to_be_in_viewport()
    page.get_by_role("button", name="Look at them, and save").click()
    expect(shown.get_by_role("heading")).to_have_text("What was sung?")
    stand.get_by_role("button", name="Save as a file").click()
    expect(stand.get_by_text("handbook sung 2026-11-12-fog-comes-in.sung.yml")).to_be_visible()
    page.reload()
    expect(page.get_by_role("button", name="Music stand")).to_be_visible()
    expect(notes).to_be_hidden()  # they are saved
    page.get_by_role("button", name="Music stand").click()
    expect(shown.get_by_role("heading")).to_have_text("What was sung?")
    expect(stand.locator("[name=remark]").nth(3)).to_have_value("Slower")
    sizes = shown.evaluate(
        "one => [...one.querySelectorAll('h2, p, li')]"
        ".map(part => parseFloat(getComputedStyle(part).fontSize))"
    )
    assert min(sizes) >= 14 * 4 / 3 - 0.1  # 14 points, in pixels of CSS
    stand.get_by_role("button", name="Finish").click()
    page.get_by_role("button", name="Music stand").click()
    expect(stand.get_by_text("1 of 7")).to_be_visible()
    expect(stand.get_by_role("button", name="Back")).to_be_disabled()


def test_its_buttons_have_their_room_before_a_script_shows_them(phone: Page, site_url: str) -> None:
    row = phone.locator(".hb-head .hb-stand-open")
    phone.route("**/stand.*.js", lambda route: route.abort())
    phone.goto(f"{site_url}{NIGHT}/")
    expect(row).to_be_hidden()
    room = row.bounding_box()
    phone.unroute("**/stand.*.js")
    phone.reload()
    expect(row).to_be_visible()
    shown = row.bounding_box()
    assert room and shown and room["height"] == shown["height"] > 44
