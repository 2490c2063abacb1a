"""A singer at home, on her phone: from the home page to her own line in two taps, and the echo."""

from __future__ import annotations

import datetime
import re
from urllib.parse import parse_qs, urlsplit

from playwright.sync_api import Page, Route, expect

from altered import serve_altered

SUNDAY = datetime.datetime(2026, 11, 29, 12)
#: Marks the links as `no_signal.js` does those to pages that are not kept.
NOT_KEPT = """() => { document.documentElement.classList.add('hb-without-signal');
    for (const link of document.querySelectorAll('.hb-at-home a'))
        link.dataset.notKept = 'not kept here'; }"""
#: How many lines the longest title takes.
LINES = """all => Math.max(...all.map(one => Math.round(
    one.getBoundingClientRect().height / parseFloat(getComputedStyle(one).lineHeight))))"""


def faster(route: Route) -> None:
    """Serves an exercise at many times its tempo, so that the test need not wait."""
    notes = route.fetch().json()
    route.fulfill(json=notes | {"tempo": notes["tempo"] * 20})


def asked(link: str | None) -> dict[str, list[str]]:
    return parse_qs(urlsplit(link or "").query)


def test_from_home_to_an_echo_and_back(clocked_phone: Page, site_url: str) -> None:
    failures: list[str] = []
    clocked_phone.on("pageerror", lambda error: failures.append(str(error)))
    clocked_phone.clock.set_fixed_time(SUNDAY)
    serve_altered(clocked_phone, "notes.json", faster)
    clocked_phone.goto(site_url)
    expect(clocked_phone.get_by_role("heading", name="For Thursday")).to_be_in_viewport()
    echo = clocked_phone.get_by_role("link", name="Echo it")
    clocked_phone.get_by_label("My part").select_option("alto")
    assert asked(echo.get_attribute("href")) == {"sounds": ["echo"], "part": ["alto"]}
    echo.click()
    expect(clocked_phone.get_by_text("At home for Thursday (in 4 days)")).to_have_count(1)
    row = clocked_phone.locator(".hb-player-row")
    for name, value in (("part", "alto"), ("mix", "echo"), ("play-mode", "loop")):
        expect(row.locator(f"[name={name}]")).to_have_value(value)
    expect(row.locator(".hb-play")).to_be_in_viewport()
    row.locator(".hb-play").click()
    expect(clocked_phone.locator(".hb-narrow .hb-sounding").first).to_be_visible()
    expect(clocked_phone.locator(".hb-narrow .hb-due").first).to_be_visible()  # her turn
    clocked_phone.locator(".hb-bar-next").click()
    expect(clocked_phone.locator(".hb-figure")).to_have_attribute("data-key", "Eb4")

    clocked_phone.goto(site_url)
    expect(clocked_phone.get_by_label("My part")).to_have_value("alto")
    assert asked(echo.get_attribute("href"))["key"] == ["Eb4"]
    heard = clocked_phone.get_by_role("link", name="My part alone").last
    assert asked(heard.get_attribute("href")) == {"sounds": ["only"], "part": ["alto"]}
    clocked_phone.goto(site_url + "warmups/")
    expect(clocked_phone.get_by_role("heading", level=2)).to_have_text(
        ["What we sang lately", "Coming", "Past"]
    )
    clocked_phone.goto(site_url)  # a narrow phone, large print and no signal: titles keep the row
    clocked_phone.set_viewport_size({"width": 320, "height": 844})
    clocked_phone.get_by_role("button", name="Large print").click()
    clocked_phone.evaluate(NOT_KEPT)
    assert clocked_phone.locator(".hb-at-home .hb-practised").evaluate_all(LINES) <= 4
    assert failures == []


def test_where_nothing_is_stored_the_part_goes_along(clocked_phone: Page, site_url: str) -> None:
    clocked_phone.add_init_script("""
        const blocked = () => { throw new DOMException('blocked', 'SecurityError'); };
        for (const name of ['getItem', 'setItem', 'removeItem']) Storage.prototype[name] = blocked;
        window.BroadcastChannel = class { constructor() { blocked(); } }; // as in Firefox
    """)
    clocked_phone.clock.set_fixed_time(SUNDAY)
    clocked_phone.goto(site_url)
    clocked_phone.get_by_role("link", name="The others only").click()
    expect(clocked_phone.get_by_text("Which part do you sing?")).to_be_visible()
    clocked_phone.get_by_label("My part").select_option("bass")
    expect(clocked_phone.get_by_role("heading", level=1)).to_be_in_viewport()
    expect(clocked_phone.locator(".hb-player-row [name=part]")).to_have_value("bass")
    expect(clocked_phone.locator(".hb-player-row [name=mix]")).to_have_value("others")
    clocked_phone.clock.set_fixed_time(datetime.datetime(2026, 12, 4))
    clocked_phone.goto(site_url)
    expect(clocked_phone.get_by_role("heading", name="What we did")).to_be_visible()
    expect(clocked_phone.get_by_role("heading", name=re.compile("^For "))).to_be_hidden()
