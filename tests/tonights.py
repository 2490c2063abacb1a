"""Warm-ups made of the demo's exercises, to be changed on the evening."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from checked import Checked
from chorus_handbook.entries.model import Source, Text
from chorus_handbook.entries.warm_up import WARM_UP, WarmUpFields
from chorus_handbook.records.planning_numbers import PlanningNumbers, planning_numbers
from chorus_handbook.warmups.rotation import Log
from chorus_handbook.warmups.tonight import Tonight


def stock_of(demo: Checked) -> dict[str, PlanningNumbers]:
    """The numbers of all exercises of the demo, by slug."""
    assert demo.config.vocabulary
    return {
        slug: planning_numbers(exercise, demo.config.vocabulary)
        for slug, exercise in demo.book.exercises.items()
    }


def tonight(
    demo: Checked,
    items: Sequence[str | Mapping[str, Any]],
    log: Log | None = None,
    stock: Mapping[str, PlanningNumbers] | None = None,
    **fields: Any,
) -> Tonight:
    """A warm-up of these exercises. Without a log, the chorus knows them all."""
    chorus, vocabulary = demo.config.chorus, demo.config.vocabulary
    assert chorus and vocabulary
    written = [{"exercise": item} if isinstance(item, str) else dict(item) for item in items]
    about = {"title": "Night", "date": "2026-12-03", "starts": "19:30", "minutes": 15}
    front = WarmUpFields.model_validate({**about, "items": written, **fields})
    text = Text(WARM_UP.name, Source("night", "handbook/warmups/x.md", None, {}), "N", front)
    numbers = stock_of(demo) if stock is None else stock
    day = front.day.toordinal()
    days = (day - 21, day - 14, day - 7)
    known = Log(dict.fromkeys(numbers, days), days)
    return Tonight(text, numbers, chorus, vocabulary, known if log is None else log)
