"""The bar that stays in view while an exercise sounds, and choices kept from page to page."""

from __future__ import annotations

import re
from collections.abc import Callable

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, Route, expect

from altered import serve_altered

Play = Callable[[Page], None]
EXERCISE = "exercises/up-the-mast/"
#: The one note of the second bar, as a phone shows it.
SECOND = "soprano-9.n"
WAKE_LOCK = """window.locks = [];
Object.defineProperty(Navigator.prototype, 'wakeLock', {get: () => ({request: async kind => {
    const lock = {kind, released: false, release: async () => { lock.released = true; }};
    window.locks.push(lock);
    return lock;
}})});"""
#: Refused to the handbook; the theme uses storage too, and does not bear a refusal.
NO_STORAGE = """for (const name of ['getItem', 'setItem', 'removeItem']) {
    const given = Storage.prototype[name];
    Storage.prototype[name] = function(key, ...rest) {
        if (key.startsWith('chorus-handbook')) throw new DOMException('no', 'SecurityError');
        return given.call(this, key, ...rest);
    };
}"""
#: The choices of the player that are narrower than their longest words.
CUT = """() => [...document.querySelectorAll(".hb-player select")].filter((select) => {
    const { offsetWidth } = select;
    select.style.cssText = "flex: none; max-width: none; width: max-content";
    const needed = select.offsetWidth;
    select.style.cssText = "";
    return offsetWidth < needed;
}).map(({ name, dataset }) => name || dataset.for)"""


def choice(page: Page, name: str) -> str:
    return str(page.locator(f"[name={name}]").input_value())


def test_the_bar_stays_in_view_and_stops(phone: Page, site_url: str, play: Play) -> None:
    phone.add_init_script(WAKE_LOCK)
    phone.goto(site_url + EXERCISE)
    bar = phone.locator(".hb-player-bar")
    expect(bar).to_be_hidden()
    place = phone.evaluate("scrollY")
    play(phone)
    place = phone.evaluate("scrollY")
    phone.wait_for_timeout(300)
    assert phone.evaluate("scrollY") == place  # nothing leaves the finger
    assert phone.evaluate("window.locks.map(lock => lock.released)") == [False]
    pauses = phone.get_by_role("button", name="Pause", exact=True)
    expect(pauses).to_have_count(1)
    expect(pauses).to_have_class("hb-play")
    assert phone.evaluate(CUT) == []
    phone.evaluate("scrollTo(0, document.body.scrollHeight)")
    expect(bar.locator(".hb-bar-play")).to_be_visible()
    expect(bar.locator(".hb-stop")).to_be_in_viewport(ratio=1)
    assert (bar.bounding_box() or {})["height"] <= 844 / 10  # slim
    bar.get_by_role("button", name="More").click()
    sizes = [one.bounding_box() for one in bar.locator("button, select").all()]
    assert len(sizes) == 8  # pause, stop, next key, more: key, part, what sounds, tempo
    # WCAG 2.2, success criterion 2.5.5 (AAA): 44 by 44.
    assert all(box and box["width"] >= 44 and box["height"] >= 44 for box in sizes)
    phone.evaluate("scrollTo(0, document.body.scrollHeight)")
    end = phone.evaluate("document.querySelector('.md-footer').getBoundingClientRect().bottom")
    assert end <= (bar.bounding_box() or {})["y"] + 1  # the end of the page can be read
    bar.locator(".hb-bar-play").click()
    expect(bar.locator(".hb-bar-play")).to_have_text("Go on")
    bar.locator(".hb-bar-next").click()
    expect(bar.locator(".hb-bar-play")).to_have_text("Pause")
    expect(bar.locator("[name=bar-key]")).to_have_value("Db4")
    phone.keyboard.press("Escape")
    expect(bar).to_be_hidden()
    expect(phone.locator(".hb-play")).to_be_focused()
    assert phone.evaluate("window.locks.every(lock => lock.released)")
    assert phone.evaluate("document.body.style.paddingBlockEnd") == ""


