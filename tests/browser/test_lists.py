"""Lists in a browser: nothing moves while they load, columns stand in line, and home offers a first
step without scrolling."""

from __future__ import annotations

import re
import time
from typing import Any

import pytest
from playwright.sync_api import Page, Route

from chorus_handbook.shared_facts import FACTS

#: A page of each kind; scores with a bass clef for some, and in another key than the first.
KINDS = (
    *("", "views/", "goals/range/", "exercises/", "voice-care/", "exercises/gangway/"),
    *("exercises/five-lanterns/?key=E4", "exercises/up-the-mast/"),
)
#: A range and a part that the browser has stored.
STORED = f"""() => {{
  const range = {{version: 1, voice: "bass", lowest: null, highest: null, only_fitting: true}};
  const playback = {{version: 1, part: "bass", mix: "louder", tempo: 100, just: true}};
  localStorage.setItem("{FACTS["stored"]["own_range"]} /", JSON.stringify(range));
  localStorage.setItem("{FACTS["stored"]["playback"]} /", JSON.stringify(playback));
}}"""
#: Every layout shift from the first paint, as https://web.dev/articles/cls adds them up.
SHIFTS = """() => {
  window.shifts = [];
  new PerformanceObserver(list => {
    for (const shift of list.getEntries()) {
      window.shifts.push([shift.value, shift.sources.map(s => s.node?.className ?? "").join()]);
    }
  }).observe({type: "layout-shift", buffered: true});
}"""
#: What waits for what is stored shows after some seconds at any rate. A slow machine is given more.
PATIENCE = """() => {
  const sheet = new CSSStyleSheet();
  sheet.replaceSync(".hb-range-stored * { animation-delay: 60s !important }");
  document.adoptedStyleSheets = [sheet];
}"""


FOG_SIGNAL = "[data-slug=fog-signal] .hb-last-sung"
#: What the script of a page says at another time.
SAY = "([script, now]) => import(script).then(({saySung}) => saySung(new Date(now)))"


def late(route: Route) -> None:
    """The scripts come when the page has long been painted."""
    time.sleep(0.2)
    route.continue_()


@pytest.mark.parametrize("width", [390, 1280])
def test_nothing_moves_while_a_page_loads(site_url: str, chromium: Any, width: int) -> None:
    """Though what is stored limits lists, and another clef and key are shown than at first."""
    page = chromium.new_page(viewport={"width": width, "height": 844}, service_workers="block")
    page.add_init_script(f"({SHIFTS})(); ({STORED})(); ({PATIENCE})()")
    page.route(re.compile(r"/(bundle|own_range|keys|player_page)\.\w+(\.min)?\.js$"), late)
    for path in KINDS:
        page.goto(site_url + path, wait_until="networkidle")
        assert page.evaluate("window.shifts") == [], path
        if "exercises" in path:  # all that waited is shown
            assert (
                page.locator("h2").last.evaluate("e => getComputedStyle(e).visibility") == "visible"
            )
    assert page.locator("[data-clef=bass] .hb-bass-clef").is_visible()
    page.close()


def test_a_phone_shows_a_step_for_each_reader_without_scrolling(phone: Page, site_url: str) -> None:
    phone.goto(site_url)
    boxes = [link.bounding_box() for link in phone.locator("article li a").all()[:3]]
    assert len(boxes) == 3
    assert all(box and box["y"] + box["height"] <= 844 and box["height"] >= 24 for box in boxes)


def test_lists_and_pages_say_what_an_exercise_is_today(desktop: Page, site_url: str) -> None:
    """By the log of the demo and the date of the browser: sung on 8 and 22 October and on 12
    November 2026; eight weeks after the last time it rests."""
    says = {
        "2026-11-12": ("Known.", "Known: sung today"),
        "2026-12-31": ("Known.", "Known: sung 7 weeks ago"),
        "2027-01-01": ("Settling.", "Settling: sung 7 weeks ago"),
        "2027-01-06": ("Settling.", "Settling: sung 7 weeks ago"),
        "2027-01-07": ("Resting.", "Resting: sung 8 weeks ago"),
    }
    places = {"exercises/fog-signal/": ".hb-status", "views/harmony-builders/": FOG_SIGNAL}
    for place, (path, selector) in enumerate(places.items()):
        desktop.goto(site_url + path)
        for day, said in says.items():
            desktop.evaluate(SAY, [f"{site_url}assets/handbook/sung.js", f"{day}T20:00:00"])
            assert desktop.locator(selector).inner_text() == said[place], day


