"""The rules of a warm-up come to the same in the browser as in Python: the thirty judged orders,
variations of them, and warm-ups drawn by chance from the exercises of the demo. A finding is
compared by its name, its item and every number that its sentences are made from."""

from __future__ import annotations

import datetime
import json
import random
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any, get_args

from pydantic import TypeAdapter

from checked import Checked
from chorus_handbook.entries.model import Source, Text
from chorus_handbook.entries.warm_up import WARM_UP, Occasion, WarmUpFields
from chorus_handbook.records import Exercise
from chorus_handbook.warmups.checks import findings
from chorus_handbook.warmups.clock import cut_order, timetable, total
from chorus_handbook.warmups.findings import RULES
from chorus_handbook.warmups.planning import running_order
from chorus_handbook.warmups.rotation import Log, expected_log
from chorus_handbook.warmups.running_order import RunningOrder
from chorus_handbook.warmups.texts import warm_ups_in
from conftest import PROJECT

Evaluate = Callable[[str, str, object], Any]
JUDGED = PROJECT / "tests" / "cases" / "orders" / "running_orders.json"
ORDERS = TypeAdapter(dict[str, RunningOrder])
ORDER = TypeAdapter(RunningOrder)


def told(order: RunningOrder) -> list[Any]:
    """What Python finds, as the browser writes it."""
    return [
        {"name": one.name, "item": one.item, "values": json.loads(json.dumps(one.values))}
        for one in findings(order)
    ]


def in_order(order: Any, voices: list[str]) -> Any:
    """An order as data, in which what has no order is sorted by the chorus's."""
    for item in order["items"]:
        item["there"] = sorted(item["there"], key=voices.index)
        item["parts"] = [sorted(part, key=voices.index) for part in item["parts"]]
        item["families"] = sorted(item["families"])
    order["few"] = sorted(order["few"], key=voices.index)
    return order


def as_data(order: RunningOrder) -> Any:
    """An order as the browser has it."""
    data = ORDER.dump_python(order, mode="json")
    labels = ("label", "low", "high")
    data["voices"] = {n: dict(zip(labels, v, strict=True)) for n, v in data["voices"].items()}
    return data


def varied(orders: Iterable[RunningOrder], count: int) -> Iterator[RunningOrder]:
    """Orders by chance from the items of others, with numbers that matter to some rule changed."""
    dice, orders = random.Random(14), list(orders)
    items = [item for order in orders for item in order.items]
    voices = list(orders[0].voices)
    choices: dict[str, Sequence[Any]] = {
        "impact": range(1, 6),
        "leap": (0, 7, 8, 12),
        "span": (0, 9, 10),
        "level": (1, 2, 3),
        "status": ("new", "new", "settling", "known", "resting"),
        "weeks_running": (0, 7, 8),
        "lines": (1, 2, 3),
        "phrase": (8, 17, 29),
        "sound": (119, 121),
        "singing": (0, 60, 240, 480),
        "length": (30, 150, 400),
        "main_goal": ("blend", "range"),
        "formation": ("circle", "rows", ""),
        "unsung_key": ("", "", "G4"),
    }
    for _ in range(count):
        picked = [
            replace(item, **{n: dice.choice(v) for n, v in choices.items() if dice.random() < 0.3})
            for item in dice.choices(items, k=dice.randint(1, 8))
        ]
        if dice.random() < 0.4:
            middle = len(picked) // 2
            picked[middle] = replace(picked[middle], at=dice.choice([600, 3000]))
        yield replace(
            dice.choice(orders),
            items=picked,
            occasion=dice.choice([*get_args(Occasion), None]),
            allowed=dice.choice([300, 1800, 4800]),
            few=frozenset(dice.sample(voices, 1)),
            arrivals={voice: dice.randint(1, 900) for voice in dice.sample(voices, 2)},
            join_in=dice.choice([None, 1, 2, 3]),
        )


def test_every_finding_is_told_alike(evaluate: Evaluate) -> None:
    """The judged orders and variations of them; every rule finds something in some of them."""
    orders = [*ORDERS.validate_json(JUDGED.read_bytes()).values()]
    orders += varied(orders, 400)
    given = [as_data(order) for order in orders]
    found = evaluate("warm_up_checks.js", "({findings}, all) => all.map(findings)", given)
    assert found == [told(order) for order in orders]
    assert {one["name"] for some in found for one in some} == set(RULES["findings"])


