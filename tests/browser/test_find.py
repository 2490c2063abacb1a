"""The page "Find an exercise" on a phone, as somebody uses it. What it finds is held against Python
in `test_narrowing.py`."""

from __future__ import annotations

from playwright.sync_api import Page, expect

from chorus_handbook.shared_facts import FACTS

BASS = f"""() => localStorage.setItem("{FACTS["stored"]["own_range"]} /", JSON.stringify(
    {{version: 1, voice: "bass", lowest: null, highest: null, only_fitting: false}}))"""
#: The storage of a browser that keeps nothing: reading and writing raise.
BLOCKED = """() => Object.defineProperty(window, "localStorage",
    {get() { throw new DOMException("blocked", "SecurityError"); }})"""


def test_a_quiet_opener_for_breath_in_three_taps(phone: Page, site_url: str) -> None:
    errors: list[str] = []
    phone.on("pageerror", lambda error: errors.append(str(error)))
    phone.goto(site_url + "find/")
    count = phone.locator(".hb-find-count")
    expect(count).to_have_text("82 exercises")
    legends = phone.locator("fieldset[data-field] > legend")
    assert legends.count() == phone.locator("fieldset[data-field]").count() >= 12

    for label in ("Breath flow", "early", "2 gentle"):
        phone.locator(".hb-choice", has_text=label).first.click()
    first = phone.locator(".hb-list-found tbody tr").first
    expect(first).to_contain_text("Impact: 2 gentle")
    expect(first).to_contain_text("Breath flow")
    found = phone.locator(".hb-list-found tbody tr").count()
    expect(count).to_have_text(f"{found} of 82 exercises")
    assert count.get_attribute("role") == "status"
    box = count.bounding_box()
    assert box and 0 < box["y"] < 844  # in view above the form
    assert phone.url.endswith("find/?goals=breath-flow&moment=opening&impact=2")
    expect(phone.locator(".hb-find-more")).not_to_have_attribute("open", "")
    # the count beside a choice is what it would find
    light = phone.locator(".hb-choice", has_text="3 light singing")
    more = int(light.locator(".hb-count").inner_text())
    light.click()
    expect(count).to_have_text(f"{found + more} of 82 exercises")
    light.click()

    # a link to one of them, and back: the address has kept what was asked
    phone.locator(".hb-find-open").click()
    first.locator("a").click()
    phone.wait_for_url("**/exercises/*/")
    phone.go_back()
    expect(count).to_have_text(f"{found} of 82 exercises")
    expect(phone.locator("#hb-facets")).to_be_hidden()

    # nothing: what to leave out, with what there is then
    phone.locator(".hb-find-open").click()
    phone.locator("[data-field=minutes] .hb-choice", has_text="up to 1").first.click()
    expect(count).to_have_text("0 of 82 exercises")
    for empty in (".hb-lists", ".hb-find-lines"):  # no table head, no list of nothing
        expect(phone.locator(empty)).to_be_hidden()
    way = phone.locator(".hb-find-none button", has_text="Minutes")
    expect(way).to_contain_text(f"{found} exercises")
    way.click()
    expect(count).to_have_text(f"{found} of 82 exercises")
    expect(count).to_be_focused()

    # targets, and nothing wider than the phone
    for name in (".hb-choice", ".hb-find-open", ".hb-asked button", "select[name=order]"):
        for one in phone.locator(name).all():
            box = one.bounding_box()
            assert not box or box["height"] >= 44, name
    assert phone.evaluate("document.documentElement.scrollWidth") == 390
    lines = phone.locator(".hb-find-lines pre code").text_content() or ""
    assert "    goals: breath-flow\n    impact: 2\n    moment: opening\n" in lines
    assert errors == []


def test_four_parts_for_tuning_in_three_minutes_in_three_choices(
    phone: Page, site_url: str
) -> None:
    phone.goto(site_url + "find/")
    for label in ("Tuning", "4 parts", "up to 3"):
        phone.locator(".hb-choice:visible", has_text=label).first.locator("input").press("Enter")
    assert phone.url.endswith("find/?goals=tuning&parts=4&minutes=at+most+3")
    tuned = phone.locator(".hb-list-found tbody tr").count()
    count = phone.locator(".hb-find-count")
    expect(count).to_have_text(f"{tuned} of 82 exercises")
    first = phone.locator(".hb-list-found tbody tr").first  # with the notes that its page gives
    starts = first.locator(".hb-list-starts").inner_text()
    page = phone.request.get(f"{site_url}exercises/{first.get_attribute('data-slug')}/").text()
    assert "Soprano" in starts and f"{starts}." in page
    own = phone.locator("[data-field=minutes] .hb-choice:has(:checked) .hb-count")
    expect(own).to_have_text(str(tuned))
    phone.locator("[data-field=minutes] .hb-choice", has_text="any").click()
    assert phone.url.endswith("find/?goals=tuning&parts=4")
    # a bound that is offered only where an address or list asks for it
    fine = phone.locator("[data-field=minutes] .hb-choice", has_text="up to 2½")
    expect(fine).to_be_hidden()
    phone.goto(site_url + "find/?minutes=at+most+2.5")
    phone.locator(".hb-find-open").click()
    expect(fine).to_be_visible()