def test_choices_in_the_bar_are_kept_from_page_to_page(
    phone: Page, site_url: str, play: Play
) -> None:
    phone.goto(site_url + EXERCISE)
    play(phone)
    bar = phone.locator(".hb-player-bar")
    bar.get_by_role("button", name="More").click()
    bar.get_by_label("My part").select_option("Alto")
    bar.get_by_label("What sounds").select_option("the others only")
    bar.get_by_label("Tempo in beats a minute").select_option("80")
    phone.locator(".hb-player-options > summary").click()
    phone.get_by_label("just, so that").check()
    expect(phone.locator("[data-voice=alto] [data-role=silent]")).to_have_attribute(
        "aria-pressed", "true"
    )
    phone.goto(site_url + "exercises/ropes-fast/")
    assert [choice(phone, name) for name in ("part", "mix", "tempo")] == ["alto", "others", "80"]
    assert phone.locator("[name=tuning]:checked").input_value() == "just"
    # A row of a voice is the same choice in other words; two voices off are none of the four.
    phone.locator(".hb-player-options > summary").click()
    phone.locator("[data-voice=tenor] [data-role=alone]").click()
    assert [choice(phone, name) for name in ("part", "mix")] == ["tenor", "only"]
    phone.locator("[data-voice=tenor] [data-role=silent]").click()
    assert choice(phone, "mix") == "own"
    phone.locator("[data-voice=alto] [data-role=silent]").click()
    assert [choice(phone, name) for name in ("part", "mix")] == ["tenor", "others"]
    # An own range chooses the part.
    phone.locator(".hb-own summary").click()
    phone.locator(".hb-own select[name=voice]").select_option("bass")
    expect(phone.locator(".hb-own-status")).to_contain_text("Stored")
    assert choice(phone, "part") == "bass"


def test_a_minor_key_is_called_so(phone: Page, site_url: str, play: Play) -> None:
    phone.goto(site_url + "exercises/grey-morning/")
    first = phone.locator("[name=key] option:checked").inner_text() + " minor"
    expect(phone.locator(".hb-give:visible")).to_contain_text(f"In {first}:")
    play(phone)
    expect(phone.locator(".hb-player-status")).to_contain_text(f"Playing in {first}.")
    expect(phone.locator(".hb-bar-next")).to_have_text(re.compile("^Next key: .* minor$"))
    expect(phone.locator("[name=bar-key] option:checked")).to_have_text(first)


def test_one_part_is_heard_at_a_tap_and_without_storage(phone: Page, site_url: str) -> None:
    phone.add_init_script(NO_STORAGE)
    wrong: list[str] = []
    phone.on("pageerror", lambda error: wrong.append(str(error)))
    phone.goto(site_url + EXERCISE)
    phone.locator(".hb-player").get_by_role("button", name="Alto").click()
    expect(phone.locator(".hb-player-status")).to_have_text("Playing in C. Alto only.")
    for alone in ("[data-only=alto]", "[data-voice=alto] [data-role=alone]"):
        expect(phone.locator(alone)).to_have_attribute("aria-pressed", "true")
    phone.locator("[data-only=alto]").click()  # and the others again, while it goes on
    expect(phone.locator(".hb-player-status")).to_have_text("Playing in C.")
    assert wrong == []


def test_the_singer_chooses_the_next_key(phone: Page, site_url: str, play: Play) -> None:
    def faster(route: Route) -> None:
        notes = route.fetch().json()
        route.fulfill(json=notes | {"tempo": notes["tempo"] * 20})

    serve_altered(phone, "notes.json", faster)
    phone.goto(site_url + EXERCISE)
    phone.locator("[name=play-mode]").select_option("I choose the next key")
    play(phone)
    status = phone.locator(".hb-player-status")
    expect(status).to_contain_text("Next key")
    bar = phone.locator(".hb-player-bar")
    expect(bar.locator(".hb-bar-play")).to_have_text("Play")
    bar.locator(".hb-bar-next").click()
    expect(status).to_have_text("Playing in D♭.")
    expect(phone.locator(".hb-figure")).to_have_attribute("data-key", "Db4")
    expect(status).to_contain_text("Next key")
    expect(bar.locator(".hb-bar-next")).to_have_text("Next key: D")


