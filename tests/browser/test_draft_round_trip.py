"""From the file of a warm-up to a draft, and back to a file: nothing is lost. And what a draft must
know of the other warm-ups: which are in the same room at the same time."""

from __future__ import annotations

import datetime
import json
import random
from collections.abc import Callable
from pathlib import Path
from typing import Any

from checked import Checked
from chorus_handbook.entries.model import Source, Text
from chorus_handbook.entries.reading import read_written
from chorus_handbook.entries.warm_up import WARM_UP, WarmUpFields, WarmUpItem
from chorus_handbook.pages.draft_link import begin_with, change
from chorus_handbook.warmups.same_room import check_rooms
from chorus_handbook.warmups.texts import warm_ups_in
from conftest import PROJECT

Evaluate = Callable[[str, str, object], Any]
BROWSER = PROJECT / "build_tools" / "chorus_handbook" / "browser"
#: A warm-up that says everything which the format can say.
EVERYTHING = """---
title: "Nearly: everything, 100 %"
date: 2026-10-15
starts: 9:05
minutes: 12.5
kind: concert
leader: The director
pianist: Whoever has the keys; ~ or not
room: Sail loft & quay
leads_into:
  piece: Two carols
  first_chord: {bass: D3, tenor: A3, alto: F#4, soprano: Cb5}
  goals: [tuning, blend]
present: [upper, bass]
few: [bass]
there: {bass: "from 9:10until 9:15", upper: until 9:16}
at_home: [slipway, harbour-fog]
join_in: 1
answers:
  warmup-new: They know it, from the spring tour; so there.
  warmup-strong: "a: b, c"
items:
  - exercise: slipway
    keys: Eb4 down to Db4
    minutes: 2.333
    formation: circle
    variation: "On “noo”: softly, then not."
    by: The assistant
    if_time: 12
    keep: opener
    note: It is cold = bring coats & scarves.
    sung: yes
    top: Eb4
    remark: Better, at last.
  - exercise: slipway
    at: 18:55
    sung: skipped
---
Two lines,
and a list:

- one & *two*
- 100 %, ~ and `code`

    as it is
"""


def read(path: Path | str, text: str) -> Text[WarmUpFields]:
    slug = Path(path).stem
    _, found, _, problems = read_written(WARM_UP, text, slug, f"handbook/warmups/{slug}.md")
    assert found and not problems, (text, problems)
    return found


def said(text: Text[WarmUpFields]) -> dict[str, Any]:
    """All that a file says, in the one form of those that mean the same."""
    fields = text.front.model_dump()
    fields["present"] = text.front.voices_present
    return fields | {"file": text.source.slug, "body": text.source.text.strip()}


def test_a_changed_warm_up_loses_nothing(evaluate: Evaluate, demo: Checked) -> None:
    """All warm-ups of the demo, of the cases of earlier releases and of what was suggested, and one
    that has every field there is."""
    cases = PROJECT / "tests" / "cases"
    files = [*cases.glob("releases/*/handbook/warmups/*.md"), *cases.glob("suggested/**/2*.md")]
    texts = [*warm_ups_in(demo.texts), *(read(one, one.read_text("utf-8")) for one in files)]
    whole = read("2026-10-15-nearly-everything", EVERYTHING)
    assert set(WarmUpFields.model_fields) == set(whole.front.model_dump(exclude_defaults=True))
    written = set(whole.front.items[0].model_fields_set) | set(
        whole.front.items[1].model_fields_set
    )
    assert written == set(WarmUpItem.model_fields)
    texts.append(whole)
    assert len(texts) > 20
    found = evaluate(
        "draft_link.js",
        """async ({read, written}, {links, file}) => {
            const {fileName, fileText} = await import(file);
            return links.map(link => {
                const opened = read(link.split("#")[1]);
                const {plan, problems} = read(written(opened.plan));
                const told = [...opened.problems, ...problems];
                return {name: fileName(plan), text: fileText(plan), problems: told};
            });
        }""",
        {"links": [change(text) for text in texts], "file": (BROWSER / "draft_file.js").as_uri()},
    )
    for text, one in zip(texts, found, strict=True):
        assert one["problems"] == []
        assert said(read(one["name"], one["text"])) == said(text)


def test_a_new_warm_up_begins_with_all_but_the_evening(evaluate: Evaluate) -> None:
    text = read("2026-10-15-nearly-everything", EVERYTHING)
    link = begin_with(text).split("#")[1]
    opened = evaluate("draft_link.js", "({read}, one) => read(one)", link)
    assert opened["problems"] == []
    plan = opened["plan"]
    left_out = {"sung", "top", "remark"}
    assert plan["items"] == [
        item.model_dump(exclude_none=True, exclude=left_out) for item in text.front.items
    ]
    assert plan["date"] == "" and not {"file", "body"} & set(plan)
    fields = text.front.model_dump(exclude={"date", "items"})
    assert {name: plan[name] for name in fields} == fields


