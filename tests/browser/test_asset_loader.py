"""What the player needs from the network: fetched while the page is at rest, asked for again after
a failure, and never taken from an earlier build."""

from __future__ import annotations

import gzip
import re
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, Page, Route, expect

from chorus_handbook.sound.instrument import SAMPLED

Play = Callable[[Page], None]
EXERCISE = "exercises/up-the-mast/"


def test_an_exercise_that_has_loaded_needs_no_network(
    phone: Page, site_url: str, play: Play
) -> None:
    """A hall without a signal: from the first tap on, with all that is on the page."""
    asked: list[str] = []
    phone.goto(site_url + EXERCISE, wait_until="networkidle")
    phone.on("request", lambda request: asked.append(request.url))
    phone.context.set_offline(True)
    phone.locator(".hb-player-options > summary").click()
    phone.locator('[data-voice="alto"]').get_by_text("only this").click()
    phone.locator("[name=tempo]").fill("150")
    play(phone)
    chosen = phone.locator("[name=key] option:checked")
    for key in ("D♭", "D"):
        expect(chosen).to_have_text(key, timeout=15_000)
        expect(phone.locator(".hb-figure .hb-sounding:visible").first).to_be_visible()
    phone.locator(".hb-hold").click()
    phone.locator('[data-voice="alto"]').get_by_text("starting note").click()
    phone.locator(".hb-player-cents > summary").click()
    phone.wait_for_timeout(300)
    # Chromium may ask for the page's icon again when the address has changed, and what says that
    # there is no signal is asked of what the device keeps.
    assert [
        url for url in asked if not re.search(r"/(favicon\.png|no_signal\.\w+\.js)$", url)
    ] == []


def compressed(file: Path) -> int:
    """Bytes of a file as a host sends it that compresses what is text (gzip, RFC 1952)."""
    content = file.read_bytes()
    return len(content if file.suffix in {".woff2", ".png", ".bin"} else gzip.compress(content, 6))


def test_the_heaviest_page_is_light_before_it_sounds(
    chromium: Browser, site_url: str, demo_site: Path, play: Play
) -> None:
    """For a reader who saves data, with an empty cache: no more than 212 kB (our choice; it was 190
    before a page could be added to a warm-up, kept, and read in words, and 210 before it named all
    its scripts at its head, which has them there sooner), and neither the sound, nor
    what plays it, nor the search, before they are asked for."""
    pages = (demo_site / "exercises").glob("*/index.html")
    heaviest = max(pages, key=compressed).parent
    with closing(chromium.new_context()) as reader:
        page = reader.new_page()
        page.add_init_script(
            "Object.defineProperty(navigator, 'connection', {value: {saveData: true}})"
        )
        page.add_init_script(DECODED)
        asked: list[str] = []
        reader.on("request", lambda request: asked.append(urlsplit(request.url).path))
        page.goto(f"{site_url}exercises/{heaviest.name}/", wait_until="networkidle")
        page.wait_for_timeout(300)
        files = [demo_site / path.lstrip("/") for path in asked]
        sizes = {str(f): compressed(f / "index.html" if f.is_dir() else f) for f in files}
        assert sum(sizes.values()) <= 212_000, sizes
        names = [re.sub(r"\.[0-9a-f]{10}\.", ".", file.name) for file in files]
        assert "player_page.js" in names
        late = {
            "instrument.bin",
            "player.js",
            "own_range_form.js",
            "search.json",
            "search_index.js",
        }
        assert late.isdisjoint(names)
        assert page.evaluate("window.decoded") == 0
        play(page)
        names = [path.rpartition("/")[2] for path in asked]
        assert names.count("instrument.bin") == names.count("notes.json") == 1


DECODED = """window.decoded = 0; const decode = BaseAudioContext.prototype.decodeAudioData;
BaseAudioContext.prototype.decodeAudioData = function(...given) {
    return decode.apply(this, given).then(found => { window.decoded += 1; return found; });
};"""


def test_tones_are_decoded_before_the_first_tap(phone: Page, site_url: str, play: Play) -> None:
    """All of them, while the page is at rest; the tap decodes none."""
    phone.add_init_script(DECODED)
    phone.goto(site_url + EXERCISE, wait_until="networkidle")
    phone.wait_for_function(f"window.decoded === {len(SAMPLED)}")
    play(phone)
    assert phone.evaluate("window.decoded") == len(SAMPLED)