def drawn(count: int, demo: Checked) -> Iterator[dict[str, Any]]:
    """Fields of warm-ups by chance: any exercises, days, keys and people."""
    dice = random.Random(20)
    chorus, vocabulary = demo.config.chorus, demo.config.vocabulary
    assert chorus and vocabulary
    names, formations = [*chorus.voices, *chorus.groups], [*vocabulary.formations]
    hours = ["from 0:01", "from 19:36", "until 19:40", "from 19:33 until 19:39"]

    def some(**fields: Callable[[], Any]) -> dict[str, Any]:
        return {name: make() for name, make in fields.items() if dice.random() < 0.25}

    def keys(exercise: Exercise) -> dict[str, str]:
        rungs = exercise.ladder.rungs if exercise.ladder else ()
        tonics = {rung.tonic.midi: str(rung.tonic) for rung in rungs}
        low, *between = [tonics[midi] for midi in sorted(tonics)[::3]] or [""]
        back = dice.choice(["", " and back"])
        return {"keys": f"{low} up to {between[-1]}{back}"} if between else {}

    def item(exercise: Exercise) -> dict[str, Any]:
        return {
            "exercise": exercise.slug,
            **(keys(exercise) if dice.random() < 0.5 else {}),
            **some(
                minutes=lambda: dice.choice([0.25, 0.333, 1, 1.5, 4, 2.0125]),
                formation=lambda: dice.choice(formations),
                if_time=lambda: dice.randint(1, 3),
                note=lambda: dice.choice(["Softly.", "The Altos sing with the tenors."]),
                keep=lambda: dice.choice(["opener", "closer"]),
            ),
        }

    stock = [*demo.exercises.values()]
    for _ in range(count):
        items = [item(one) for one in dice.choices(stock, k=dice.randint(1, 9))]
        if len(items) > 1:
            items[-1] |= some(at=lambda: dice.choice(["0:20", "19:50"]))
        yield {
            "title": "Drawn",
            "date": str(datetime.date(2026, 9, 1) + datetime.timedelta(dice.randint(0, 200))),
            "starts": dice.choice(["19:30", "23:55"]),
            "minutes": dice.choice([5, 10, 15, 22.5]),
            "kind": dice.choice(get_args(Occasion)),
            "items": items,
            **some(
                present=lambda: dice.sample(names, dice.randint(1, 3)),
                few=lambda: dice.sample(names, 1),
                there=lambda: {name: dice.choice(hours) for name in dice.sample(names, 2)},
                join_in=lambda: dice.randint(1, 5),
                leads_into=lambda: {"first_chord": {"bass": "D3"}},
            ),
        }


def test_drawn_orders_come_to_the_same(evaluate: Evaluate, demo: Checked, demo_site: Path) -> None:
    """From the fields of a warm-up to times, keys and findings, through planning.json."""
    chorus, vocabulary = demo.config.chorus, demo.config.vocabulary
    assert chorus and vocabulary
    planning = json.loads((demo_site / "assets/handbook/planning.json").read_text("utf-8"))
    log: Log = expected_log(warm_ups_in(demo.texts))
    plans = [*drawn(400, demo)]
    found = evaluate(
        "planning.js",
        """async ({runningOrder}, {planning, plans, clock, checks}) => {
            const {cutOrder, timetable, total} = await import(clock);
            const {findings} = await import(checks);
            return plans.map(plan => {
                const order = runningOrder(plan, planning);
                return {order, slots: timetable(order.items), total: total(order.items),
                    cut: cutOrder(order.items), found: findings(order)};
            });
        }""",
        {
            "planning": planning,
            "plans": plans,
            **{
                name: (PROJECT / "build_tools/chorus_handbook/browser" / file).as_uri()
                for name, file in (("clock", "clock.js"), ("checks", "warm_up_checks.js"))
            },
        },
    )
    for fields, seen in zip(plans, found, strict=True):
        front = WarmUpFields.model_validate(fields)
        text = Text(WARM_UP.name, Source("drawn", "x.md", None, {}), "Drawn", front)
        order = running_order(text, demo.exercises, chorus, vocabulary, log)
        assert order
        expected = ORDER.dump_python(order, mode="json")
        expected["voices"] = planning["voices"]
        voices = [*chorus.voices]
        assert in_order(seen["order"], voices) == in_order(expected, voices), fields
        assert seen["slots"] == [
            {"begins": slot.begins, "ends": slot.ends, "moves": slot.moves, "forms": slot.forms}
            for slot in timetable(order.items)
        ]
        assert seen["total"] == total(order.items)
        assert seen["cut"] == cut_order(order.items)
        assert seen["found"] == told(order), fields
