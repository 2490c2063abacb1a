"""Without a signal: what was opened and what was kept, in a folder of another site and behind a
password, from one build of the site to the next, and when a download or the room ends."""

from __future__ import annotations

import base64
import functools
import http.server
import json
import os
import shutil
import threading
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from chorus_handbook.records.manifest import write_manifest

Play = Callable[[Page], None]
#: What is kept: addresses below the site, once the page that is open is among it.
KEPT = """async page => {
  for (const name of await caches.keys()) {
    const cache = await caches.open(name);
    const here = !page || await cache.match(page);
    if (here) return (await cache.keys()).map(({ url }) => url);
  }
  return null;
}"""


def until(page: Page, asks: str, *arguments: object) -> Any:
    """What a function in the browser finds, as soon as it finds anything."""
    for _ in range(600):
        if found := page.evaluate(asks, *arguments):
            return found
        page.wait_for_timeout(100)
    raise AssertionError(asks)


def kept(page: Page) -> list[str]:
    """The addresses of all files kept, as soon as the page that is open is."""
    return list(until(page, KEPT, page.url.partition("?")[0]))


def marked_title(page: Page, site_url: str, slug: str, other: str) -> str:
    """The title of the exercise `other`, which is not kept, once "Find an exercise" and the search
    were seen to mark it, but not `slug`, which is."""
    page.goto(f"{site_url}find/")
    expect(page.locator(".hb-list-title").first).to_be_visible()
    expect(page.locator(".hb-find-count")).to_contain_text("of them kept here")
    page.evaluate("dispatchEvent(new Event('beforeprint'))")  # shows all lines
    marked = page.locator(f".hb-list-title[href$='/{other}/']")
    expect(marked).to_have_attribute("data-not-kept", "not kept here")
    behind = "link => getComputedStyle(link, '::after').content"
    assert "not kept here" in marked.evaluate(behind)
    firsts = page.locator(".hb-list-title").evaluate_all(
        "all => all.map(one => one.hasAttribute('data-not-kept'))"
    )
    assert firsts == sorted(firsts) and not firsts[0]  # what is kept comes first
    here = firsts.count(False)
    expect(page.locator(".hb-find-count")).to_have_text(
        f"{len(firsts)} exercises · {here} of them kept here"
    )
    kept_one = page.locator(f".hb-list-title[href$='/{slug}/']")
    assert kept_one.evaluate(behind) == "none"
    missing = marked.inner_text()
    page.locator("a.hb-search").click()
    page.get_by_role("searchbox").fill(missing)
    expect(page.locator(".hb-search-said")).to_contain_text("No signal")
    titles = page.locator(".hb-found-title")
    found = titles.filter(has_text=missing).first
    expect(found).to_have_attribute("data-not-kept", "not kept here")
    page.get_by_role("searchbox").fill("chord")  # what is kept comes first
    expect(titles.first).not_to_have_attribute("data-not-kept", "not kept here")
    expect(titles.last).to_have_attribute("data-not-kept", "not kept here")
    lacking = titles.evaluate_all("all => all.map(one => one.hasAttribute('data-not-kept'))")
    assert not lacking[0] and lacking == sorted(lacking), lacking
    return missing


def keep_in_haste(page: Page) -> None:
    """Keep a warm-up by keyboard; further taps in haste neither cancel that nor remove it."""
    expect(page.locator(".hb-keep button").first).to_contain_text("MB")
    page.evaluate("""() => { // as soon as it is kept
        const [button, , , status] = document.querySelector('.hb-keep').children;
        new MutationObserver(() => status.textContent.startsWith('It is kept') && button.click())
            .observe(status, { childList: true }); }""")
    keep = page.get_by_role("button", name="Keep this warm-up on this device (")
    keep.press("Enter")
    keep.press("Enter")
    status = page.locator(".hb-keep [role=status]")
    expect(status).to_have_text("It is kept on this device, and opens without a signal.")


