"""A singer's own range: set, shown, kept, cleared; on exercises and on lists; by keyboard, for
screen readers, and where the browser keeps nothing."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, Route, expect

from checked import Checked
from chorus_handbook.voices.rule import Compass, holds_beyond_comfort, other_octave, state

EXERCISE = "exercises/up-the-mast/"
SHAPES = {"comfortable": "●", "edge": "○", "out": "×"}
BLOCKED = """Object.defineProperty(window, 'localStorage', {
    get() { throw new DOMException('blocked', 'SecurityError'); } });"""
FULL = (
    "Storage.prototype.setItem = () => { throw new DOMException('full', 'QuotaExceededError'); };"
)


@pytest.fixture(params=[BLOCKED, FULL], ids=["blocked", "full"])
def unkept(request: pytest.FixtureRequest, phone: Page) -> Page:
    phone.add_init_script(request.param)
    return phone


def unfold(page: Page) -> None:
    """Opens what holds the form on the page of an exercise."""
    page.evaluate("document.querySelectorAll('.hb-fold:has(.hb-own)').forEach(d => d.open = true)")


def choose(
    page: Page, *, voice: str = "", lowest: int | None = None, highest: int | None = None
) -> None:
    """Sets what is given, in the order of the form."""
    unfold(page)
    if page.locator(".hb-own details[open]").count() == 0:
        page.locator(".hb-own summary").click()
    if voice:
        page.select_option(".hb-own select[name=voice]", voice)
    for name, note in (("lowest", lowest), ("highest", highest)):
        if note is not None:
            page.select_option(f".hb-own select[name={name}]", str(note))


def stored(page: Page) -> list[str]:
    found: list[str] = page.evaluate("Object.values({...localStorage})")
    return [text for text in found if "lowest" in text]


def cells(page: Page, row: str) -> list[str]:
    """The cells of a row as they stand in the page, marks of the current key and all."""
    found: list[str] = page.eval_on_selector_all(
        f".hb-ladder tbody {row} td", "cells => cells.map(cell => cell.outerHTML)"
    )
    return found


def test_with_a_voice_alone_the_row_is_that_voices_own(phone: Page, site_url: str) -> None:
    phone.goto(site_url + EXERCISE)
    expect(phone.locator(".hb-you")).to_have_count(0)
    for place, voice in enumerate(("soprano", "alto", "tenor", "bass"), start=1):
        choose(phone, voice=voice)
        expect(phone.locator(".hb-you th")).to_have_text(f"You as {voice}")
        assert cells(phone, ".hb-you") == cells(phone, f"tr:nth-child({place})")
    expect(phone.locator(".hb-you-text")).to_have_text("As bass you step out after the key of E.")
    # The same stands in the open, below the score.
    expect(phone.locator(".hb-way + .hb-you-way")).to_have_text(
        "As bass you step out after the key of E."
    )
    expect(phone.locator(".hb-own summary")).to_have_text("Your own range: bass, D2 to E4")


def shown_range_row(
    demo: Checked, slug: str, voice: str, compass: Compass
) -> list[tuple[str, str, str, bool]]:
    """The row "You" of an exercise, by Python's rule: key, state, shape, whether only touched."""
    front = next(entry.front for entry in demo.entries.entries if entry.slug == slug)
    rungs = demo.ladders[slug].rungs
    row = []
    for rung in rungs if voice in rungs[0].voices else ():
        reach = rung.voices[voice].reach
        found = state(reach, compass)
        octave = other_octave(reach, compass) if front.step_out == "octave" else 0
        shape = "↕" if found == "out" and octave else SHAPES[found]
        touched = found == "edge" and not holds_beyond_comfort(reach, compass)
        row.append((str(rung.tonic), found, shape, touched))
    return row


