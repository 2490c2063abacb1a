"""Whole evenings that a musician can read (`tests/cases/evenings`): what the program makes of a
warm-up on the evening itself. The rules themselves are common practice, tested one by one beside
this."""

from __future__ import annotations

import os
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
import yaml

from checked import Checked
from chorus_handbook.entries.warm_up import WarmUpItem
from chorus_handbook.pages.swap_words import reason_words
from chorus_handbook.pages.voice_load import load_lines
from chorus_handbook.warmups import clock
from chorus_handbook.warmups.late import shorten
from chorus_handbook.warmups.load import plan_load
from chorus_handbook.warmups.rotation import Log
from chorus_handbook.warmups.running_order import MINUTE, SECOND
from chorus_handbook.warmups.swaps import swaps
from chorus_handbook.warmups.tired_voices import make_gentler
from chorus_handbook.warmups.tonight import Tonight
from tonights import stock_of, tonight

CASES = Path(__file__).parent.parent / "cases" / "evenings"
#: By how many minutes the evening starts late.
LATE = (3, 6)


def evening(demo: Checked, fields: dict[str, Any]) -> Tonight:
    """The warm-up of a case, with the log that it states."""
    stock, day = stock_of(demo), fields["date"].toordinal()
    days = (day - 21, day - 14, day - 7)
    sung = dict.fromkeys(stock, days)
    for slug, when in fields.pop("before", {}).items():
        sung[slug] = tuple(one.toordinal() for one in when)
    assert sung.keys() == stock.keys()
    log = Log(sung, tuple(sorted({one for when in sung.values() for one in when})))
    items, dated = fields.pop("items"), fields["date"].isoformat()
    return tonight(demo, items, log, stock, **fields | {"date": dated})


def told(demo: Checked, plan: Tonight) -> Iterator[str]:
    """What the program makes of an evening, line by line."""
    chorus, vocabulary = demo.config.chorus, demo.config.vocabulary
    assert chorus and vocabulary
    order = plan.order(plan.items)
    yield "## What could stand there instead\n"
    for place, item in enumerate(plan.items):
        own = plan.candidate(item, order.items[place].there)
        goal = vocabulary.goals[order.items[place].main_goal].label
        yield f"{place + 1}. {order.items[place].title}"
        for swap in swaps(order, place, own, plan.candidates(plan.items, place)):
            keys = f" in {swap.keys}" if swap.keys else ""
            reasons = "; ".join(reason_words(reason, goal) for reason in swap.reasons)
            yield f"   - {swap.item.title}{keys}: {reasons}"
    whole = clock.total(order.items)
    for minutes in LATE:
        short = shorten(plan, whole - minutes * MINUTE)
        yield f"\n## Starting {minutes} minutes late\n"
        yield from sung(plan, [*short.items.values()])
        if short.over:
            yield f"\nStill {short.over // SECOND} seconds over."
    gentle = make_gentler(plan)
    yield "\n## Voices are tired\n"
    yield from sung(plan, [*gentle.items.values()])
    yield "\n## What it asks of each voice\n"
    for line in load_lines(plan_load(plan.items, plan.stock, order.items, chorus.voices), chorus):
        yield f"- {line}"


def sung(plan: Tonight, items: list[WarmUpItem]) -> Iterator[str]:
    """A line for each item: when it begins, its impact, its name and keys."""
    order = plan.order(items)
    slots = clock.timetable(order.items)
    for item, made, slot in zip(items, order.items, slots, strict=True):
        minute, second = divmod(slot.begins // SECOND, 60)
        keys = f", {item.keys}" if item.keys else ""
        yield f"- {minute}:{second:02} {made.title}, impact {made.impact}{keys}"


@pytest.mark.parametrize("case", sorted(CASES.glob("[a-z]*.md")), ids=lambda path: path.stem)
def test_what_is_made_of_an_evening(demo: Checked, case: Path) -> None:
    _, front, _ = case.read_text("utf-8").split("---\n", 2)
    fields = yaml.safe_load(front)
    assert isinstance(fields["date"], date)
    text = "\n".join(told(demo, evening(demo, fields)))
    whole = f"---\n{front}---\n\n{text}\n"
    if os.environ.get("HANDBOOK_RECORD"):
        case.write_text(whole, "utf-8")
    assert case.read_text("utf-8") == whole