def drawn_warm_ups(count: int) -> list[Text[WarmUpFields]]:
    dice = random.Random(4)
    rooms = [None, "Sail loft", " sail LOFT", "Straße", "STRASSE", "Ｌoft", "Quay"]
    made = []
    for number in range(count):
        day = datetime.date(2026, 12, 30) + datetime.timedelta(dice.randint(0, 2))
        fields = {
            "title": "Night",
            "date": str(day),
            "starts": dice.choice(["0:05", "9:50", "23:50", "10:00", "10:05", "10:20"]),
            "minutes": dice.choice([5, 10, 15, 17.5, 30]),
            "items": [{"exercise": "low-tide"}],
        } | ({"room": room} if (room := dice.choice(rooms)) else {})
        front = WarmUpFields.model_validate(fields)
        slug = f"{day}-n{number}"
        source = Source(slug, f"handbook/warmups/{slug}.md", None, {})
        made.append(Text(WARM_UP.name, source, "Night", front))
    return made


def test_drafts_meet_the_warm_ups_that_check_would_find(evaluate: Evaluate) -> None:
    """In the same room at the same time: alike in Python and in the browser."""
    texts = drawn_warm_ups(120)
    pairs = [(one, other) for one in texts for other in texts[:40] if one is not other]
    data = [
        [
            text.front.model_dump(include={"date", "starts", "minutes", "room"}, exclude_none=True)
            for text in pair
        ]
        for pair in pairs
    ]
    found = evaluate(
        "same_room.js", "({meet}, all) => all.map(([one, other]) => meet(one, other))", data
    )
    told = [bool([*check_rooms(warm_ups_in(pair))]) for pair in pairs]
    assert found == told
    assert 100 < sum(told) < len(told) / 2


def test_a_draft_is_told_what_it_meets(evaluate: Evaluate) -> None:
    """But not of the warm-up that it is a draft of."""
    night = {
        "file": "2026-12-10-still",
        "title": "Still",
        "date": "2026-12-10",
        "starts": "19:30",
        "minutes": 15,
    }
    later = night | {"file": "2026-12-10-late", "title": "Late", "starts": "20:30", "room": "Quay"}
    drafts = [
        {"date": "2026-12-10", "starts": "19:40", "minutes": 10},
        {"date": "2026-12-10", "starts": "19:40", "minutes": 10, "file": "2026-12-10-still"},
        {"date": "2026-12-10", "starts": "20:30", "minutes": 10, "room": "quay"},
        {"date": "2026-12-11", "starts": "19:30", "minutes": 10},
        {"date": "2026-12-10", "starts": "20:20", "minutes": 15},
    ]
    found = evaluate(
        "same_room.js",
        """({clashes, sameDay}, {drafts, warm_ups}) => drafts.map(plan => [
            clashes(plan, {warm_ups}).map(({message}) => message), sameDay(plan, {warm_ups})])""",
        {"drafts": drafts, "warm_ups": [night, later]},
    )
    still = "“Still” is at the same time, and neither names a room: 19:30, 15 min."
    late = "“Late” is in the same room at the same time: Quay, 20:30, 15 min."
    perhaps = (
        "Is this in another room than “Late”? That one is at the same time: Quay, 20:30, 15 min; "
        "this one names no room."
    )
    also_late = "On the same day: “Late”, 20:30, Quay."
    assert found == [
        [[still], [also_late]],
        [[], [also_late]],
        [[late], ["On the same day: “Still”, 19:30."]],
        [[], []],
        [[perhaps], ["On the same day: “Still”, 19:30."]],
    ]


def test_a_draft_is_for_the_next_day_without_a_warm_up(evaluate: Evaluate) -> None:
    today = datetime.date.today()
    in_weeks = [str(today + datetime.timedelta(7 * n)) for n in (-2, -1, 0, 1, 3)]
    planning = {
        "days": in_weeks[:2],
        "warm_ups": [{"date": day} for day in in_weeks],
    }
    found = evaluate("draft_day.js", "({withDay}, one) => withDay({date: ''}, one).date", planning)
    assert found == str(today + datetime.timedelta(14))


def test_a_draft_begins_where_the_last_weekly_one_was(evaluate: Evaluate) -> None:
    quay = {"date": "2026-09-03", "starts": "19:00", "room": "Quay"}
    chapel = {"date": "2026-09-05", "starts": "17:30", "room": "Chapel", "kind": "concert"}
    found = evaluate(
        "draft_day.js",
        """({withDay}, {planning, plans}) => plans.map(plan => {
            const {starts, room = ""} = withDay({date: "", ...plan}, planning);
            return [starts, room];
        })""",
        {
            "planning": {"days": [], "warm_ups": [quay, chapel]},
            "plans": [
                {"starts": "19:30"},
                {"starts": "10:00", "room": "Loft"},
                {"starts": "19:30", "kind": "concert"},
                {"starts": "19:30", "date": "2026-09-10"},
            ],
        },
    )
    assert found == [["19:00", "Quay"], ["10:00", "Loft"], ["19:30", ""], ["19:30", ""]]


def test_what_is_in_a_draft_already_is_found_last(evaluate: Evaluate, demo_site: Path) -> None:
    """By another search; what is added stays where it was tapped until then."""
    planning = json.loads((demo_site / "assets/handbook/planning.json").read_text("utf-8"))
    found = evaluate(
        "draft_search.js",
        """({search}, planning) => {
            const slugs = (last) => search(planning, {date: "2026-12-24"}, "", "", last)
                .map(({slug}) => slug);
            const [first] = slugs([]);
            return [slugs([]), slugs([first])];
        }""",
        planning,
    )
    first, *others = found[0]
    assert found[1] == [*others, first] and len(others) > 50