@pytest.mark.parametrize(
    ("voice", "lowest", "highest"),
    [("alto", 56, 74), ("tenor", 47, 67)],
)
def test_with_own_notes_every_state_is_what_python_comes_to(
    desktop: Page, site_url: str, demo: Checked, voice: str, lowest: int, highest: int
) -> None:
    """Limits are the notes, comfortable is two semitones inside (common practice). On as many
    exercises as show every kind of row that the demo has; that the rule itself comes to the same
    for all of them is tested without a page, in `test_ladder_rule.py`."""
    compass = Compass(lowest + 2, highest - 2, lowest, highest, lowest, highest)
    rows = {
        slug: shown_range_row(demo, slug, voice, compass)
        for slug, ladder in demo.ladders.items()
        if ladder.rungs
    }
    looked_at: dict[frozenset[tuple[str, str, bool]], str] = {}
    for slug, row in rows.items():
        looked_at.setdefault(frozenset(cell[1:] for cell in row), slug)
    assert {kind[0] for kinds in looked_at for kind in kinds} == set(SHAPES)
    page = desktop
    page.goto(site_url + EXERCISE)
    choose(page, voice=voice, lowest=lowest, highest=highest)
    for slug in looked_at.values():
        page.goto(f"{site_url}exercises/{slug}/", wait_until="domcontentloaded")
        expect(page.locator(".hb-you-text")).to_have_count(1)
        shown = page.eval_on_selector_all(
            ".hb-you td",
            """cells => cells.map(cell => [cell.dataset.column,
                cell.className.replace('hb-current', '').trim().replace('hb-', ''),
                cell.firstChild.textContent, cell.lastChild.textContent.endsWith('touched')])""",
        )
        assert [tuple(cell) for cell in shown] == rows[slug], slug


def test_notes_without_a_voice_are_sung_as_the_nearest(phone: Page, site_url: str) -> None:
    phone.goto(site_url + EXERCISE)
    choose(phone, lowest=46)
    expect(phone.locator(".hb-own-status")).to_contain_text("Set the highest note too, or choose")
    assert stored(phone) == []
    choose(phone, highest=67)
    expect(phone.locator(".hb-you th")).to_have_text("You as tenor")
    expect(phone.locator(".hb-you-text")).to_contain_text("voice nearest to your range is tenor")


def test_the_row_follows_the_key(phone: Page, site_url: str) -> None:
    phone.goto(site_url + EXERCISE + "?key=D4")
    choose(phone, voice="alto")
    expect(phone.locator(".hb-you td.hb-current")).to_have_attribute("data-column", "D4")
    phone.locator("[name=key]").select_option(index=4)
    expect(phone.locator(".hb-you td.hb-current")).to_have_attribute("data-column", "E4")


def test_a_voice_that_does_not_sing_is_told_so(phone: Page, site_url: str) -> None:
    def without_bass(route: Route) -> None:
        whole = route.fetch().text()
        assert '"bass":{"lowest"' in whole
        route.fulfill(body=whole.replace('"bass":{"lowest"', '"other":{"lowest"'))

    phone.route(f"**/{EXERCISE}", without_bass)
    phone.goto(site_url + EXERCISE)
    choose(phone, voice="bass")
    expect(phone.locator(".hb-you-text")).to_have_text("As bass you do not sing in this exercise.")
    expect(phone.locator(".hb-you")).to_have_count(0)


def test_it_lasts_over_pages_and_one_tap_clears_it(phone: Page, site_url: str) -> None:
    phone.goto(site_url + EXERCISE)
    expect(phone.locator(".hb-own-clear")).to_be_hidden()
    choose(phone, voice="alto", highest=71)
    expect(phone.locator(".hb-own-status")).to_have_text("Stored in this browser and nowhere else.")
    assert json.loads(stored(phone)[0]) == {
        "version": 1,
        "voice": "alto",
        "lowest": None,
        "highest": 71,
        "only_fitting": False,
    }
    phone.goto(site_url + "exercises/slipway/")
    expect(phone.locator(".hb-you th")).to_have_text("You as alto")
    unfold(phone)
    expect(phone.locator(".hb-own details")).not_to_have_attribute("open", "")
    phone.locator(".hb-own-clear").click()
    expect(phone.locator(".hb-you")).to_have_count(0)
    expect(phone.locator(".hb-you-text")).to_have_count(0)
    expect(phone.locator(".hb-own-clear")).to_be_hidden()
    expect(phone.locator(".hb-own summary")).to_be_focused()
    assert stored(phone) == []
    phone.goto(site_url + EXERCISE)
    expect(phone.locator(".hb-own")).not_to_have_attribute("hidden", "")
    expect(phone.locator(".hb-you")).to_have_count(0)