def test_in_flight_mode(chromium: Browser, site_url: str, demo_site: Path, play: Play) -> None:
    """A page opened once sounds and changes its key; a warm-up kept by keyboard is whole, with
    exercises never opened, and drafts can be made of it; what is not kept is marked and told as
    missing, by its title; and no request leaves the site."""
    warm_up = next(iter(sorted((demo_site / "warmups").glob("*/"), reverse=True))).name
    with closing(chromium.new_context(viewport={"width": 390, "height": 844})) as context:
        page = context.new_page()
        asked: set[str] = set()
        context.on("request", lambda request: asked.add(request.url))
        for path in ("exercises/up-the-mast/", ""):
            page.goto(site_url + path)
            kept(page)
        page.goto(f"{site_url}warmups/{warm_up}/")
        keep_in_haste(page)
        inside = page.locator("li:has(.hb-order-keys) .hb-order-title a").first.get_attribute(
            "href"
        )
        context.set_offline(True)
        page.reload()
        title = page.locator("h1").first.inner_text()
        removal = f"Remove “{title}” from this device ("
        expect(page.get_by_role("button", name=removal)).to_be_visible()
        told = "No signal: only what is kept here opens."
        expect(page.locator("article .hb-no-signal")).to_have_text(told)
        page.goto(f"{site_url}warmups/{warm_up}/{inside}")  # never opened before
        assert page.locator(".hb-figure svg[role=img]:visible").count() == 1
        page.goto(f"{site_url}warmups/{warm_up}/")
        page.get_by_role("link", name="Begin a draft with this one").click()
        page.get_by_role("button", name="Music stand").click()
        expect(page.get_by_role("dialog", name="Music stand")).to_be_visible()
        page.goto(site_url + "exercises/up-the-mast/")
        page.locator("[name=key]").select_option(index=2)
        play(page)
        text = (demo_site / "warmups" / warm_up / "index.html").read_text("utf-8")
        others = (file.parent.name for file in (demo_site / "exercises").glob("*/index.html"))
        other = next(slug for slug in sorted(others) if f"{slug}/" not in text)
        slug = str(inside).split("/exercises/")[1].partition("/")[0]
        missing = marked_title(page, site_url, slug, other)
        page.goto(f"{site_url}exercises/{other}/")
        expect(page.locator("h1")).to_have_text(f"“{missing}” is not kept on this device")
        expect(page.locator(".hb-kept-list a")).to_have_count(1)
        expect(page.locator(".hb-kept-opened a").first).to_be_visible()
        context.set_offline(False)  # the page that was missing opens by itself
        expect(page).to_have_url(f"{site_url}exercises/{other}/")
        expect(
            page.get_by_role("button", name="Keep this exercise on this device (")
        ).to_be_visible()
        page.goto(f"{site_url}kept/")
        before = page.locator(".hb-kept-told").inner_text()
        page.get_by_role("button", name=removal).press("Enter")
        expect(page.locator(".hb-kept-list a")).to_have_count(0)
        expect(page.locator(".hb-kept-told")).not_to_have_text(before)
        page.goto(site_url)
        gone = f"async slug => !(await ({KEPT})('')).some(url => url.includes(slug))"
        until(page, gone, f"exercises/{slug}/")
        assert all(url.startswith((site_url, "blob:", "data:")) for url in asked), asked


def test_with_the_whole_handbook_kept(chromium: Browser, site_url: str) -> None:
    """Nothing more is offered, one line says that everything is kept, and nothing moves; where
    nothing is kept, nothing can be begun without a signal."""
    with closing(chromium.new_context(viewport={"width": 390, "height": 844})) as context:
        page = context.new_page()
        page.goto(site_url)
        kept(page)
        page.get_by_role("link", name="Keep it on this device").click()
        offer = page.get_by_role("button", name="Keep the whole handbook on this device (")
        expect(offer).to_be_visible()
        context.set_offline(True)
        expect(page.locator(".hb-no-signal")).to_be_visible()
        expect(offer).to_be_hidden()
        context.set_offline(False)
        offer.click()
        status = page.locator(".hb-kept-everything [role=status]")
        expect(status).to_contain_text("It is kept on this device", timeout=120_000)
        for path in ("warmups/2026-12-03-towards-christmas/", "exercises/up-the-mast/", "views/"):
            page.goto(site_url + path)
            kept(page)
            if path != "views/":
                expect(page.locator(".hb-keep [role=status]")).to_have_text(
                    "Kept with the whole handbook."
                )
            place = "document.querySelector('h1').getBoundingClientRect().top"
            before = page.evaluate(place)
            context.set_offline(True)
            expect(page.locator(".hb-no-signal")).to_have_text("No signal; everything is kept.")
            assert page.evaluate(place) == before
            line = page.locator(".hb-no-signal").bounding_box()
            assert line and line["height"] < 30 and 48 <= line["y"] < before - line["height"] + 9
            expect(page.locator(".hb-keep button:visible")).to_have_count(0)
            context.set_offline(False)