def test_what_was_fetched_ahead_is_not_fetched_again(
    phone: Page, site_url: str, play: Play
) -> None:
    asked: list[str] = []
    phone.on("request", lambda request: asked.append(urlsplit(request.url).path))
    phone.goto(site_url + EXERCISE, wait_until="networkidle")
    play(phone)
    asked = [path.rpartition("/")[2] for path in asked]
    for name in ("instrument.json", "instrument.bin", "notes.json"):
        assert asked.count(name) == 1


def test_notes_that_load_slowly_for_the_cents_do_not_swallow_a_tap(
    phone: Page, site_url: str, play: Play
) -> None:
    def slow(route: Route) -> None:
        phone.wait_for_timeout(700)
        route.continue_()

    phone.route("**/notes.json?*", slow)
    phone.goto(site_url + EXERCISE)
    phone.locator(".hb-player-options > summary").click()
    play(phone)


#: A file, what comes in its place (None: nothing), and a word of what the page says then.
BROKEN: tuple[tuple[str, dict[str, Any] | None, str], ...] = (
    ("instrument.json", {"status": 404}, "missing from this site"),
    ("instrument.bin", {"status": 404}, "missing from this site"),
    ("instrument.bin", {"body": b"rubbish" * 40_000}, "damaged"),
    ("instrument.bin", {"body": b""}, "damaged"),
    ("instrument.json", {"body": "{"}, "damaged"),
    ("instrument.json", {"json": {"version": 2, "samples": []}}, "damaged"),
    ("notes.json", {"status": 404}, "missing from this site"),
    ("notes.json", {"json": {"version": 9}}, "damaged, or newer than this page"),
    ("notes.json", {"body": "<"}, "damaged, or newer than this page"),
    ("notes.json", None, "when you are online"),
)


def answering(answer: dict[str, Any] | None) -> Callable[[Route], None]:
    return lambda route: route.fulfill(**answer) if answer else route.abort()


def test_a_broken_pack_is_told_and_tried_again(phone: Page, site_url: str, play: Play) -> None:
    wrong: list[str] = []
    phone.on("pageerror", lambda error: wrong.append(str(error)))
    for file, answer, word in BROKEN:
        phone.route(f"**/{file}?*", answering(answer))
        phone.goto(site_url + EXERCISE)
        phone.locator(".hb-play").click()
        case = f"{file}: {answer and {**answer, 'body': '...'}}"
        expect(phone.locator(".hb-player-status"), case).to_contain_text(word)
        expect(phone.locator(".hb-play"), case).to_have_text("Play")
        phone.unroute(f"**/{file}?*")
        play(phone)
        assert wrong == [], case


def test_no_file_of_an_earlier_build_is_taken(phone: Page, site_url: str, play: Play) -> None:
    """A browser that holds one asks whether it has changed ("no-cache": RFC 9111, 5.2.1.4)."""
    phone.add_init_script(
        "window.asked = {}; const ask = window.fetch; window.fetch = (address, options) => {"
        "window.asked[String(address).match(/[^/?]*(?=[?]|$)/)[0]] = options?.cache;"
        "return ask(address, options)}"
    )
    phone.goto(site_url + EXERCISE, wait_until="networkidle")
    play(phone)
    asked = phone.evaluate("window.asked")
    for file in ("notes.json", "instrument.json", "instrument.bin"):
        assert asked[file] == "no-cache"


@pytest.mark.parametrize(
    "change", [lambda pack: pack + bytes(500), lambda pack: bytes(len(pack))], ids=["more", "none"]
)
def test_tones_that_are_not_those_listed_are_not_played(
    phone: Page, site_url: str, change: Callable[[bytes], bytes]
) -> None:
    """The site was published anew between two files: each tone would be cut from a wrong place. Or
    what came is of the right length and no sound."""

    def other(route: Route) -> None:
        answer = route.fetch()
        route.fulfill(response=answer, body=change(answer.body()))

    phone.route("**/instrument.bin?*", other)
    phone.goto(site_url + EXERCISE, wait_until="networkidle")
    phone.locator(".hb-play").click()
    expect(phone.locator(".hb-player-status")).to_contain_text("damaged")