def test_what_was_set_meanwhile_is_shown(phone: Page, site_url: str) -> None:
    """In another tab, or on a page from which a singer comes back to one that the browser had put
    aside as it was."""
    phone.goto(site_url + EXERCISE)
    other = phone.context.new_page()
    other.goto(site_url + EXERCISE)
    choose(other, voice="alto")
    expect(phone.locator(".hb-you th")).to_have_text("You as alto")
    phone.evaluate(
        """() => {
            const [name, text] = Object.entries(localStorage).find(([, t]) => t.includes('alto'));
            localStorage.setItem(name, text.replace('alto', 'bass'));
            dispatchEvent(new PageTransitionEvent('pageshow', {persisted: true}));
        }"""
    )
    expect(phone.locator(".hb-you th")).to_have_text("You as bass")


def test_where_nothing_can_be_kept_it_holds_for_the_page(unkept: Page, site_url: str) -> None:
    unkept.goto(site_url + EXERCISE)
    choose(unkept, voice="alto")
    expect(unkept.locator(".hb-you th")).to_have_text("You as alto")
    expect(unkept.locator(".hb-own-status")).to_contain_text("to this page only")
    unkept.locator(".hb-own-clear").click()
    expect(unkept.locator(".hb-you")).to_have_count(0)
    choose(unkept, voice="bass")
    unkept.goto(site_url + "exercises/")
    expect(unkept.locator(".hb-own")).not_to_have_attribute("hidden", "")
    expect(unkept.locator(".hb-fitting")).to_be_hidden()


GOOD: dict[str, Any] = {"version": 1, "voice": "alto", "lowest": None, "highest": None}


#: No stored range at all.
RUBBISH = (
    "{",
    "null",
    "[]",
    '"alto"',
    json.dumps({**GOOD, "version": 2}),
    json.dumps({**GOOD, "voice": 7}),
    json.dumps({**GOOD, "lowest": "60"}),
    json.dumps({**GOOD, "lowest": 60.5}),
    json.dumps({**GOOD, "highest": 1e9}),
    json.dumps({"version": 1}),
)
#: The form of a stored range, which means nothing on this page.
MEANINGLESS = (
    json.dumps({**GOOD, "voice": "__proto__"}),
    json.dumps({**GOOD, "voice": "castrato"}),
    json.dumps({**GOOD, "lowest": 70, "highest": 60}),
)


def test_rubbish_is_no_stored_range(evaluate: Callable[[str, str, object], Any]) -> None:
    read = """({ storedRange }, texts) => texts.map(text => {
        globalThis.localStorage = { getItem: () => text };
        return storedRange('/').read();
    })"""
    nothing, good = [None] * len(RUBBISH), {**GOOD, "only_fitting": False}
    del good["version"]
    assert evaluate("stored_choices.js", read, [*RUBBISH, json.dumps(GOOD)]) == [*nothing, good]


def test_keys_at_home_are_kept_for_exercises_of_any_name(
    evaluate: Callable[[str, str, object], Any],
) -> None:
    read = """({ storedKeys }, keys) => {
        const entries = {};
        globalThis.localStorage = {
            getItem: name => entries[name] ?? null, setItem: (name, text) => entries[name] = text };
        storedKeys('/').save({ keys });
        const found = storedKeys('/').read();
        const rubbish = { version: 1, keys: [7, ["a", "D4"], ["b", 7]] };
        entries["chorus-handbook keys-at-home /"] = JSON.stringify(rubbish);
        return [found, storedKeys('/').read()];
    }"""
    keys = [["version", "D4"], ["constructor", "E4"], ["keys", "F4"]]
    found = evaluate("stored_choices.js", read, keys)
    assert found == [{"keys": keys}, {"keys": [["a", "D4"]]}]