class Site:
    """A copy of a site in a folder of another, behind a password. `changed` are answers in place of
    files: bytes, or the number of an error; `asked` are the paths that were asked for."""

    NAME, PASSWORD, FOLDER = "singers", "low tide", "/sub/warm-ups/"

    def __init__(self, site: Path) -> None:
        self.site = site
        self.changed: dict[str, bytes | int] = {}
        self.asked: list[str] = []
        outer = self
        word = base64.b64encode(f"{self.NAME}:{self.PASSWORD}".encode()).decode()

        class Handler(http.server.SimpleHTTPRequestHandler):
            def log_message(self, *_: object) -> None:
                """Tests need no access log."""

            def do_GET(self) -> None:
                plain = self.path.partition("?")[0]
                below = plain.removeprefix(Site.FOLDER)
                outer.asked.append(below)
                answer = outer.changed.get(below)
                if self.headers.get("Authorization") != f"Basic {word}":
                    self.send_response(401)
                    self.send_header("WWW-Authenticate", 'Basic realm="Our warm-ups"')
                    self.end_headers()
                elif below == plain or isinstance(answer, int):
                    self.send_error(answer if isinstance(answer, int) else 404)
                elif answer is not None:
                    self.send_response(200)
                    self.send_header("Content-Type", self.guess_type(below))
                    self.end_headers()
                    self.wfile.write(answer)
                else:
                    self.path = f"/{below}"
                    super().do_GET()

        handler = functools.partial(Handler, directory=str(site))
        self.server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler)
        threading.Thread(target=self.server.serve_forever, daemon=True).start()
        self.url = f"http://127.0.0.1:{self.server.server_port}{self.FOLDER}"

    def replace(self, path: str, change: Callable[[bytes], bytes]) -> None:
        """Publish another file, as a new build would."""
        file = self.site / path
        content = change(file.read_bytes())
        file.unlink()  # it is a link to that of the demo
        file.write_bytes(content)


@pytest.fixture
def protected(demo_site: Path, tmp_path: Path) -> Iterator[Site]:
    copy = shutil.copytree(demo_site, tmp_path / "site", copy_function=os.link)
    (copy / "assets/handbook/site-files.json").unlink()
    write_manifest(copy)
    site = Site(copy)
    yield site
    site.server.shutdown()


#: A worker as one of last year's site might be: of an earlier form, with a page that is long gone.
LAST_YEARS = b"""
self.addEventListener("install", event => event.waitUntil(caches.open(
  "chorus-handbook files 0 /sub/warm-ups/").then(cache => cache.put("old", new Response("old")))));
self.addEventListener("fetch", event => event.respondWith(caches.match("old")
  .then(old => event.request.url.includes("slipway") ? old : fetch(event.request))));
"""
SLIPWAY = "exercises/slipway/"
PAGE, NOTES = f"{SLIPWAY}index.html", "assets/handbook/slipway/notes.json"


