"""Checks that a voice that comes late comes before all is over.

What it checks: that the hours in the field `there` begin before the warm-up ends. Source: our
choice: such a time is mostly a slip, or a voice that should be left out of `present`. It is no
error, because it may be true.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil

from chorus_handbook.entries.warm_up import WarmUpFields, read_there
from chorus_handbook.problems import Problem
from chorus_handbook.source import clip
from chorus_handbook.warmups.clock import time_of_day
from chorus_handbook.warmups.running_order import MINUTE
from chorus_handbook.warmups.texts import WrittenPlan


def check_hours(text: WrittenPlan) -> Iterator[Problem]:
    """Notice `warmup-arrival` for each voice that comes when the warm-up is over. Where there is a
    later block, that is the time allowed for the whole after the block begins."""
    front = text.front
    if not isinstance(front, WarmUpFields):
        return
    waits = (front.minutes_until(item) for item in front.items)
    ends = max((wait for wait in waits if wait is not None), default=0) + front.minutes
    for name, hours in front.there.items():
        comes, _ = read_there(hours)
        if comes is not None and front.minutes_after_start(comes) >= ends:
            yield Problem(
                text.source.place_of("there", name),
                "warmup-arrival",
                f"{clip(name)} comes at {time_of_day(comes, 0)}, but the warm-up is over by "
                f"{time_of_day(front.begins, ceil(ends) * MINUTE)}.",
                'Correct the time, or name in "present" only the voices that sing.',
            )