def test_what_means_nothing_in_storage_is_as_if_nothing_were_set(
    phone: Page, site_url: str
) -> None:
    wrong: list[str] = []
    phone.on("pageerror", lambda error: wrong.append(str(error)))
    phone.on(
        "console",
        lambda m: (
            wrong.append(m.text)
            if m.type in ("error", "warning") and "Service Worker" not in m.text  # is switched off
            else None
        ),
    )
    phone.goto(site_url + EXERCISE)
    phone.evaluate(
        "text => localStorage.setItem('chorus-handbook own-range /', text)", json.dumps(GOOD)
    )
    phone.reload()
    expect(phone.locator(".hb-you")).to_have_count(1)  # the place is the right one
    for text in (RUBBISH[0], *MEANINGLESS):
        phone.evaluate("text => localStorage.setItem('chorus-handbook own-range /', text)", text)
        phone.reload()
        expect(phone.locator(".hb-own")).not_to_have_attribute("hidden", "")
        choose(phone)
        expect(phone.locator(".hb-you")).to_have_count(0)
        choose(phone, voice="bass")
        expect(phone.locator(".hb-you th")).to_have_text("You as bass")
        assert wrong == [], text


@pytest.mark.parametrize(("lowest", "highest"), [(72, 60), (60, 60), (90, None), (None, 40)])
def test_a_range_that_cannot_be_is_told_and_not_kept(
    phone: Page, site_url: str, lowest: int | None, highest: int | None
) -> None:
    phone.goto(site_url + EXERCISE)
    choose(phone, voice="alto")
    expect(phone.locator(".hb-own-status")).to_contain_text("Stored")
    before = stored(phone)
    if lowest is not None and highest is not None:
        choose(phone, lowest=lowest)  # still possible with the alto's highest note
        before = stored(phone)
        choose(phone, highest=highest)
    else:
        choose(phone, lowest=lowest, highest=highest)
    expect(phone.locator(".hb-own-status")).to_contain_text("must lie below the highest")
    assert len(before) == 1 and stored(phone) == before


def test_two_taps_move_a_note(phone: Page, site_url: str) -> None:
    phone.goto(site_url + EXERCISE)
    choose(phone, voice="alto")
    phone.get_by_role("button", name="lower highest note").click()
    phone.get_by_role("button", name="lower highest note").click()
    phone.get_by_role("button", name="higher lowest note").click()
    expect(phone.locator(".hb-own summary")).to_have_text("Your own range: alto, F3 to D5")


def test_everything_works_by_keyboard(desktop: Page, site_url: str) -> None:
    desktop.goto(site_url + EXERCISE)
    unfold(desktop)
    desktop.locator(".hb-own summary").focus()
    desktop.keyboard.press("Enter")
    desktop.keyboard.press("Tab")
    desktop.keyboard.type("Alto")  # a native list: letters choose
    expect(desktop.locator(".hb-you th")).to_have_text("You as alto")
    for _ in range(3):
        desktop.keyboard.press("Tab")
    desktop.keyboard.press("Enter")  # lowest note, higher
    expect(desktop.locator(".hb-own summary")).to_have_text("Your own range: alto, F3 to E5")
    for _ in range(5):
        desktop.keyboard.press("Tab")
    expect(desktop.locator(".hb-own-clear")).to_be_focused()
    desktop.keyboard.press("Space")
    expect(desktop.locator(".hb-you")).to_have_count(0)
    expect(desktop.locator(".hb-own summary")).to_be_focused()


@pytest.mark.parametrize(
    ("path", "scheme"),
    [
        (EXERCISE, "light"),
        (EXERCISE, "dark"),
        ("exercises/", "light"),
        ("views/low-impact-openers/", "dark"),
    ],
)
def test_it_is_accessible_and_fits_a_phone(
    phone: Page, site_url: str, scheme: Any, path: str
) -> None:
    """axe-core; targets of 24 px at least, WCAG 2.2, 2.5.8."""
    page = phone
    page.emulate_media(color_scheme=scheme, reduced_motion="reduce")
    page.goto(site_url + path)
    choose(page, voice="alto", lowest=56, highest=74)
    page.wait_for_selector(".hb-you, .hb-fitting:not([hidden])")
    results = Axe().run(page, context=".hb-own, .hb-ladder, .hb-list")
    assert results.violations_count == 0, results.generate_report()
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    wide = page.eval_on_selector_all(
        ".hb-own *, .hb-ladder *",
        "all => all.filter(e => e.getBoundingClientRect().right > innerWidth"
        " && !e.closest('.hb-unseen')).map(e => e.outerHTML)",
    )
    assert wide == []
    for target in page.locator(
        ".hb-own :is(summary, select, button, label:has(input)):visible"
    ).all():
        box = target.bounding_box()
        assert box and box["height"] >= 44 and box["width"] >= 44, target.inner_text()


