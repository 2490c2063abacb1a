"""A routine plays through by itself: with nothing to touch; paused, back and on; without sound.
The clock is the test's own, that of the sound too."""

from __future__ import annotations

import json
from itertools import groupby
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from chorus_handbook.sound.schedule import PlaybackOptions, in_keys, run_seconds

QUARTET, SECTIONAL = "routines/quartet-in-the-stairwell/", "routines/sectional-below-decks/"
#: The sound's clock goes with that of the page; what keeps the screen awake is counted; a page can
#: be hidden, which lets the screen go (W3C, Screen Wake Lock API).
PREPARED = """
Object.defineProperty(BaseAudioContext.prototype, "currentTime", { get: () => Date.now() / 1000 });
const locks = new Set();
class Lock {
    constructor() { locks.add(this); }
    get released() { return !locks.has(this); }
    async release() { locks.delete(this); }
}
Object.defineProperty(navigator, "wakeLock", { value: { request: async () => new Lock() } });
Object.defineProperty(window, "awake", { get: () => locks.size });
let hidden = false;
Object.defineProperty(document, "hidden", { get: () => hidden });
window.hide = (now) => {
    hidden = now;
    if (now) locks.clear();
    document.dispatchEvent(new Event("visibilitychange"));
};
"""
#: The theme stores, too, and is not prepared for refusal.
BLOCKED = """
for (const name of ["getItem", "setItem"]) {
    const own = Storage.prototype[name];
    Storage.prototype[name] = function (...given) {
        if (given[0].startsWith("chorus-handbook")) throw new DOMException("no", "SecurityError");
        return own.apply(this, given);
    };
}
"""
#: Writes down, with the time, what the stand shows whenever that changes.
WATCHED = """() => {
    const stand = document.querySelector("dialog.hb-stand");
    window.shown = [];
    new MutationObserver(() => {
        const item = stand.querySelector("article:not([hidden])");
        const text = (name) => item.querySelector(name)?.textContent ?? "";
        const [, key = ""] = stand.querySelector(".hb-through-now").textContent.split("Join in: ");
        window.shown.push([Date.now() / 1000, text("h2"), key]);
    }).observe(stand, { subtree: true, childList: true, characterData: true });
}"""
#: How far the times may be off that the page keeps by looking at the clock: 0.3 s a part.
NEAR = 1.0
#: From this second on the clock stands still, until the test moves it.
BEGUN = 10_000


@pytest.fixture
def failures(clocked_phone: Page) -> list[str]:
    found: list[str] = []
    clocked_phone.on("pageerror", lambda error: found.append(str(error)))
    clocked_phone.add_init_script(PREPARED)
    clocked_phone.clock.install(time=0)
    return found


def test_a_quartet_sings_hands_free(
    clocked_phone: Page, site_url: str, demo_site: Path, failures: list[str]
) -> None:
    """From one tap to the end, without a signal and twice out of sight: every exercise in its keys
    and for its time."""
    clocked_phone.goto(site_url + QUARTET)
    clocked_phone.clock.pause_at(BEGUN)
    clocked_phone.evaluate(WATCHED)
    items = clocked_phone.eval_on_selector_all(
        "[data-passage]",
        "all => all.map(one => [one.dataset.exercise, one.querySelector('h2').textContent,"
        " JSON.parse(one.dataset.passage)])",
    )
    assert {name for *_, passage in items for name in passage} == {"timed", "keys", "step"}
    clocked_phone.get_by_role("button", name="Play it through").click()
    begun: float = BEGUN
    clocked_phone.wait_for_load_state("networkidle")
    clocked_phone.context.set_offline(True)
    ended = clocked_phone.get_by_role("heading", name="That was all of it.")
    for turn in range(40):
        hidden = turn in (2, 5)
        clocked_phone.evaluate("window.hide", hidden)
        assert clocked_phone.evaluate("window.awake") == (0 if hidden else 1)
        clocked_phone.clock.run_for(10_000)
        if ended.is_visible():
            break

    shown: list[Any] = clocked_phone.evaluate("window.shown")
    for slug, title, passage in items:
        mine = [(time, key) for time, name, key in shown if name == title]
        keys = [name for name, _ in groupby(key for _, key in mine if key)]
        flats = [name.replace("b", "♭").rstrip("0123456789") for name in passage["keys"]]
        assert keys == flats, title
        (pause,) = passage["timed"]
        sung = next(time for time, key in mine if key)
        assert sung - begun == pytest.approx(pause[1], abs=NEAR), title
        notes = json.loads((demo_site / f"assets/handbook/{slug}/notes.json").read_text("utf-8"))
        run = run_seconds(in_keys(notes, passage["keys"]), PlaybackOptions(chord_first=True))
        begun = next(time for time, name, _ in shown if time > sung and name != title)
        assert begun - sung == pytest.approx(run, abs=NEAR), title
    assert len(items) == 4 and clocked_phone.evaluate("window.awake") == 0
    assert failures == []


def test_steps_count_down_and_whoever_wants_to_can_pause(
    clocked_phone: Page, site_url: str, failures: list[str]
) -> None:
    """The sectional begins with breathing, which has no notes. No sound can be loaded, and nothing
    may be stored."""
    clocked_phone.add_init_script(BLOCKED)
    clocked_phone.route("**/instrument.*", lambda route: route.abort())
    clocked_phone.goto(site_url + SECTIONAL)
    clocked_phone.clock.pause_at(BEGUN)
    stand, step = (
        clocked_phone.get_by_role("dialog"),
        clocked_phone.locator(".hb-stand-steps [aria-current]"),
    )
    now, pause = stand.get_by_role("timer"), stand.locator(".hb-through-pause")
    clocked_phone.get_by_role("button", name="Play it through").click()
    expect(now).to_have_text("Begins in 0:11")
    expect(step).to_have_count(0)
    clocked_phone.clock.run_for(12_000)
    expect(now).to_have_text("0:19")
    expect(step).to_contain_text("Three usual breaths")

    expect(pause).to_be_focused()
    clocked_phone.keyboard.press("Space")
    clocked_phone.clock.run_for(60_000)
    expect(now).to_have_text("0:19")
    clocked_phone.keyboard.press("Space")
    clocked_phone.clock.run_for(17_000)
    expect(now).to_have_text("0:02")
    clocked_phone.clock.run_for(3_000)
    expect(step).to_contain_text("Hands on the lowest ribs")

    clocked_phone.keyboard.press("ArrowLeft")  # to the beginning of this exercise
    expect(now).to_have_text("Begins in 0:11")
    for _ in range(7):
        clocked_phone.keyboard.press("ArrowRight")
    expect(stand.get_by_text("2 of 3")).to_be_visible()
    clocked_phone.keyboard.press("ArrowRight")
    expect(pause).to_have_text("Go on")
    expect(stand.locator(".hb-stand-status")).to_contain_text("could not be loaded")
    clocked_phone.keyboard.press("ArrowRight")
    expect(stand.get_by_text("3 of 3")).to_be_visible()

    stand.get_by_role("button", name="Close").click()
    clocked_phone.clock.run_for(60_000)
    assert clocked_phone.evaluate("window.awake") == 0
    clocked_phone.get_by_role("button", name="Music stand").click()
    expect(stand.get_by_text("1 of 3")).to_be_visible()
    expect(pause).to_be_hidden()
    assert failures == []