def test_an_address_that_is_not_known_and_the_readers_own_range(phone: Page, site_url: str) -> None:
    phone.goto(site_url + "find/?goals=tuning,%3Cimg%20src%3Dx%3E&impact=9&fits=yes&parts=4")
    dropped = phone.locator(".hb-find-dropped")
    expect(dropped).to_be_in_viewport()
    expect(dropped).to_contain_text("“goals: <img src=x>”, “impact: 9”")
    expect(dropped).to_contain_text("no range is set in this browser")
    assert phone.locator(".hb-find-dropped img").count() == 0
    expect(phone.locator(".hb-asked li")).to_have_text(["Tuning ×", "4 parts ×", "Start again"])
    all_found = phone.locator(".hb-list-found tbody tr").count()
    phone.evaluate(BASS)
    phone.goto(site_url + "find/?goals=tuning&parts=4&fits=yes&rotation=new,resting")
    expect(dropped).to_be_hidden()
    expect(phone.locator(".hb-asked li")).to_have_count(6)
    assert 0 < phone.locator(".hb-list-found tbody tr").count() <= all_found
    assert "fits" not in (phone.locator(".hb-find-lines pre code").text_content() or "")
    expect(phone.locator(".hb-find-lines-left")).not_to_have_attribute("hidden", "")
    # without the exercises: a plain line, and the lists
    phone.route("**/index.json", lambda route: route.abort())
    phone.goto(site_url + "find/?goals=blend")
    expect(phone.locator(".hb-find-count")).to_contain_text("could not be loaded")
    expect(phone.locator(".hb-find-lists a").first).to_be_visible()
    phone.unroute("**/index.json")


def test_a_browser_that_stores_nothing_finds_all_the_same(desktop: Page, site_url: str) -> None:
    desktop.add_init_script(f"({BLOCKED})()")
    desktop.goto(site_url + "goals/breath-flow/")
    desktop.locator(".hb-narrow-link a").click()
    expect(desktop.locator(".hb-find-count")).to_contain_text("of 82 exercises")
    assert desktop.url.endswith("find/?goals=breath-flow")
    # beside the list there is always room for the form
    expect(desktop.locator("#hb-facets")).to_be_visible()
    desktop.keyboard.press("Tab")
    desktop.locator("input[name=moment]").first.focus()
    desktop.keyboard.press("Space")
    expect(desktop.locator(".hb-asked li").first).to_have_text("Breath flow ×")
    assert "moment=opening" in desktop.url


def test_back_leads_to_the_same_place_and_undoes_start_again(phone: Page, site_url: str) -> None:
    phone.goto(site_url + "find/?goals=tuning,blend&order=title")
    rows = phone.locator(".hb-list-found tbody tr")
    expect(phone.locator(".hb-find-count")).to_contain_text("of 82")
    phone.locator(".hb-find-open").click()
    phone.locator(".hb-find-more > summary").click()
    rows.nth(12).scroll_into_view_if_needed()
    top = phone.evaluate("scrollY")
    assert top > 1000
    rows.nth(12).locator("a").first.evaluate("link => link.click()")
    phone.wait_for_url("**/exercises/*/")
    phone.go_back()
    expect(phone.locator("#hb-facets")).to_be_visible()
    expect(phone.locator(".hb-find-more")).to_have_attribute("open", "")
    phone.wait_for_function("top => Math.abs(scrollY - top) < 100", arg=top)

    # two goals widen, and say so; a second group narrows
    any_of = phone.locator("[data-field=goals] .hb-facet-any")
    expect(any_of).to_be_visible()
    expect(phone.locator("[data-field=impact] .hb-facet-any")).to_be_hidden()
    phone.locator("[data-field=impact] .hb-choice").nth(1).click()
    expect(phone.locator(".hb-find-groups")).to_contain_text("Goal, Impact")
    asked = phone.url
    phone.locator(".hb-asked button").last.click()
    expect(rows.first).to_be_attached()
    assert phone.url.endswith("find/?")
    expect(phone.locator("select[name=order]")).to_have_value("impact,level")
    phone.go_back()
    expect(phone.locator(".hb-asked li")).to_have_count(4)
    expect(phone.locator("select[name=order]")).to_have_value("title")
    assert phone.url == asked


def test_a_range_that_is_not_set_is_asked_for(phone: Page, site_url: str) -> None:
    phone.goto(site_url + "find/")
    expect(phone.locator(".hb-find-count")).to_have_text("82 exercises")
    assert not phone.locator("[data-field=voices_sing]").count()  # all sing in all of them
    phone.locator(".hb-find-more > summary").click()
    phone.locator("[data-field=fits] .hb-choice input").click()
    expect(phone.locator(".hb-own details")).to_have_attribute("open", "")
    expect(phone.locator(".hb-asked li")).to_have_count(0)
    phone.locator(".hb-own select[name=voice]").select_option("bass")
    expect(phone.locator(".hb-asked li").first).to_contain_text("key that I can sing")
    assert phone.url.endswith("find/?fits=yes")
    phone.evaluate("localStorage.clear()")


def test_titles_of_lists_say_what_is_bounded(phone: Page, site_url: str) -> None:
    phone.goto(site_url + "find/?ambitus_semitones=at+most+7&largest_interval=at+most+7")
    lines = phone.locator(".hb-find-lines pre code")
    expect(lines).to_contain_text(
        'title: "Range of a voice up to a fifth, Largest interval up to a fifth"'
    )


def test_the_search_keeps_the_last_words_of_a_visit(phone: Page, site_url: str) -> None:
    phone.goto(site_url + "voice-care/")
    phone.keyboard.press("Control+k")
    phone.get_by_role("searchbox").fill("out of tune")
    more = phone.locator(".hb-found-all a")
    expect(more).to_contain_text("pages found")
    count = int(more.inner_text().split(" pages")[0].split()[-1])
    assert count > 60  # all that have the words, not only those that are ranked
    phone.goto(site_url + "glossary/")
    phone.keyboard.press("Control+k")
    expect(phone.get_by_role("searchbox")).to_have_value("out of tune")
    expect(phone.locator(".hb-found > li").first).to_contain_text("Tuning")
    phone.evaluate("sessionStorage.clear()")
