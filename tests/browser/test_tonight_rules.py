"""Swaps, a late start, tired voices and the load of a warm-up: the browser's rules against those in
Python, on warm-ups drawn from the demo's exercises. Every number must be the same."""

from __future__ import annotations

import json
import random
from collections.abc import Callable, Mapping
from typing import Any

import pytest

from checked import Checked
from chorus_handbook.pages.planning_file import planning_json
from chorus_handbook.records.planning_numbers import PlanningNumbers
from chorus_handbook.warmups.late import shorten
from chorus_handbook.warmups.load import plan_load
from chorus_handbook.warmups.rotation import Log
from chorus_handbook.warmups.swaps import Swap, swaps
from chorus_handbook.warmups.tired_voices import make_gentler
from chorus_handbook.warmups.tonight import Tonight
from tonights import stock_of, tonight

Evaluate = Callable[[str, str, object], Any]
WISHES = (None, "easier", "shorter", "seated", "without", "gentler", "rested")
KINDS = ("weekly", "weekly", "weekly", "short", "concert", "outdoor", "seated", "children")
#: Goals of the music that follows, most of them calm.
GOALS = ("blend", "tuning", "breath-flow", "resonance", "vowels", "agility", "rhythm")
VOICES = ("soprano", "alto", "tenor", "bass")
#: How many warm-ups are drawn.
COUNT = 60


@pytest.fixture(scope="module")
def stock(demo: Checked) -> dict[str, PlanningNumbers]:
    return stock_of(demo)


def log_of(dice: random.Random, slugs: list[str], day: int) -> Log:
    """Some exercises sung on some of twelve Thursdays before a day."""
    days = [day - 7 * week for week in range(12, 0, -1)]
    sung = {
        slug: tuple(sorted(dice.sample(days, dice.choice([1, 2, 3, 5]))))
        for slug in slugs
        if dice.random() < 0.6
    }
    return Log(sung, tuple(days))


@pytest.fixture(scope="module")
def drawn(demo: Checked, stock: Mapping[str, PlanningNumbers]) -> list[Tonight]:
    """Warm-ups in whatever order, so that the rules meet every kind of finding; some in few of
    their keys, with set minutes, without some voices, or too long for their time."""
    dice, slugs = random.Random(20), sorted(stock)
    made = []
    for number in range(COUNT):
        items: list[dict[str, Any]] = []
        for slug in dice.sample(slugs, dice.randint(1, 8)):
            item: dict[str, Any] = {"exercise": slug}
            keys = stock[slug].keys
            if len(keys) > 1 and dice.random() < 0.3:
                item["keys"] = dice.choice(keys)
            if dice.random() < 0.2:
                item["minutes"] = dice.choice([0.5, 1, 2.25, 4])
            if dice.random() < 0.2:
                item["if_time"] = dice.randint(1, 3)
            if dice.random() < 0.1:
                item["keep"] = "closer"
            items.append(item)
        fields: dict[str, Any] = {"minutes": dice.choice([5, 8, 15, 20])}
        fields["kind"] = KINDS[number % len(KINDS)]
        if fields["kind"] == "concert" and len(items) > 3:
            items[-2]["at"] = "20:50"
        if dice.random() < 0.6:
            fields["leads_into"] = {"goals": dice.sample(GOALS, dice.randint(1, 2))}
        if dice.random() < 0.3:
            fields["present"] = dice.sample(VOICES, dice.randint(1, 3))
        if dice.random() < 0.2:
            fields["there"] = {dice.choice(VOICES): "from 19:34"}
        if number % 3 == 0 and len(items) > 2:
            fields["join_in"] = 2
        day = tonight(demo, slugs[:1], stock=stock).text.front.day.toordinal()
        made.append(tonight(demo, items, log_of(dice, slugs, day), stock, **fields))
    return made


def given(plans: list[Tonight], demo: Checked, **more: Any) -> list[dict[str, Any]]:
    """The same warm-ups as the browser has them: the plan, and planning.json."""
    assert demo.config.chorus and demo.config.vocabulary
    return [
        {
            "plan": plan.text.front.model_dump(exclude_none=True, exclude_defaults=True)
            | {"kind": plan.text.front.kind},
            "planning": json.loads(
                planning_json(
                    demo.book.exercises, demo.config.chorus, demo.config.vocabulary, plan.log
                )
            ),
            **more,
        }
        for plan in plans
    ]


def written(items: Mapping[int, Any]) -> list[list[Any]]:
    """Items by place, as a file has them."""
    return [[n, item.model_dump(exclude_none=True)] for n, item in items.items()]


def as_data(swap: Swap) -> list[Any]:
    return [swap.item.slug, [list(reason) for reason in swap.reasons], swap.keys]


