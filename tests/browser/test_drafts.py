"""Drafts: their links and files, and a warm-up put together on a phone."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st
from playwright.sync_api import Browser, Page, expect

from checked import Checked
from chorus_handbook.entries.reading import read_written
from chorus_handbook.entries.warm_up import WARM_UP, WarmUpFields
from chorus_handbook.pages.draft_link import begin_with
from chorus_handbook.pages.order_rows import in_short
from chorus_handbook.warmups import check_warm_ups
from chorus_handbook.warmups.texts import plans_in

Evaluate = Callable[[str, str, object], Any]


def fields_of(text: str, name: str) -> dict[str, Any]:
    """The fields of a saved file, as the reader of warm-ups has them."""
    _, read, _, problems = read_written(WARM_UP, text, name, f"handbook/warmups/{name}.md")
    assert read and not problems, (text, problems)
    assert isinstance(read.front, WarmUpFields)
    return read.front.model_dump(exclude_defaults=True)


#: Texts that YAML, HTML or a link might take for something else.
AWKWARD = (
    *(
        "yes",
        "null",
        "1.5",
        "# no",
        "a: b",
        "- x",
        "'",
        '"',
        "\\",
        "~",
        "%",
        "&=+",
        "é\u0301",
        "🎵",
    ),
    *("<b>", "{x}", "[y]", "!z", "*a", "&b", "2026-01-01", "19:30", "ends with :"),
)


def test_saved_files_and_links_say_what_the_draft_says(evaluate: Evaluate) -> None:
    """Through the reader of warm-ups and through a link, every field comes back as it was."""
    texts = st.sampled_from(AWKWARD) | st.text(
        st.characters(exclude_categories=("Cc", "Cf", "Cs", "Co", "Cn", "Z")),
        min_size=1,
        max_size=40,
    )
    item = st.fixed_dictionaries(
        {"exercise": st.sampled_from(["slipway", "quick-ferry"])},
        optional={
            "keys": st.sampled_from(["D4 up to F4", "Eb4 down to C4 and back"]),
            "minutes": st.sampled_from([0.5, 1.25, 3]),
            "variation": texts,
            "note": texts,
            "by": texts,
            "if_time": st.integers(1, 3),
            "keep": st.sampled_from(["opener", "closer"]),
            "at": st.just("20:10"),
        },
    )
    plan = st.fixed_dictionaries(
        {
            "title": texts,
            "date": st.just("2026-12-10"),
            "starts": st.sampled_from(["19:30", "9:05"]),
            "minutes": st.sampled_from([15, 7.5]),
            "items": st.lists(item, min_size=1, max_size=4),
        },
        optional={
            "kind": st.sampled_from(["short", "seated"]),
            "present": st.just(["soprano", "bass"]),
            "few": st.just(["tenor"]),
            "leader": texts,
            "pianist": texts,
            "room": texts,
            "there": st.dictionaries(
                st.sampled_from(["bass", "alto"]),
                st.sampled_from(["from 19:40", "until 9:55", "from 19:40 until 19:55"]),
                min_size=1,
            ),
            "join_in": st.just(1),
            "leads_into": st.fixed_dictionaries(
                {"piece": texts, "first_chord": st.just({"bass": "D3"})}
            ),
        },
    )
    plans: list[dict[str, Any]] = []

    @settings(max_examples=60)
    @given(plan)
    def draw(one: dict[str, Any]) -> None:
        plans.append(one)

    draw()
    link, file = (
        (Path(__file__).parents[2] / "build_tools/chorus_handbook/browser" / name).as_uri()
        for name in ("draft_link.js", "draft_file.js")
    )
    found = evaluate(
        "drafts.js",
        """async ({readPlan}, {plans, link, file}) => {
            const {read, written} = await import(link);
            const {fileName, fileText} = await import(file);
            return plans.map(one => {
                const plan = readPlan(one);
                const text = written(plan);
                return {plan, back: read(text), text: fileText(plan), name: fileName(plan)};
            });
        }""",
        {"plans": plans, "link": link, "file": file},
    )
    assert len(plans) >= 50
    for one, seen in zip(plans, found, strict=True):
        assert seen["back"] == {"plan": seen["plan"], "problems": []}
        assert seen["plan"]["items"] == one["items"]
        assert re.fullmatch(r"2026-12-10-[a-z][a-z0-9-]*\.md", seen["name"])
        assert fields_of(seen["text"], seen["name"].removesuffix(".md")) == seen["plan"]
        texts_in_file = re.findall(
            r"^ *(?:- )?(?:title|exercise|note|by): (.*)$", seen["text"], re.M
        )
        assert all(text.startswith('"') and text.endswith('"') for text in texts_in_file)


def test_a_damaged_link_keeps_what_can_be_read(evaluate: Evaluate) -> None:
    whole = "1~t=Late&d=2026-12-10&s=19:30&m=15&n=2~e=slipway&k=D4+up+to+F4~e=quick-ferry&n=So%2C"
    cases = {
        whole: ([], 2),
        whole[: whole.rindex("~")]: (["incomplete"], 1),
        whole.replace("%2C", "%2"): (["damaged"], 2),
        whole.replace("e=quick-ferry", "e=Quick!"): (["incomplete"], 1),
        whole.replace("1~", "2~", 1): (["newer"], 0),
        "": (["nothing"], 0),
        "1~t=x&n=1~": (["nothing"], 0),
        "x~%%%~<script>": (["nothing"], 0),
    }
    found = evaluate("draft_link.js", "({read}, all) => all.map(read)", [*cases])
    got = {
        text: (one["problems"], len(one["plan"]["items"]))
        for text, one in zip(cases, found, strict=True)
    }
    assert got == cases
    again = evaluate(
        "drafts.js", "({readPlan}, all) => all.map(readPlan)", [None, 3, [], {"items": [{}, 7]}]
    )
    assert all(plan["items"] == [] and plan["minutes"] == 15 for plan in again)


def test_a_cut_link_names_no_half_word(evaluate: Evaluate) -> None:
    cut = "1~t=x&n=2~e=slipway~e=at-the-moo"
    gone = "1~t=x&n=2~e=slipway~e=gone-away"
    link = (
        Path(__file__).parents[2] / "build_tools/chorus_handbook/browser/draft_link.js"
    ).as_uri()
    found = evaluate(
        "draft_received.js",
        """async ({withoutHalfWord}, {all, link}) => {
            const {read} = await import(link);
            const slugs = ["slipway", "at-the-mooring"];
            return all.map(one => withoutHalfWord(read(one), slugs));
        }""",
        {"all": [cut, gone], "link": link},
    )
    got = [([item["exercise"] for item in one["plan"]["items"]], one["problems"]) for one in found]
    assert got == [(["slipway"], ["incomplete"]), (["slipway", "gone-away"], [])]


def test_a_plan_of_the_site_can_be_begun_with(evaluate: Evaluate, demo: Checked) -> None:
    plans = plans_in(demo.texts)
    links = [begin_with(text) for text in plans]
    found = evaluate(
        "draft_link.js", "({read}, all) => all.map(one => read(one.split('#')[1]))", links
    )
    assert len(plans) > 10
    for text, one in zip(plans, found, strict=True):
        assert one["problems"] == [] and one["plan"]["title"] == text.title
        log = {"sung", "top", "remark"}
        items = [item.model_dump(exclude=log, exclude_none=True) for item in text.front.items]
        assert one["plan"]["items"] == items


def test_texts_of_the_cue_sheet_are_cut_alike(evaluate: Evaluate, demo: Checked) -> None:
    steps = [
        " ".join(line.split())
        for exercise in demo.exercises.values()
        for line in exercise.entry.source.text.splitlines()
        if len(line.split()) > 3
    ][:400]
    given_cases = [(text, most) for text in steps for most in (4, 6, 10)]
    found = evaluate(
        "cut_text.js",
        "({cutText}, all) => all.map(([text, most]) => cutText(text, most))",
        given_cases,
    )
    assert found == [in_short(text, most) for text, most in given_cases]


ORDER = [
    "Standing tall and at ease",
    "Falling threes on a lip trill",
    "Five vowels on a four-note figure",
]


def test_a_warm_up_on_the_bus(
    phone: Page, site_url: str, chromium: Browser, demo: Checked, tmp_path: Path
) -> None:
    """One visit: added from a page and by the search, put in order by keys, undone; shared with
    another browser; saved, read and checked; on the stand; on one sheet of paper."""
    failures: list[str] = []
    phone.on("pageerror", lambda error: failures.append(str(error)))
    phone.goto(site_url + "exercises/slipway/")
    _added_and_ordered(phone)
    sizes = phone.locator(".hb-draft button:visible").evaluate_all(
        "all => all.map(one => Math.round(one.getBoundingClientRect().height))"
    )
    assert min(sizes) >= 44
    phone.get_by_role("button", name="Share by link").click()
    _opened_elsewhere(chromium, phone.get_by_role("textbox", name="The link").input_value())
    with phone.expect_download() as saving:
        phone.get_by_role("button", name="Save as a file").click()
    saved = tmp_path / saving.value.suggested_filename
    saving.value.save_as(saved)
    _passes_its_check(saved, demo)
    phone.get_by_role("button", name="Music stand").click()
    stand = phone.get_by_role("dialog", name="Music stand")
    expect(stand.get_by_text("1 of 3")).to_be_visible()
    expect(stand.get_by_role("heading", name=ORDER[0])).to_be_visible()
    stand.get_by_role("button", name="Close").click()
    phone.evaluate("window.print = () => {}")
    phone.get_by_role("button", name="Print the cue sheet").click()
    expect(phone.locator(".hb-sheet tbody tr")).to_have_count(3)
    pdf = phone.pdf(prefer_css_page_size=True)
    assert len(re.findall(rb"/Type ?/Page[^s]", pdf)) == 1
    assert failures == []


def _added_and_ordered(phone: Page) -> None:
    add = phone.get_by_role("button", name="Add to a warm-up")
    add.click()
    told = phone.locator(".hb-added")
    expect(told).to_contain_text("as item 1")
    told.get_by_role("button", name="Undo").click()
    expect(told).to_have_text("Undone.")
    add.click()
    told.get_by_role("link", name="Open").click()
    names = phone.locator(".hb-draft-item .hb-draft-name")
    expect(names).to_have_text([ORDER[1]])
    for word in ("standing tall", "five vowels"):
        phone.get_by_role("searchbox", name="Name or goal").fill(word)
        phone.locator(".hb-draft-found button").first.click()
    expect(names).to_have_count(3)
    phone.get_by_role("button", name=re.compile("^Move 2 ")).focus()
    phone.keyboard.press("ArrowUp")
    expect(names).to_have_text(ORDER)
    said = f"{ORDER[0]} is now item 1 of 3."
    expect(phone.locator(".hb-draft [role=status]")).to_have_text(said)
    expect(phone.get_by_role("button", name=re.compile("^Move 1 "))).to_be_focused()
    phone.locator(".hb-draft-open").last.click()
    phone.get_by_role("button", name="Remove").click()
    expect(names).to_have_count(2)
    undo = phone.get_by_role("button", name="Undo")
    undo.click()
    expect(names).to_have_text(ORDER)
    expect(phone.locator(".hb-draft-verdict")).to_contain_text("it fits")
    phone.evaluate(_ADDED_IN_ANOTHER_TAB)
    phone.get_by_role("button", name="Redo").click()  # would take an item out, and the new one too
    expect(names).to_have_count(4)
    expect(phone.locator(".hb-draft-told")).to_contain_text("in another tab")
    expect(undo).to_be_disabled()
    phone.locator(".hb-draft-open").last.click()
    phone.get_by_role("button", name="Remove").click()
    expect(names).to_have_text(ORDER)
    _dragged_below_the_last(phone)
    expect(names).to_have_text([*ORDER[1:], ORDER[0]])
    undo.click()
    expect(names).to_have_text(ORDER)


#: Adds an exercise to the draft behind the page's back.
_ADDED_IN_ANOTHER_TAB = """() => {
    const name = Object.keys(localStorage).find(one => one.includes(" drafts "));
    const all = JSON.parse(localStorage[name]);
    all.drafts[0].plan.items.push({exercise: "slipway"});
    localStorage[name] = JSON.stringify(all);
}"""


def _dragged_below_the_last(phone: Page) -> None:
    """The first item, to a place under the list; the place where it will land is shown."""
    rows = phone.locator(".hb-draft-item")
    phone.locator(".hb-draft-handle").first.hover()
    phone.mouse.down()
    last = rows.last.bounding_box()
    assert last
    phone.mouse.move(last["x"] + 20, last["y"] + last["height"] + 6, steps=3)
    expect(rows.last).to_have_class(re.compile("hb-drop-below"))
    phone.mouse.up()


def _opened_elsewhere(chromium: Browser, link: str) -> None:
    """In a browser that has never been here; then with an exercise that the handbook lacks."""
    other = chromium.new_context()
    page = other.new_page()
    page.goto(link)
    names = page.locator(".hb-draft-item .hb-draft-name")
    expect(names).to_have_text(ORDER)
    page.goto(link.replace("e=slipway", "e=gone-away"))
    expect(page.locator(".hb-draft-told")).to_contain_text("gone-away")
    expect(names).to_have_text([ORDER[0], "gone-away", ORDER[2]])
    other.close()


def _passes_its_check(saved: Path, demo: Checked) -> None:
    name = saved.name.removesuffix(".md")
    path = f"handbook/warmups/{name}.md"
    _, read, _, problems = read_written(WARM_UP, saved.read_text("utf-8"), name, path)
    assert read and not problems and isinstance(read.front, WarmUpFields)
    slugs = [item.exercise for item in read.front.items]
    assert slugs == ["at-the-mooring", "slipway", "five-lanterns"]
    others = [text for text in demo.texts if getattr(text.front, "date", "") != read.front.date]
    found = check_warm_ups([*others, read], demo.exercises, demo.book.entries, demo.config)
    assert [one for one in found if one.place.path == path] == []