def test_lists_show_only_what_fits(phone: Page, site_url: str, demo: Checked) -> None:
    """Out in the first key: recomputed from Python's ladders."""
    asked: list[str] = []
    phone.on("request", lambda request: asked.append(request.url))
    phone.goto(site_url + "exercises/")
    phone.wait_for_load_state("networkidle")
    assert not any(url.endswith("handbook/index.json") for url in asked)  # only once it is needed
    choose(phone, voice="alto", lowest=58, highest=71)
    compass = Compass(60, 69, 58, 71, 58, 71)
    fronts = {entry.slug: entry.front for entry in demo.entries.entries}
    fitting = set(fronts)
    for slug, ladder in demo.ladders.items():
        step = ladder.rungs[0].voices.get("alto") if ladder.rungs else None
        if step and state(step.reach, compass) == "out":
            moves = fronts[slug].step_out == "octave" and other_octave(step.reach, compass)
            fitting -= set() if moves else {slug}
    assert 5 < len(fitting) < len(fronts) - 3
    toggle = phone.get_by_label("Only what fits my range")
    expect(toggle).to_be_visible()
    expect(toggle).not_to_be_checked()
    assert phone.locator(".hb-list tbody tr:visible").count() == len(fronts)
    expect(phone.locator(".hb-fitting")).to_contain_text(f"{len(fitting)} of {len(fronts)} fit.")
    toggle.check()
    shown = phone.eval_on_selector_all(
        ".hb-list tbody tr", "all => all.filter(e => e.checkVisibility()).map(e => e.dataset.slug)"
    )
    assert set(shown) == fitting
    phone.goto(site_url + "views/low-impact-openers/")
    expect(phone.get_by_label("Only what fits my range")).to_be_checked()
    phone.locator(".hb-own-clear").click()
    expect(phone.locator(".hb-fitting")).to_be_hidden()
    assert phone.locator(".hb-list tbody tr[hidden], .hb-fits").count() == 0


def test_no_letter_stands_over_nothing(desktop: Page, site_url: str, demo: Checked) -> None:
    """Neither in the page nor in its contents. Only what has no notation fits so low a range."""
    desktop.goto(site_url + "exercises/")
    every = desktop.locator("article h2:visible").count()
    choose(desktop, voice="alto", lowest=30, highest=33)
    desktop.get_by_label("Only what fits my range").check()
    left = sorted(
        {
            entry.front.title[0]
            for entry in demo.entries.entries
            if entry.slug not in demo.ladders or not demo.ladders[entry.slug].rungs
        }
    )
    assert 3 < len(left) < every
    headings = desktop.locator("article h2:visible")
    assert [text[0] for text in headings.all_inner_texts()] == left
    contents = desktop.locator(".md-sidebar--secondary .md-nav__item:visible")
    assert [text.strip() for text in contents.all_inner_texts()] == left
    desktop.locator(".hb-own-clear").click()
    expect(headings).to_have_count(every)
    expect(contents).to_have_count(every)


def test_a_line_says_how_far(phone: Page, site_url: str, demo: Checked) -> None:
    phone.goto(site_url + "exercises/")
    choose(phone, voice="alto")
    expect(phone.locator(".hb-fits").first).to_be_visible()
    lines = phone.eval_on_selector_all(
        ".hb-list tbody tr",
        "all => all.map(e => [e.dataset.slug, e.querySelector('.hb-fits')?.innerText ?? ''])",
    )
    kinds = set()
    for slug, note in lines:
        ladder = demo.ladders.get(slug)
        if not ladder or not ladder.rungs:
            assert note == "", slug
        elif "alto" not in ladder.rungs[0].voices:
            assert note == "You: nothing to sing", slug
        elif (place := ladder.steps_out("alto")) is None:
            assert note == ("You: every key" if len(ladder.rungs) > 1 else ""), slug
        else:
            last = str(ladder.rungs[place - 1].tonic.letter).replace("b", "♭").replace("#", "♯")
            assert note == f"You: as far as the key of {last}", slug
        kinds.add(note[:9])
    assert len(kinds) >= 3


