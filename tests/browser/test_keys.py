"""The key chooser: the score in every key, at once, without a jump, by pointer and by keyboard."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from music21 import interval, pitch
from playwright.sync_api import Browser, Page, expect

EXERCISE = "exercises/up-the-mast/"
GIVE = re.compile(r"Soprano and Alto ([A-G][♯♭]?\d)")


def test_a_button_puts_the_score_into_its_key(phone: Page, site_url: str) -> None:
    phone.goto(site_url + EXERCISE)
    buttons = phone.locator(".hb-chooser button")
    assert buttons.all_inner_texts() == ["C", "D♭", "D", "E♭", "E", "F"]
    before = phone.locator(".hb-figure svg[role=img]:visible").inner_html()
    buttons.nth(3).click()
    assert phone.locator(".hb-figure svg[role=img]:visible").inner_html() != before
    expect(phone.locator(".hb-figure svg[role=img]:visible > title")).to_contain_text(
        "E flat major"
    )
    assert buttons.nth(3).get_attribute("aria-pressed") == "true"
    assert buttons.nth(0).get_attribute("aria-pressed") == "false"
    assert phone.locator("th.hb-current").inner_text() == "E♭"


def test_first_notes_follow_the_key_as_music21_moves_them(phone: Page, site_url: str) -> None:
    phone.goto(site_url + EXERCISE)
    given_notes = []
    for button in phone.locator(".hb-chooser button").all():
        button.click()
        found = GIVE.search(phone.locator(".hb-give").inner_text())
        assert found
        given_notes.append(found[1].replace("♭", "-").replace("♯", "#"))
    moved = [
        interval.Interval(name).transposePitch(pitch.Pitch(given_notes[0])).nameWithOctave
        for name in ("P1", "m2", "M2", "m3", "M3", "P4")
    ]
    assert given_notes == moved


def test_the_keyboard_follows_the_key(phone: Page, site_url: str) -> None:
    phone.goto(site_url + EXERCISE)
    home = phone.locator(".hb-keyboard .hb-home")
    phone.locator(".hb-chooser button").nth(0).click()
    in_c, box = home.bounding_box(), phone.locator(".hb-keyboard").bounding_box()
    phone.locator(".hb-chooser button").nth(2).click()
    in_d = home.bounding_box()
    assert in_c and in_d and box and box["x"] + box["width"] <= 390
    moved = in_d["x"] - in_c["x"]
    assert moved > 10  # one white key
    phone.locator(".hb-chooser button").nth(1).click()
    between = home.bounding_box()
    assert between and between["x"] - in_c["x"] == pytest.approx(moved / 2, abs=0.5)


def test_where_a_voice_steps_out_stands_in_the_chart(
    phone: Page, site_url: str, demo_site: Path
) -> None:
    leaving = [
        page.parent.name
        for page in sorted((demo_site / "exercises").glob("*/index.html"))
        if "hb-leaves" in page.read_text(encoding="utf-8")
    ]
    assert leaving
    for slug in leaving:
        phone.goto(f"{site_url}exercises/{slug}/")
        for row in phone.locator("tr:has(.hb-leaves)").all():
            cells = row.locator("td > .hb-unseen").all_inner_texts()
            first = next(place for place, word in enumerate(cells) if word.startswith("too "))
            last = phone.locator(".hb-ladder-chart th[data-column]").nth(first - 1)
            expect(row.locator(".hb-leaves")).to_contain_text(last.inner_text())
        assert phone.evaluate("document.documentElement.scrollWidth") == 390


def test_a_chosen_key_is_told_to_screen_readers(phone: Page, site_url: str) -> None:
    phone.goto(site_url + EXERCISE)
    message = phone.locator(".hb-chooser [role=status]")
    expect(message).to_have_text("")
    phone.locator(".hb-chooser button").nth(3).click()
    expect(message).to_contain_text("In E♭: give E♭4.")


def test_the_button_with_the_keyboard_has_a_ring(phone: Page, site_url: str) -> None:
    phone.goto(site_url + EXERCISE)
    phone.locator(".hb-chooser button").first.focus()
    phone.keyboard.press("ArrowRight")
    ring = phone.evaluate(
        """() => { const look = getComputedStyle(document.activeElement);
            return [look.outlineStyle, look.outlineWidth, look.outlineOffset]; }"""
    )
    assert ring == ["solid", "2px", "2px"]
    column = phone.locator("th.hb-current")
    assert column.evaluate("e => getComputedStyle(e).fontWeight") == "700"
    assert column.evaluate("e => getComputedStyle(e).borderBottomWidth") == "2px"


def test_the_address_keeps_the_key(phone: Page, site_url: str) -> None:
    phone.goto(site_url + EXERCISE)
    phone.locator(".hb-chooser button").nth(2).click()
    assert phone.url == f"{site_url}{EXERCISE}?key=D4"
    phone.reload()
    assert phone.locator(".hb-chooser [aria-pressed=true]").inner_text() == "D"
    phone.locator(".hb-chooser button").nth(0).click()
    assert phone.url == site_url + EXERCISE
    phone.goto(f"{site_url}{EXERCISE}?key=nonsense")
    assert phone.locator(".hb-chooser [aria-pressed=true]").inner_text() == "C"


def test_arrow_keys_go_through_the_keys(desktop: Page, site_url: str) -> None:
    desktop.goto(site_url + EXERCISE)
    desktop.locator(".hb-chooser button").nth(0).focus()
    for _ in range(2):
        desktop.keyboard.press("ArrowRight")
    expect(desktop.locator(".hb-chooser button:focus")).to_have_text("D")
    assert desktop.locator(".hb-figure").get_attribute("data-key") == "D4"
    desktop.keyboard.press("ArrowLeft")
    assert desktop.locator(".hb-figure").get_attribute("data-key") == "Db4"
    desktop.keyboard.press("End")
    assert desktop.locator(".hb-figure").get_attribute("data-key") == "F4"
    desktop.keyboard.press("Home")
    assert desktop.locator(".hb-figure").get_attribute("data-key") == "C4"
    for _ in range(9):
        desktop.keyboard.press("ArrowLeft")
    assert desktop.locator(".hb-figure").get_attribute("data-key") == "C4"


def test_a_line_that_wraps_in_some_keys_only_moves_nothing(desktop: Page, site_url: str) -> None:
    """Over many widths, at some of which the flat signs just make the line too long."""
    page = desktop
    page.goto(site_url + "exercises/ropes-fast/")
    wrapped = 0
    for width in range(320, 361, 5):
        page.set_viewport_size({"width": width, "height": 844})
        page.wait_for_timeout(50)  # a resize is told with the next frame
        found = page.evaluate(
            """() => [...document.querySelectorAll('.hb-chooser button')].map(button => {
                button.click();
                const give = document.querySelector('.hb-give');
                const text = document.createRange();
                text.selectNodeContents(give);
                return [document.querySelector('.hb-keyboard').getBoundingClientRect().top
                    + scrollY, text.getBoundingClientRect().height];
            })"""
        )
        tops, heights = zip(*found, strict=True)
        assert max(tops) - min(tops) <= 1, width
        wrapped += max(heights) - min(heights) > 5
    assert wrapped  # else nothing was tested


def test_buttons_are_large_enough_for_a_finger(phone: Page, site_url: str) -> None:
    """WCAG 2.2, success criterion 2.5.5 (AAA): 44 by 44."""
    phone.goto(site_url + EXERCISE)
    for button in phone.locator(".hb-chooser button").all():
        box = button.bounding_box()
        assert box and box["width"] >= 44 and box["height"] >= 44


def test_without_scripts_there_is_the_first_key_and_no_dead_button(
    chromium: Browser, site_url: str
) -> None:
    context = chromium.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(site_url + EXERCISE)
    expect(page.locator(".hb-figure svg[role=img] > title").first).to_contain_text("C major")
    expect(page.locator(".hb-chooser")).to_be_hidden()
    context.close()