def test_from_one_year_to_the_next_behind_a_password(
    chromium: Browser, protected: Site, play: Play
) -> None:
    with closing(
        chromium.new_context(http_credentials={"username": Site.NAME, "password": Site.PASSWORD})
    ) as context:
        page = context.new_page()
        # Last year's worker goes, and all that it kept; the caches of other sites stay.
        protected.changed |= {"offline-worker.js": LAST_YEARS, "plain.html": b"<p>plain</p>"}
        page.goto(protected.url + "plain.html")
        page.evaluate("navigator.serviceWorker.register('offline-worker.js')")
        page.evaluate("navigator.serviceWorker.ready.then(() => true)")
        page.evaluate("caches.open('chorus-handbook files 0 /')")
        page.goto(protected.url + SLIPWAY)
        assert page.content().count("old") and "Slipway" not in page.title()
        del protected.changed["offline-worker.js"]
        page.goto(protected.url + "exercises/up-the-mast/")
        kept(page)
        until(
            page,
            "async () => !(await caches.keys()).some(name => name.endsWith('0 /sub/warm-ups/'))",
        )
        assert page.evaluate("caches.has('chorus-handbook files 0 /')")
        page.goto(protected.url + SLIPWAY)
        kept(page)
        # A new build. While it is only half there, the old page stays whole, and sounds.
        protected.replace(PAGE, lambda old: old.replace(b"</h1>", b" anew</h1>", 1))
        protected.replace(NOTES, lambda old: old.replace(b'"version"', b'"added":1,"version"', 1))
        (protected.site / "assets/handbook/site-files.json").unlink()
        write_manifest(protected.site)
        protected.changed[NOTES] = 503
        page.goto(protected.url + "exercises/up-the-mast/", wait_until="networkidle")
        context.set_offline(True)
        page.goto(protected.url + SLIPWAY)
        assert "anew" not in page.locator("h1").inner_text()
        play(page)
        context.set_offline(False)
        # Once it can be had whole, it is had.
        del protected.changed[NOTES]
        page.goto(protected.url)
        until(
            page,
            "async page => (await (await caches.match(page))?.text())?.includes(' anew</h1>')",
            protected.url + SLIPWAY,
        )
        context.set_offline(True)
        page.goto(protected.url + SLIPWAY)
        assert "anew" in page.locator("h1").inner_text()


#: No room for pages of exercises.
FULL = """() => {
  const put = Cache.prototype.put;
  Cache.prototype.put = async function(at, it) {
    if (String(at).includes("/exercises/")) throw new DOMException("", "QuotaExceededError");
    return put.call(this, at, it);
  };
}"""


def test_what_goes_wrong_is_told_and_put_right(chromium: Browser, protected: Site) -> None:
    """A download that breaks off, files that are not as they were built, no room, no storage."""
    with closing(
        chromium.new_context(http_credentials={"username": Site.NAME, "password": Site.PASSWORD})
    ) as context:
        page = context.new_page()
        page.goto(protected.url + "views/low-impact-openers/")
        kept(page)
        keep, status = (
            page.locator(".hb-keep .md-button").first,
            page.locator(".hb-keep [role=status]"),
        )
        inside = page.locator("a.hb-list-title").first.get_attribute("href")
        path = f"{str(inside).removeprefix('../../')}index.html"
        for answer, told in (
            (b"<html>", "is not the one that this site lists"),
            (503, "is not the one that this site lists"),
        ):
            protected.changed[path.removesuffix("index.html")] = answer
            keep.click()
            expect(status).to_contain_text(told)
            expect(keep).to_contain_text("Go on")
        page.evaluate(FULL)
        protected.changed.clear()
        keep.click()
        expect(status).to_contain_text("There is no more room on this device.")
        # It is told on the page of what is kept too, and goes on with whatever is opened next.
        page.goto(protected.url + "kept/")
        expect(page.locator(".hb-kept-list .hb-keep")).to_contain_text(
            "Only a part of it is on this device"
        )
        until(
            page,
            "async () => (await (await caches.match('../assets/handbook/kept.json')).json())"
            ".requests[0].whole",
        )
        page.reload()
        expect(page.locator(".hb-kept-list")).to_contain_text("from this device (")
        page.add_init_script("delete window.caches")
        page.reload()
        expect(page.locator(".hb-kept-told")).to_contain_text("This browser keeps nothing")


def test_a_preview_removes_what_a_site_at_its_address_has_left(
    chromium: Browser, protected: Site
) -> None:
    """As with `handbook serve`, whose list of files is empty."""
    with closing(
        chromium.new_context(http_credentials={"username": Site.NAME, "password": Site.PASSWORD})
    ) as context:
        page = context.new_page()
        page.goto(protected.url)
        kept(page)
        empty: Any = json.dumps({"version": 1, "files": {}}).encode()
        protected.changed["assets/handbook/site-files.json"] = empty
        page.reload()
        until(
            page,
            "async () => !(await caches.keys()).length"
            " && !(await navigator.serviceWorker.getRegistrations()).length",
        )
