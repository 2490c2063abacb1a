"""Walks of somebody who is new, on a phone: from the first page to what they came for in three taps
at most, beside what they type. They go by what they read, in view without scrolling; and once the
whole handbook is kept, all of it works without a signal too."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import closing

import pytest
from playwright.sync_api import Browser, BrowserContext, Locator, Page, expect

FIELD = "Search: a name, a goal, what you remember"
MOST_TAPS = 3
HEIGHT = 844


class Walk:
    """A walk that begins on the first page, and counts its taps."""

    def __init__(self, page: Page, site_url: str) -> None:
        self.page = page
        self.taps = 0
        page.goto(site_url)

    def tap(self, target: Locator) -> None:
        expect(target).to_be_visible()
        box = target.bounding_box()
        assert box and 0 <= box["y"] < box["y"] + box["height"] <= HEIGHT, "it is not in view"
        target.tap()
        self.taps += 1
        assert self.taps <= MOST_TAPS

    def open(self, link: Locator) -> None:
        """Tap a link to an exercise, and see its page."""
        title = link.inner_text()
        self.tap(link)
        expect(self.page.locator("h1")).to_have_text(title)

    def search(self, text: str) -> Locator:
        """What is found by a text, which is typed by thumb, letter by letter."""
        self.tap(self.page.get_by_role("link", name=FIELD))
        self.page.get_by_role("searchbox").press_sequentially(text)
        expect(self.page.locator(".hb-search-said")).to_contain_text("found")
        return self.page.get_by_role("list", name="Found").get_by_role("link")


def a_quiet_opener_for_breath(walk: Walk) -> None:
    found = walk.search("quiet opener breath")
    walk.tap(found.filter(has_text="Breath flow · early"))
    line = walk.page.locator(".hb-list-found tbody tr").first
    expect(line).to_contain_text("Breath flow")
    expect(line).to_contain_text("Impact: 1 no voice")
    walk.open(line.locator(".hb-list-title"))


def the_alto_line_of_something_that_rings(walk: Walk) -> None:
    found = walk.search("rings")
    walk.tap(found.filter(has_text="The ringing glass"))
    only = walk.page.get_by_role("group", name="Hear only")
    walk.tap(only.get_by_role("button", name="Alto"))
    expect(walk.page.locator(".hb-player-status")).to_contain_text("Playing in")
    expect(only.get_by_role("button", pressed=True)).to_have_text("Alto")


def four_parts_for_tuning_in_three_minutes(walk: Walk) -> None:
    found = walk.search("tuning 4 parts 3 minutes")
    walk.tap(found.filter(has_text="Tuning · 4 parts · up to 3 minutes"))
    expect(walk.page.locator(".hb-asked li").first).to_have_text("Tuning ×")
    line = walk.page.locator(".hb-list-found tbody tr").first
    expect(line).to_contain_text("Tuning")
    expect(line).to_contain_text("four parts")
    walk.open(line.locator(".hb-list-title"))


def what_the_stock_lacks(walk: Walk) -> None:
    walk.tap(walk.page.get_by_role("link", name="What the stock lacks"))
    expect(walk.page.get_by_role("heading", name="Nothing for")).to_be_in_viewport()
    lacks = walk.page.locator(".hb-lacks li").first
    walk.tap(lacks.get_by_role("link").first)
    expect(walk.page.locator(".hb-find-count")).to_contain_text("of 82 exercises")


WALKS = (
    a_quiet_opener_for_breath,
    the_alto_line_of_something_that_rings,
    four_parts_for_tuning_in_three_minutes,
    what_the_stock_lacks,
)


@pytest.fixture(scope="module")
def walker(chromium: Browser) -> Iterator[BrowserContext]:
    """A phone that is touched, and that may keep pages."""
    size = {"width": 390, "height": HEIGHT}
    with closing(chromium.new_context(viewport=size, has_touch=True, is_mobile=True)) as context:
        yield context


@pytest.mark.parametrize("go", WALKS)
def test_in_three_taps(walker: BrowserContext, site_url: str, go: Callable[[Walk], None]) -> None:
    with closing(walker.new_page()) as page:
        go(Walk(page, site_url))


def test_the_same_in_flight_mode(walker: BrowserContext, site_url: str) -> None:
    with closing(walker.new_page()) as page:
        walk = Walk(page, site_url)
        walk.tap(walk.search("offline").filter(has_text="Kept on this device"))
        everything = page.locator(".hb-kept-everything")
        walk.tap(everything.get_by_role("button", name="Keep the whole handbook"))
        expect(everything.get_by_role("status")).to_contain_text(
            "opens without a signal", timeout=60_000
        )
        walker.set_offline(True)
        for go in WALKS:
            go(Walk(page, site_url))
        walker.set_offline(False)