SWAPS = """(module, cases) => cases.map(({plan, planning, wishes}) => {
  const tonight = new module.Tonight(plan, planning);
  return plan.items.map((_, place) => wishes.map((wish) =>
    tonight.swaps(plan.items, place, wish).map(({item, reasons, keys}) =>
      [item.slug, reasons, keys])));
})"""


def test_swaps_are_the_same(evaluate: Evaluate, demo: Checked, drawn: list[Tonight]) -> None:
    plans = drawn[:24]
    expected = []
    for plan in plans:
        order = plan.order(plan.items)
        rows = []
        for place, item in enumerate(plan.items):
            own = plan.candidate(item, order.items[place].there)
            candidates = plan.candidates(plan.items, place)
            rows.append(
                [
                    [as_data(swap) for swap in swaps(order, place, own, candidates, wish)]  # type: ignore[arg-type]
                    for wish in WISHES
                ]
            )
        expected.append(rows)
    assert evaluate("tonight.js", SWAPS, given(plans, demo, wishes=WISHES)) == expected
    reasons = {
        code
        for rows in expected
        for wishes in rows
        for found in wishes
        for swap in found
        for code, _ in swap[1]
    }
    assert len(reasons) >= 12, reasons


LATE = """({Tonight}, cases) => import(cases.late).then(({shorten}) =>
  cases.plans.map(({plan, planning}) => cases.times.map(([time, gentle]) => {
    const {items, leftOut, over, joinIn} = shorten(new Tonight(plan, planning), time, gentle);
    return [[...items], leftOut, over, joinIn ?? null];
  })))"""


def test_a_late_start_is_the_same(evaluate: Evaluate, demo: Checked, drawn: list[Tonight]) -> None:
    times = ((0, False), (480, False), (960, False), (1440, False), (960, True))
    expected = []
    for plan in drawn:
        short = [shorten(plan, time, gentle=gentle) for time, gentle in times]
        expected.append(
            [[written(one.items), [*one.left_out], one.over, one.join_in] for one in short]
        )
    data = {"late": script("late.js"), "times": times, "plans": given(drawn, demo)}
    assert evaluate("tonight.js", LATE, data) == expected
    assert any(left_out for one in expected for _, left_out, *_ in one)
    assert any("keys" in item for one in expected for items, *_ in one for _, item in items)
    assert any(one[2] != one[4] for one in expected)
    assert any(join_in == 1 for one in expected for *_, join_in in one)


TIRED = """({Tonight}, cases) => import(cases.tired).then(({makeGentler}) =>
  cases.plans.map(({plan, planning}) => {
    const found = makeGentler(new Tonight(plan, planning));
    const swaps = [...found.swaps].map(([place, {item, reasons, keys}]) =>
      [place, [item.slug, reasons, keys]]);
    return [[...found.items], swaps, found.leftOut, found.notLower, [...found.halfClosed]];
  }))"""


def test_tired_voices_are_the_same(evaluate: Evaluate, demo: Checked, drawn: list[Tonight]) -> None:
    expected = []
    for plan in drawn:
        found = make_gentler(plan)
        taken = [[place, as_data(swap)] for place, swap in found.swaps.items()]
        half = [[place, keys] for place, keys in found.half_closed.items()]
        expected.append([written(found.items), taken, [*found.left_out], [*found.not_lower], half])
    data = {"tired": script("tired_voices.js"), "plans": given(drawn, demo)}
    assert evaluate("tonight.js", TIRED, data) == expected
    assert any(taken for _, taken, *_ in expected) and any(out for _, _, out, *_ in expected)


LOAD = """({planLoad}, cases) => import(cases.planning).then(({runningOrder}) =>
  cases.plans.map(({plan, planning}) =>
    planLoad(plan.items, runningOrder(plan, planning), planning)))"""


def test_the_load_is_the_same(
    evaluate: Evaluate,
    demo: Checked,
    stock: Mapping[str, PlanningNumbers],
    drawn: list[Tonight],
) -> None:
    expected = [
        {
            voice: one._asdict()
            for voice, one in plan_load(
                plan.items, stock, plan.order(plan.items).items, VOICES
            ).items()
        }
        for plan in drawn
    ]
    data = {"planning": script("planning.js"), "plans": given(drawn, demo)}
    assert evaluate("load.js", LOAD, data) == expected
    loads = [load for one in expected for load in one.values()]
    assert all(any(load[what] for load in loads) for what in ("singing", "near", "waiting"))


def script(name: str) -> str:
    """A script of the browser as an address that Node can import."""
    from chorus_handbook.shared_facts import FILE

    return (FILE.parent / name).as_uri()
