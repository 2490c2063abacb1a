"""The player in the page: by tap and key, on a phone, while things change and go wrong. Every
`start()` of a sound is recorded and held against the schedule of the run."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, Route, expect

from altered import serve_altered
from chorus_handbook.sound.schedule import Event, PlaybackOptions, schedule

Play = Callable[[Page], None]
EXERCISE = "exercises/up-the-mast/"
#: Notes every context that is made, and every sound that is started: when, where in its tone, how
#: fast, and what time it was.
RECORD = """
window.contexts = []; window.started = [];
const Context = window.AudioContext;
window.AudioContext = class extends Context {
    constructor(...given) { super(...given); window.contexts.push(this); }
};
const set = AudioParam.prototype.setValueAtTime;
AudioParam.prototype.setValueAtTime = function(value, time) {
    this.first ??= value;
    return set.call(this, value, time);
};
const start = AudioBufferSourceNode.prototype.start;
AudioBufferSourceNode.prototype.start = function(when, offset) {
    window.started.push({when, offset, rate: this.playbackRate.first ?? null,
        now: this.context.currentTime, click: this.buffer.duration < 0.1, node: this});
    return start.call(this, when, offset);
};
const stop = AudioBufferSourceNode.prototype.stop;
AudioBufferSourceNode.prototype.stop = function(when) {
    for (const one of window.started) {
        if (one.node !== this || when > one.when) continue;
        one.withdrawn = this.context.currentTime < one.when;
    }
    return stop.call(this, when);
};
"""
STARTED = "() => window.started.map(({node, ...rest}) => rest)"


@pytest.fixture
def recorded(phone: Page) -> Page:
    phone.add_init_script(RECORD)
    return phone


def at_speed(page: Page, factor: float) -> None:
    """Serves the exercises at a higher tempo, so that tests need not wait."""

    def faster(route: Route) -> None:
        notes = route.fetch().json()
        route.fulfill(json=notes | {"tempo": notes["tempo"] * factor})

    serve_altered(page, "notes.json", faster)


def until_the_long_note(page: Page, factor: float) -> None:
    """Waits, by the clock of the sound, into the note of three beats that ends the first pass: a
    chord and a count-in of four beats each, four beats of shorter notes, and a little more."""
    page.wait_for_function(
        "seconds => window.contexts[0].currentTime"
        " - Math.min(...window.started.map(one => one.when)) > seconds",
        arg=12.6 * 60 / (76 * factor),
    )


def notes_of(site: Path, slug: str = "up-the-mast") -> dict[str, Any]:
    text = (site / "assets/handbook" / slug / "notes.json").read_text("utf-8")
    return dict(json.loads(text))


def started(page: Page) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = page.evaluate(STARTED)
    return [one for one in found if not one.get("withdrawn")]


def matches(one: dict[str, Any], event: Event, origin: float, samples: list[int]) -> bool:
    if abs(one["when"] - origin - event.at) > 1e-6 or one["click"] != (event.kind == "click"):
        return False
    if event.midi is None:
        return True
    sampled = event.midi - 12 * math.log2(one["rate"])
    return min(abs(sampled - sample) for sample in samples) < 1e-4


def test_what_is_started_is_what_the_schedule_says(
    recorded: Page, site_url: str, demo_site: Path, play: Play
) -> None:
    at_speed(recorded, 10)
    recorded.goto(site_url + EXERCISE)
    play(recorded)
    recorded.wait_for_timeout(3000)
    notes = notes_of(demo_site) | {"tempo": 760}
    index = json.loads((demo_site / "assets/handbook/instrument.json").read_text("utf-8"))
    samples = [sample["midi"] for sample in index["samples"]]
    expected = schedule(notes, PlaybackOptions(chord_first=True))
    found = started(recorded)
    origin = found[0]["when"]
    assert len(found) > 100 and {event.key for event in expected[: len(found)]} >= {0, 1, 2}
    for one, event in zip(found, expected, strict=False):
        assert matches(one, event, origin, samples), (one, event)
    # Each was handed over in time.
    assert all(one["now"] <= one["when"] + 1e-3 for one in found)


def test_a_live_change_of_tempo_holds_within_200_milliseconds(
    recorded: Page, site_url: str, demo_site: Path, play: Play
) -> None:
    at_speed(recorded, 2)
    recorded.goto(site_url + EXERCISE)
    recorded.locator("[name=play-mode]").select_option("loop")
    play(recorded)
    recorded.wait_for_timeout(3850)  # into the first pass
    changed = recorded.evaluate(
        """() => { const tempo = document.querySelector('[name=tempo]'); tempo.value = 150;
        tempo.dispatchEvent(new Event('input', {bubbles: true}));
        return window.contexts[0].currentTime; }"""
    )
    recorded.wait_for_timeout(1500)
    expect(recorded.locator(".hb-tempo-value")).to_have_text("114 beats a minute")
    notes = notes_of(demo_site)
    after = sorted({one["when"] for one in started(recorded) if one["when"] > changed + 0.02})
    ticks = sorted({n["at"] for voice in notes["voices"] for n in voice["notes"]})
    ticks += [tick + notes["length"] for tick in ticks]
    steps = {round(b - a, 4) for a, b in pairwise(ticks)}
    for one, other in pairwise(after):
        assert min(abs((other - one) * 228 * 48 / 60 - step) for step in steps) < 0.01
    # The first of them comes as soon as the new tempo has it.
    origin = min(one["when"] for one in started(recorded))
    done = (changed + 0.01 - origin) * 152 / 60 - notes["count_in"] - notes["lead_in"]
    whole = 48 * done % notes["length"]
    due = [0.01 + (tick - whole) * 60 / (228 * 48) for tick in ticks]
    expected = next(seconds for seconds in due if seconds > 0.02)  # as `after` begins
    assert after[0] - changed == pytest.approx(expected, abs=0.02)


def test_a_voice_is_silenced_alone_and_in_front_while_it_plays(
    recorded: Page, site_url: str, play: Play
) -> None:
    """The gains that voices go through, some 200 ms after the tap."""
    recorded.add_init_script(
        """window.gains = []; const make = BaseAudioContext.prototype.createGain;
        BaseAudioContext.prototype.createGain = function() {
            const made = make.call(this); window.gains.push(made); return made; };"""
    )
    recorded.goto(site_url + EXERCISE)
    recorded.locator(".hb-player-options > summary").click()
    play(recorded)

    def levels() -> list[float]:
        recorded.wait_for_timeout(200)
        found = recorded.evaluate("window.gains.slice(3, 7).map(gain => gain.gain.value)")
        return [round(level, 2) for level in found]

    alto = recorded.locator('[data-voice="alto"]')
    assert levels() == [1, 1, 1, 1]
    alto.get_by_text("off").click()
    assert levels() == [1, 0, 1, 1]
    alto.get_by_text("only this").click()
    assert levels() == [0, 1, 0, 0]
    expect(alto.get_by_text("only this")).to_have_attribute("aria-pressed", "true")
    alto.get_by_text("louder").click()
    assert levels() == [0.25, 1, 0.25, 0.25]
    alto.get_by_text("louder").click()
    alto.locator("input").fill("40")
    assert levels() == [1, 0.4, 1, 1]


def test_it_climbs_three_keys_and_the_score_follows(phone: Page, site_url: str, play: Play) -> None:
    at_speed(phone, 5)
    phone.goto(site_url + EXERCISE)
    play(phone)
    for key in ("D♭", "D"):
        expect(phone.locator("[name=key] option:checked")).to_have_text(key)
        expect(phone.locator(".hb-player-status")).to_have_text(f"Now in {key}.")
        expect(phone.locator(".hb-narrow .hb-sounding").first).to_be_visible()
    phone.locator(".hb-stop").click()
    expect(phone.locator("[name=key] option:checked")).to_have_text("C")
    expect(phone.locator(".hb-sounding")).to_have_count(0)
    assert "key=" not in phone.url


def test_a_key_chosen_while_it_plays_is_played(recorded: Page, site_url: str, play: Play) -> None:
    at_speed(recorded, 2)
    recorded.goto(site_url + EXERCISE)
    recorded.locator("[name=play-mode]").select_option("loop")
    play(recorded)
    until_the_long_note(recorded, 2)
    before = len(started(recorded))
    recorded.evaluate("document.querySelector('.hb-chooser').scrollIntoView()")
    count, now = recorded.evaluate(
        """() => { const now = window.contexts[0].currentTime, count = window.started.length;
        const key = document.querySelector('[name=key]');
        key.selectedIndex = 3;
        key.dispatchEvent(new Event('change'));
        return [count, now]; }"""
    )
    recorded.wait_for_function("count => window.started.length > count", arg=count)
    after = recorded.evaluate(STARTED)[count:]
    assert before and after
    # The notes that sound are taken up in the new key, in their middle and at once (a busy machine
    # may take a second).
    assert after[0]["offset"] > 0.02 and after[0]["when"] - now < 1
    assert all(one["when"] > now for one in after)
    expect(recorded.locator("[name=key] option:checked")).to_have_text("E♭")
    expect(recorded.locator(".hb-player-status")).to_have_text("Now in E♭.")
    expect(recorded.locator(".hb-narrow .hb-sounding").first).to_be_visible()


def test_what_sounds_is_shown_in_the_score(phone: Page, site_url: str, play: Play) -> None:
    """Ids of the live score against the notes of the run at that moment."""
    phone.goto(site_url + "exercises/ropes-fast/")
    phone.locator("[name=play-mode]").select_option("once")
    phone.locator(".hb-player-options > summary").click()
    phone.locator("[name=count-in]").uncheck()
    phone.locator('[data-voice="tenor"]').get_by_text("off").click()
    play(phone)
    shown = "[...document.querySelectorAll('.hb-wide .{}')].map(e => e.id)"
    expect(phone.locator(".hb-wide .hb-sounding").first).to_have_attribute("id", "soprano-1")
    seen = set()
    for _ in range(60):
        found = phone.evaluate(shown.format("hb-sounding"))
        silent = phone.evaluate(shown.format("hb-due"))
        assert not [one for one in found if one.startswith("tenor")]
        assert all(one.startswith("tenor") for one in silent)
        seen |= {*found, *silent}
        phone.wait_for_timeout(50)
    assert {"soprano-1", "soprano-2", "soprano-3", "tenor-2", "bass-3"} <= seen
    phone.locator('[data-voice="bass"]').get_by_text("off").click()
    phone.wait_for_timeout(200)
    assert phone.evaluate(shown.format("hb-due")) == []  # two are left out, so neither is one's own
    weight = phone.evaluate(
        "getComputedStyle(document.querySelector('.hb-narrow .hb-sounding')).strokeWidth"
    )
    assert weight != "1px"  # heavier, not only of another colour


def test_sounding_notes_come_into_view_and_a_reader_who_looks_elsewhere_is_left_alone(
    phone: Page, site_url: str, play: Play
) -> None:
    phone.emulate_media(reduced_motion="reduce")
    phone.goto(site_url + "exercises/ropes-fast/")
    phone.locator(".hb-play").scroll_into_view_if_needed()
    phone.evaluate("scrollBy(0, 300)")
    play(phone)
    expect(phone.locator(".hb-narrow .hb-sounding").first).to_be_attached(timeout=15_000)
    phone.wait_for_timeout(300)
    inside = """() => { const box = document.querySelector('.hb-narrow .hb-sounding')
        .getBoundingClientRect(); return box.top >= 0 && box.bottom <= innerHeight; }"""
    assert phone.evaluate(inside)
    phone.evaluate("scrollTo(0, document.body.scrollHeight)")
    place = phone.evaluate("scrollY")
    phone.wait_for_timeout(2000)
    assert phone.evaluate("scrollY") == place


@pytest.mark.parametrize("by", ["wheel", "key"])
def test_a_reader_who_scrolls_right_after_the_page_did_is_not_pulled_back(
    phone: Page, site_url: str, by: str, play: Play
) -> None:
    phone.goto(site_url + "exercises/ropes-fast/")
    play(phone)
    start = phone.evaluate("scrollY")
    phone.evaluate("addEventListener('scrollend', () => { window.arrived = true; })")
    phone.wait_for_function("window.arrived")  # at the notes
    arrived = phone.evaluate("scrollY")
    assert arrived > start + 100
    if by == "wheel":
        phone.mouse.wheel(0, 9000)
    else:
        phone.keyboard.press("End")
    phone.wait_for_timeout(2500)
    assert phone.evaluate("scrollY") > arrived + 500


def test_pause_goes_on_from_there(recorded: Page, site_url: str, play: Play) -> None:
    at_speed(recorded, 2)
    recorded.goto(site_url + EXERCISE)
    play(recorded)
    until_the_long_note(recorded, 2)
    recorded.keyboard.press("Space")  # the button has the focus
    expect(recorded.locator(".hb-play")).to_have_text("Go on")
    count = len(started(recorded))
    recorded.wait_for_timeout(500)
    assert len(started(recorded)) == count
    assert recorded.locator(".hb-sounding").count() > 0  # it stays to be seen where it stands
    recorded.keyboard.press("Space")
    recorded.wait_for_timeout(100)
    after = started(recorded)[count:]
    assert after and not any(one["click"] for one in after)  # no second count-in
    assert max(one["offset"] for one in after) > 0.1  # a note is taken up in its middle


def test_a_second_tap_while_the_sound_loads_does_no_harm(recorded: Page, site_url: str) -> None:
    at_speed(recorded, 2)
    recorded.goto(site_url + EXERCISE)
    recorded.locator(".hb-play").dblclick()
    expect(recorded.locator(".hb-play")).to_have_text("Pause")
    recorded.wait_for_timeout(2600)  # into the count-in
    assert recorded.evaluate("window.contexts.length") == 1
    clicks = [one["when"] for one in started(recorded) if one["click"]]
    apart = [later - one for one, later in pairwise(sorted(clicks))]
    assert len(clicks) > 1 and min(apart) > 0.25  # the count-in is heard once


def test_a_second_tap_on_what_is_loaded_does_no_harm(
    recorded: Page, site_url: str, play: Play
) -> None:
    recorded.goto(site_url + EXERCISE)
    play(recorded)
    recorded.locator(".hb-stop").click()
    expect(recorded.locator(".hb-play")).to_have_text("Play")
    recorded.locator(".hb-play").dblclick()
    recorded.wait_for_timeout(200)
    expect(recorded.locator(".hb-play")).to_have_text("Pause")
    recorded.wait_for_timeout(400)
    recorded.locator(".hb-play").click()  # a tap that is meant
    expect(recorded.locator(".hb-play")).to_have_text("Go on")


def test_a_hidden_tab_is_filled_further_ahead(recorded: Page, site_url: str, play: Play) -> None:
    recorded.goto(site_url + EXERCISE)
    play(recorded)
    recorded.wait_for_timeout(300)
    recorded.evaluate(
        """Object.defineProperty(document, 'hidden', {get: () => true});
        document.dispatchEvent(new Event('visibilitychange'));"""
    )
    ahead = recorded.evaluate(
        "Math.max(...window.started.map(s => s.when)) - window.contexts[0].currentTime"
    )
    assert 2 < ahead < 3.1


def test_an_interruption_is_a_pause_with_a_word(recorded: Page, site_url: str, play: Play) -> None:
    recorded.goto(site_url + EXERCISE)
    play(recorded)
    recorded.wait_for_timeout(300)
    recorded.evaluate("window.contexts[0].suspend()")
    expect(recorded.locator(".hb-player-status")).to_contain_text(
        "something else took over the sound"
    )
    expect(recorded.locator(".hb-play")).to_have_text("Go on")
    play(recorded)
    assert recorded.evaluate("window.contexts[0].state") == "running"


def test_one_page_sounds_at_a_time(phone: Page, site_url: str, play: Play) -> None:
    one, other = phone, phone.context.new_page()
    for page in (one, other):
        page.goto(site_url + EXERCISE)
    play(one)
    play(other)
    expect(one.locator(".hb-player-status")).to_have_text("Paused: another page started playing.")
    expect(one.locator(".hb-play")).to_have_text("Go on")
    expect(other.locator(".hb-play")).to_have_text("Pause")
    one.locator(".hb-player-options > summary").click()
    one.locator(".hb-hold").click()
    expect(other.locator(".hb-play")).to_have_text("Go on")
    other.locator(".hb-give-pitch").click()
    expect(one.locator(".hb-hold")).to_have_text("Hold this chord")


def test_the_pitch_is_given(recorded: Page, site_url: str) -> None:
    recorded.goto(site_url + EXERCISE + "?key=Eb4")
    recorded.locator(".hb-give-pitch").click()
    recorded.wait_for_function("window.started.length === 1")
    assert recorded.evaluate("window.started[0].rate") == pytest.approx(1)  # E flat 4 is a tone
    recorded.locator(".hb-player-options > summary").click()
    recorded.locator('[data-voice="bass"]').get_by_text("starting note").click()
    recorded.wait_for_function("window.started.length === 2")
    assert recorded.evaluate("window.started[1].rate") == pytest.approx(1)


def test_a_chord_is_held_and_tuned(phone: Page, site_url: str) -> None:
    """The second chord of "Ropes fast", in cents: what its page tells of every note."""
    phone.goto(site_url + "exercises/ropes-fast/")
    phone.locator(".hb-player-options > summary").click()
    phone.locator(".hb-hold").click()
    says = phone.locator(".hb-reference-status")
    expect(says).to_contain_text("D3 0")
    phone.locator('[data-chord="1"]').click()
    equal = says.inner_text()
    assert not re.search(r"[+−]", equal)
    phone.get_by_label("just, so that").check()
    assert re.search(r"[+−]\d", says.inner_text())
    assert phone.locator(".hb-narrow .hb-sounding").count() >= 4
    phone.locator(".hb-hold").click()
    expect(says).to_be_empty()
    expect(phone.locator(".hb-sounding")).to_have_count(0)


def test_a_browser_that_is_slow_to_sound_is_waited_for(phone: Page, site_url: str) -> None:
    """Firefox takes up to 1.7 seconds to open a device that was in use before."""
    phone.add_init_script(
        """let slow = true;
        const state = Object.getOwnPropertyDescriptor(BaseAudioContext.prototype, 'state').get;
        Object.defineProperty(BaseAudioContext.prototype, 'state', {
            get() { return slow ? 'suspended' : state.call(this); }});
        const resume = AudioContext.prototype.resume;
        AudioContext.prototype.resume = async function() {
            await new Promise(done => setTimeout(done, 2000));
            slow = false;
            return resume.call(this);
        };"""
    )
    phone.goto(site_url + EXERCISE)
    phone.locator(".hb-play").click()
    phone.wait_for_timeout(1000)
    says = phone.locator(".hb-player-status")
    expect(says).to_have_text("Loading the sound …")
    expect(says).to_contain_text("Playing in")


NO_AUDIO = "delete window.AudioContext;"
BLOCKED = """Object.defineProperty(BaseAudioContext.prototype, 'state', {get: () => 'suspended'});
AudioContext.prototype.resume = () => new Promise(() => {});"""


@pytest.mark.parametrize(
    ("script", "word"), [(NO_AUDIO, "lacks Web Audio"), (BLOCKED, "Tap again")]
)
def test_a_browser_without_sound_says_so(
    phone: Page, site_url: str, script: str, word: str
) -> None:
    page = phone
    page.add_init_script(script)
    wrong: list[str] = []
    page.on("pageerror", lambda error: wrong.append(str(error)))
    page.goto(site_url + EXERCISE)
    page.locator(".hb-play").click()
    expect(page.locator(".hb-player-status")).to_contain_text(word)
    expect(page.locator(".hb-play")).to_have_text("Play")
    assert wrong == []


def test_notes_beyond_the_tones_are_told_and_the_rest_is_played(
    recorded: Page, site_url: str, play: Play
) -> None:
    def higher(route: Route) -> None:
        notes = route.fetch().json()
        for note in notes["voices"][0]["notes"]:
            note["semitones"] = [one + 36 for one in note["semitones"]]
        route.fulfill(json=notes)

    serve_altered(recorded, "notes.json", higher)
    recorded.goto(site_url + EXERCISE)
    play(recorded)
    expect(recorded.locator(".hb-player-reach")).to_be_visible()
    recorded.wait_for_timeout(4000)
    rates = [one["rate"] for one in started(recorded) if not one["click"]]
    assert rates and max(rates) <= 2 ** (3 / 12) + 1e-6


def test_where_a_silent_switch_is_likely_it_is_named(
    chromium: Browser, site_url: str, play: Play
) -> None:
    for agent, shown in (("Mozilla/5.0 (iPhone; CPU iPhone OS 17_0)", True), (None, False)):
        page = chromium.new_page(user_agent=agent, service_workers="block")
        page.goto(site_url + EXERCISE)
        play(page)
        expect(page.locator(".hb-player-silence")).to_be_visible(visible=shown)
        page.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_while_it_plays(
    phone: Page, site_url: str, scheme: Any, play: Play
) -> None:
    page = phone
    page.emulate_media(color_scheme=scheme)
    page.goto(site_url + EXERCISE)
    page.locator(".hb-player-options > summary").click()
    page.locator(".hb-player-cents > summary").click()
    play(page)
    expect(page.locator(".hb-cents li").first).to_be_visible()
    found = Axe().run(page, context=".hb-exercise").response["violations"]
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    assert [rule["id"] for rule in found] == []


def test_the_notes_can_be_had_as_a_midi_file(phone: Page, site_url: str) -> None:
    phone.goto(site_url + EXERCISE)
    phone.locator(".hb-player-options > summary").click()
    with phone.expect_download() as download:
        phone.locator(".hb-midi a").click()
    assert download.value.suggested_filename == "up-the-mast.mid"
    assert Path(download.value.path()).read_bytes()[:4] == b"MThd"


def test_controls_are_large_enough_for_a_finger(phone: Page, site_url: str) -> None:
    """WCAG 2.2, success criterion 2.5.5 (AAA): 44 by 44; boxes to tick by their labels."""
    phone.goto(site_url + EXERCISE)
    phone.locator(".hb-player-options > summary").click()
    controls = phone.locator(
        ":is(.hb-player, .hb-mixer) :is(button, select, summary, input[type=range], label)"
    )
    sizes = [box for one in controls.all() if (box := one.bounding_box())]
    assert len(sizes) > 25
    assert min(box["height"] for box in sizes) >= 44


def test_the_sliders_of_all_voices_are_of_one_length(phone: Page, site_url: str) -> None:
    phone.goto(site_url + "exercises/ropes-fast/")
    phone.locator(".hb-player-options > summary").click()
    boxes = [one.bounding_box() for one in phone.locator("[data-voice] input").all()]
    assert len(boxes) == 4
    assert len({(box["x"], box["width"]) for box in boxes if box}) == 1


def test_without_scripts_and_on_paper_there_is_no_player(
    chromium: Browser, phone: Page, site_url: str
) -> None:
    context = chromium.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(site_url + EXERCISE)
    page.locator(".hb-player-options > summary").click()
    expect(page.locator(".hb-player, .hb-mixer").locator("visible=true")).to_have_count(0)
    expect(page.locator(".hb-figure svg[role=img]").first).to_be_visible()
    context.close()
    phone.goto(site_url + EXERCISE)
    expect(phone.locator(".hb-player")).to_be_visible()
    phone.emulate_media(media="print")
    expect(phone.locator(".hb-player")).to_be_hidden()


def test_exercises_without_notes_have_no_player(demo_site: Path) -> None:
    pages = list((demo_site / "exercises").glob("*/index.html"))
    with_notes = {p.parent.name for p in (demo_site / "assets/handbook").glob("*/notes.json")}
    for page in pages:
        has = "hb-player" in page.read_text("utf-8").replace("hb-player-", "")
        assert has == (page.parent.name in with_notes), page
