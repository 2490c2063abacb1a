"""The rule of rotation in the browser against the one in Python, on thousands of drawn cases. The
golden cases that both rules read are in `rotation.test.mjs` and `warmups/test_rotation.py`."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable
from typing import Any

from chorus_handbook.warmups.rotation import ENOUGH_WARM_UPS, OFTEN, Log, in_window

Evaluate = Callable[[str, str, object], Any]
RULE = "({status}, cases) => cases.map(({sung, log, day}) => status(sung, log, day))"


def drawn(count: int) -> list[tuple[tuple[int, ...], tuple[int, ...], int]]:
    """The days on which an exercise was sung, those on which anything was, and a day. Many lie at
    whole weeks from the day, where the rule changes."""
    dice = random.Random(8)
    made = []
    for _ in range(count):
        day = dice.randint(0, 20_000)
        weeks = [7 * dice.randint(-1, 13) for _ in range(dice.randint(0, 8))]
        log = {day - week - dice.choice([0, 0, 1, -1]) for week in weeks}
        often = dice.choice([0.2, 0.7])
        sung = {other for other in log if dice.random() < often}
        made.append((tuple(sorted(sung)), tuple(sorted(log)), day))
    return made


def test_the_browser_agrees_with_python_on_thousands_of_drawn_cases(evaluate: Evaluate) -> None:
    made = drawn(4000)
    expected = [Log({"it": sung}, log).status("it", day) for sung, log, day in made]
    given = [{"sung": sung, "log": log, "day": day} for sung, log, day in made]
    assert evaluate("rotation.js", RULE, given) == expected
    assert min(Counter(expected).values()) > 100 and len({*expected}) == 4


def test_the_days_that_a_page_carries_are_enough() -> None:
    """Pages carry the last days of an exercise and the first ones of the log: enough for any day
    after the last."""
    for sung, log, day in drawn(2000):
        if not log or log[-1] < day:
            whole = Log({"it": sung}, log)
            carried = Log({"it": sung[-OFTEN:]}, log[:ENOUGH_WARM_UPS])
            assert carried.status("it", day) == whole.status("it", day)


def test_the_weeks_of_a_window_are_the_same(evaluate: Evaluate) -> None:
    days = [*range(-40, 10)]
    found = evaluate("rotation.js", "({inWindow}, days) => days.map(d => inWindow(d, 0))", days)
    assert found == [in_window(day, 0) for day in days] and found.count(True) == 28