def test_the_weeks_of_families_end_today(desktop: Page, site_url: str) -> None:
    """At the mooring, the demo's opener for the body, was sung on 29 October, on 5, 12 and 21
    November. In a long break the weeks stay those that end with the log."""
    desktop.goto(site_url + "warmups/")
    script = f"{site_url}assets/handbook/season.js"
    body = desktop.locator(".hb-families > div").first
    sing = desktop.locator(".hb-families [data-days='2026-10-29 2026-11-21']").first
    for day, weeks, times in (
        ("2026-11-21", "In the last 4 weeks:", "4 times"),
        ("2026-12-02", "In the last 4 weeks:", "3 times"),
        ("2026-12-18", "In the last 4 weeks:", "1 time"),
    ):
        desktop.evaluate(SAY.replace("saySung", "showWeeks"), [script, f"{day}T20:00:00"])
        assert desktop.locator(".hb-weeks").text_content() == weeks
        assert body.locator(".hb-count").first.text_content() == times
    assert sing.locator(".hb-count").text_content() == ""  # once
    desktop.evaluate(SAY.replace("saySung", "showWeeks"), [script, "2027-08-01T20:00:00"])
    assert body.locator(".hb-count").first.text_content() == "1 time"


def test_columns_stand_in_line_on_a_desktop(desktop: Page, site_url: str) -> None:
    desktop.goto(site_url + "views/harmony-builders/")
    rows = desktop.eval_on_selector_all(
        ".hb-list tr",
        "all => all.map(row => [...row.cells].map(cell => cell.getBoundingClientRect().left))",
    )
    assert len(rows) > 5
    assert all(row == rows[0] and row == sorted(row) for row in rows)


@pytest.mark.parametrize(
    ("width", "wide"), [(320, False), (390, False), (700, False), (1280, True)]
)
def test_it_stays_a_table_for_screen_readers(
    desktop: Page, site_url: str, width: int, wide: bool
) -> None:
    """Other layouts of a table take away what it is, unless roles keep it. Each fact is named once:
    above its column or where it stands."""
    desktop.set_viewport_size({"width": width, "height": 844})
    desktop.goto(site_url + "goals/range/")
    table = desktop.get_by_role("table", name="Range")
    headings = table.get_by_role("columnheader").all_text_contents()
    assert headings[:4] == (["Exercise", "First notes", "Also for", "Impact"] if wide else [])
    row = table.get_by_role("row").filter(has=desktop.get_by_role("link", name="Gull on the wind"))
    said = row.get_by_role("rowheader").inner_text().split("\n")
    assert said[-2:] == ["Slow glide through a straw", "New: not sung yet"]
    impact = row.get_by_role("cell").nth(2).inner_text()
    assert impact == ("2 gentle" if wide else "Impact: 2 gentle")
    assert desktop.evaluate("document.documentElement.scrollWidth") <= width
    desktop.set_viewport_size({"width": 1280, "height": 900})


def test_a_list_prints_as_a_table(desktop: Page, site_url: str) -> None:
    """As wide as A4 within margins of 10 mm, 718 CSS pixels at 96 to the inch (CSS Values)."""
    desktop.set_viewport_size({"width": 718, "height": 1000})
    desktop.emulate_media(media="print")
    desktop.goto(site_url + "views/harmony-builders/")
    rows = desktop.eval_on_selector_all(
        ".hb-list tr",
        "all => all.map(row => [...row.cells].map(cell => cell.getBoundingClientRect().left))",
    )
    assert len(rows) > 5 and all(row == rows[0] and row == sorted(set(row)) for row in rows)
    assert desktop.evaluate("document.documentElement.scrollWidth") <= 718
    desktop.emulate_media(media="screen")
    desktop.set_viewport_size({"width": 1280, "height": 900})
