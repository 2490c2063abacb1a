"""The choice of a key: the score in every key, at once, and nothing under a finger moves."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from music21 import interval, pitch
from playwright.sync_api import Browser, Page, expect

EXERCISE = "exercises/up-the-mast/"
KEY = "[name=key]"
GIVE = re.compile(r"Soprano and Alto ([A-G][♯♭]?\d)")


def test_a_choice_puts_the_score_into_its_key(phone: Page, site_url: str) -> None:
    phone.goto(site_url + EXERCISE)
    keys = phone.locator(KEY)
    assert keys.locator("option").all_inner_texts() == ["C", "D♭", "D", "E♭", "E", "F"]
    before = phone.locator(".hb-figure svg[role=img]:visible").inner_html()
    keys.select_option("E♭")
    assert phone.locator(".hb-figure svg[role=img]:visible").inner_html() != before
    drawing = phone.locator(".hb-figure svg[role=img]:visible")
    expect(drawing).to_have_attribute("aria-label", re.compile("E flat major"))
    assert phone.locator("th.hb-current").text_content() == "E♭"


def test_first_notes_follow_the_key_as_music21_moves_them(phone: Page, site_url: str) -> None:
    phone.goto(site_url + EXERCISE)
    given_notes, told = [], []
    for place in range(6):
        phone.locator(KEY).select_option(index=place)
        if place == 2:  # opened in another key than the page's own
            phone.locator(".hb-notes > summary").click()
            expect(phone.locator(".hb-notes-title")).to_have_text("Up the mast in D major, 4/4")
        told.append(phone.locator(".hb-notes li b").first.text_content() or "")
        found = GIVE.search(phone.locator(".hb-give").inner_text())
        assert found
        given_notes.append(found[1].replace("♭", "-").replace("♯", "#"))
    moved = [
        interval.Interval(name).transposePitch(pitch.Pitch(given_notes[0])).nameWithOctave
        for name in ("P1", "m2", "M2", "m3", "M3", "P4")
    ]
    assert given_notes == moved
    # What is folded is told late: "D4", "E flat 4" ...
    assert [name.replace(" flat ", "-") for name in told[2:]] == moved[2:]


def test_the_keyboard_follows_the_key(phone: Page, site_url: str) -> None:
    phone.goto(site_url + EXERCISE)
    home = phone.locator(".hb-keyboard .hb-home")
    phone.locator(KEY).select_option(index=0)
    in_c, box = home.bounding_box(), phone.locator(".hb-keyboard").bounding_box()
    phone.locator(KEY).select_option(index=2)
    in_d = home.bounding_box()
    assert in_c and in_d and box and box["x"] + box["width"] <= 390
    moved = in_d["x"] - in_c["x"]
    assert moved > 10  # one white key
    phone.locator(KEY).select_option(index=1)
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
        phone.locator(".hb-player-options > summary").click()
        for row in phone.locator("tr:has(.hb-leaves)").all():
            cells = row.locator("td > .hb-unseen").all_inner_texts()
            first = next(place for place, word in enumerate(cells) if word.startswith("too "))
            keys = phone.locator(".hb-ladder-chart th[data-column]")
            left = keys.nth(first - 1).inner_text() if first else "out from the start"
            expect(row.locator(".hb-leaves")).to_contain_text(left)
        assert phone.evaluate("document.documentElement.scrollWidth") == 390


def test_a_chosen_key_is_told_to_screen_readers(phone: Page, site_url: str) -> None:
    phone.goto(site_url + EXERCISE)
    message = phone.locator(".hb-chooser + [role=status]")
    expect(message).to_have_text("")
    phone.locator(KEY).select_option(index=3)
    expect(message).to_contain_text("In E♭: give E♭4.")


def test_the_choice_has_a_ring_and_its_column_is_marked(phone: Page, site_url: str) -> None:
    phone.goto(site_url + EXERCISE)
    phone.locator(KEY).focus()
    phone.keyboard.press("ArrowDown")
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
    phone.locator(KEY).select_option(index=2)
    assert phone.url == f"{site_url}{EXERCISE}?key=D4"
    phone.reload()
    assert phone.locator(f"{KEY} option:checked").inner_text() == "D"
    phone.locator(KEY).select_option(index=0)
    assert phone.url == site_url + EXERCISE
    phone.goto(f"{site_url}{EXERCISE}?key=nonsense")
    assert phone.locator(f"{KEY} option:checked").inner_text() == "C"


def test_arrow_keys_go_through_the_keys(desktop: Page, site_url: str) -> None:
    desktop.goto(site_url + EXERCISE)
    figure = desktop.locator(".hb-figure")
    desktop.locator(KEY).focus()
    for press, key in (
        ("ArrowDown", "Db4"),
        ("ArrowDown", "D4"),
        ("ArrowUp", "Db4"),
        ("End", "F4"),
        ("Home", "C4"),
        ("ArrowUp", "C4"),
    ):
        desktop.keyboard.press(press)
        expect(figure).to_have_attribute("data-key", key)


def test_no_room_is_kept_for_other_keys_and_no_control_moves(desktop: Page, site_url: str) -> None:
    """Where the score is lower in one key, what follows comes up; the controls stand above it."""
    desktop.goto(site_url + "exercises/slipway/")
    found = desktop.evaluate(
        """() => [...document.querySelectorAll('[name=key] option')].map((option, n) => {
            const choice = option.parentElement;
            choice.selectedIndex = n;
            choice.dispatchEvent(new Event('change'));
            const box = selector => document.querySelector(selector).getBoundingClientRect();
            const drawn = box('.hb-figure svg[role=img]');
            return { top: choice.getBoundingClientRect().top, height: drawn.height,
                empty: box('.hb-give').top - drawn.bottom };
        })"""
    )
    assert len({one["top"] for one in found}) == 1
    assert len({one["height"] for one in found}) > 1  # else nothing was tested
    assert max(one["empty"] for one in found) < 20


def test_without_scripts_there_is_the_first_key_and_no_dead_button(
    chromium: Browser, site_url: str
) -> None:
    context = chromium.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(site_url + EXERCISE)
    drawing = page.locator(".hb-figure svg[role=img]").first
    expect(drawing).to_have_attribute("aria-label", re.compile("C major"))
    expect(page.locator(".hb-chooser")).to_be_hidden()
    context.close()