def test_an_empty_list_says_what_to_do_next(phone: Page, site_url: str) -> None:
    phone.goto(site_url + "views/harmony-builders/")
    choose(phone, voice="alto", lowest=30, highest=33)
    phone.get_by_label("Only what fits my range").check()
    expect(phone.locator(".hb-list tbody tr:visible")).to_have_count(0)
    expect(phone.locator(".hb-fitting")).to_contain_text("0 of ")
    phone.get_by_role("button", name="Show the whole list").click()
    expect(phone.get_by_label("Only what fits my range")).not_to_be_checked()
    expect(phone.get_by_label("Only what fits my range")).to_be_focused()
    assert phone.locator(".hb-list tbody tr:visible").count() > 0


def test_a_list_that_cannot_load_its_ranges_says_so(phone: Page, site_url: str) -> None:
    phone.route("**/index.json", lambda route: route.abort())
    phone.goto(site_url + "exercises/")
    choose(phone, voice="alto")
    expect(phone.locator(".hb-own-status")).to_contain_text("Try again when you are online")
    phone.unroute("**/index.json")
    choose(phone, voice="bass")
    expect(phone.locator(".hb-fitting")).to_be_visible()


def test_on_paper_there_is_no_form_and_lists_say_what_fits_whom(phone: Page, site_url: str) -> None:
    phone.goto(site_url + EXERCISE)
    choose(phone, voice="alto")
    phone.emulate_media(media="print")
    expect(phone.locator(".hb-own > *:visible")).to_have_count(0)
    expect(phone.locator(".hb-you")).to_be_hidden()  # no chart is printed
    phone.set_viewport_size({"width": 688, "height": 1000})  # A4 between its margins
    phone.goto(site_url + "exercises/")
    expect(phone.locator(".hb-fits").first).to_be_visible()
    expect(phone.locator(".hb-fitting > *:visible")).to_have_count(0)
    phone.emulate_media(media="screen")
    phone.get_by_label("Only what fits my range").check()
    phone.emulate_media(media="print")
    expect(phone.locator(".hb-fitting > *:visible")).to_have_text("Only what fits alto, E3 to E5.")


def test_without_scripts_there_is_no_dead_form(chromium: Browser, site_url: str) -> None:
    context = chromium.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(site_url + EXERCISE)
    expect(page.locator(".hb-own")).to_be_hidden()
    context.close()


TONES = """window.tones = []; const start = OscillatorNode.prototype.start;
OscillatorNode.prototype.start = function(...given) {
    window.tones.push(Math.round(69 + 12 * Math.log2(this.frequency.value / 440)));
    return start.apply(this, given);
};"""


def test_notes_sound_as_they_are_chosen_and_can_be_found_by_singing(
    phone: Page, site_url: str
) -> None:
    """MIDI numbers from the frequencies, with A4 = 440 Hz as 69 (MIDI 1.0, common practice)."""
    phone.add_init_script(TONES)
    phone.goto(site_url + EXERCISE)
    choose(phone, voice="alto", lowest=56)
    phone.wait_for_function("window.tones.length === 1")
    assert phone.evaluate("window.tones") == [56]
    phone.locator(".hb-find").click()
    finder = phone.locator(".hb-finder")
    expect(finder.get_by_role("status")).to_contain_text("lowest comfortable note")
    for answer in ("comfortable", "comfortable", "not comfortable", "comfortable"):
        finder.get_by_text(answer, exact=True).click()
    expect(finder.get_by_role("status")).to_contain_text("highest comfortable note")
    for answer in ("comfortable", "not comfortable", "not comfortable"):
        finder.get_by_text(answer, exact=True).click()
    # Comfortable down to three semitones below the first note, and not above it.
    lowest, highest = (
        int(phone.locator(f".hb-own select[name={name}]").input_value())
        for name in ("lowest", "highest")
    )
    expect(finder.get_by_role("status")).to_contain_text("Found")
    assert highest - lowest == 3
    expect(phone.locator(".hb-own-status")).to_contain_text("Stored")
    found = Axe().run(phone, context=".hb-own").response["violations"]
    assert [rule["id"] for rule in found] == []