def test_bars_are_practised_by_themselves_and_a_tap_starts_at_one(
    phone: Page, site_url: str, play: Play
) -> None:
    phone.goto(site_url + EXERCISE)
    phone.locator(".hb-player-options > summary").click()
    phone.locator("[name=count-in]").uncheck()
    expect(phone.locator("[name=from-bar]")).to_have_value("1")
    phone.locator("[name=from-bar]").select_option("2")
    assert choice(phone, "play-mode") == "loop"  # without a choice of keys, in the key shown
    play(phone)
    # Bar 2 has one note in each voice: it begins at once.
    expect(phone.locator(".hb-narrow .hb-sounding").first).to_have_attribute("id", SECOND)
    phone.locator(".hb-stop").click()
    # A section set backwards is put in order.
    phone.locator("[name=to-bar]").select_option("1")
    assert [choice(phone, name) for name in ("from-bar", "to-bar")] == ["1", "2"]
    note = phone.locator(f'[id="{SECOND}"]')
    note.evaluate("note => note.scrollIntoView({block: 'center'})")
    box = note.bounding_box()
    assert box
    phone.mouse.click(box["x"] + box["width"] + 4, box["y"])  # near it is enough
    expect(phone.locator(".hb-player-bar")).to_be_visible()
    expect(phone.locator(".hb-narrow .hb-sounding").first).to_have_attribute("id", SECOND)


def test_a_step_counts_down_beside_the_player(
    clocked_phone: Page, site_url: str, play: Play
) -> None:
    """By a tap and never by itself; on to the next step by hand; told to those who do not see it;
    with the screen awake, whether the player sounds or not."""
    clocked_phone.add_init_script(WAKE_LOCK)
    clocked_phone.clock.install()
    clocked_phone.goto(site_url + EXERCISE)
    count, status = (
        clocked_phone.locator(".hb-countdown"),
        clocked_phone.locator(".hb-countdown ~ [role=status]"),
    )
    left = count.locator(".hb-countdown-left")
    expect(clocked_phone.get_by_role("button", name="(30 s) Count down")).to_be_visible()
    clocked_phone.clock.run_for(60_000)
    expect(count).to_be_hidden()
    clocked_phone.get_by_role("button", name="(30 s) Count down").click()
    expect(status).to_have_text("Step 1: 30 seconds.")
    expect(left).to_have_text("0:30")
    assert clocked_phone.evaluate("window.locks.map(lock => lock.released)") == [False]
    clocked_phone.clock.run_for(5_000)
    play(clocked_phone)
    expect(clocked_phone.locator(".hb-player-bar")).to_be_in_viewport(ratio=1)
    expect(count).to_be_in_viewport(ratio=1)
    clocked_phone.locator(".hb-stop").click()
    clocked_phone.clock.run_for(15_000)
    expect(status).to_contain_text("seconds left.")
    violations = Axe().run(clocked_phone, {"exclude": [[".md-search"]]}).response["violations"]
    assert [violation["id"] for violation in violations] == []
    clocked_phone.set_viewport_size(
        {"width": 320, "height": 844}
    )  # 400 % of 1280 (WCAG 2.2, 1.4.10)
    assert clocked_phone.evaluate("document.documentElement.scrollWidth") <= 320
    clocked_phone.clock.run_for(15_000)
    expect(status).to_have_text("The time of this step is over.")
    expect(left).to_have_text("0:00")
    count.get_by_role("button", name="Next step").click()
    expect(status).to_have_text("Step 2: 60 seconds.")
    count.get_by_role("button", name="Pause").click()
    clocked_phone.clock.run_for(90_000)
    expect(left).to_have_text("1:00")
    clocked_phone.keyboard.press("Escape")
    expect(count).to_be_hidden()
    expect(clocked_phone.get_by_role("button", name="(60 s) Count down")).to_be_focused()
    assert all(clocked_phone.evaluate("window.locks.map(lock => lock.released)"))
