"""A warm-up that starts late: what is left out, and what stays (common practice)."""

from __future__ import annotations

import pytest

from checked import Checked
from chorus_handbook.warmups import clock
from chorus_handbook.warmups.checks import findings
from chorus_handbook.warmups.late import Shortened, shorten
from chorus_handbook.warmups.rotation import Log
from chorus_handbook.warmups.running_order import MINUTE
from chorus_handbook.warmups.tonight import Tonight
from tonights import tonight

#: Body, trill, scale, scale, octaves, chord: about a quarter of an hour once it is known.
NIGHT = ("at-the-mooring", "slipway", "eddies", "five-lanterns", "up-the-mast", "ropes-fast")
OPTIONAL = (*NIGHT[:5], {"exercise": "fog-signal", "if_time": 1}, NIGHT[5])


def sung(short: Shortened) -> list[str]:
    return [item.exercise for item in short.items.values()]


def taken(plan: Tonight, short: Shortened) -> int:
    return clock.total(plan.order([*short.items.values()]).items)


def test_nothing_changes_while_it_fits(demo: Checked) -> None:
    plan = tonight(demo, NIGHT)
    short = shorten(plan, 15 * MINUTE)
    assert (sung(short), short.left_out, short.over) == ([*NIGHT], (), 0)
    assert [*short.items.values()] == [*plan.items]


def test_what_is_sung_only_if_there_is_time_goes_first(demo: Checked) -> None:
    plan = tonight(demo, OPTIONAL)
    whole = clock.total(plan.order(plan.items).items)
    short = shorten(plan, whole - MINUTE)
    assert short.left_out == (5,) and taken(plan, short) <= whole - MINUTE
    assert all(item == plan.items[place] for place, item in short.items.items())


def test_what_the_octaves_need_before_them_stays(demo: Checked) -> None:
    """Two minutes of singing come before full singing, even if there is no time (`strong`)."""
    needed = (*NIGHT[:3], {"exercise": "five-lanterns", "if_time": 1}, *NIGHT[4:])
    plan = tonight(demo, needed)
    short = shorten(plan, clock.total(plan.order(plan.items).items) - MINUTE)
    assert 3 in short.items and short.over == 0


def test_nothing_is_taught_when_time_is_short(demo: Checked) -> None:
    """Against the times of the exercises themselves: a new item takes its known time instead."""
    day = tonight(demo, NIGHT).text.front.day.toordinal()
    days = (day - 21, day - 14, day - 7)
    log = Log({slug: days for slug in NIGHT if slug != "eddies"}, days)
    plan = tonight(demo, NIGHT, log)
    whole = clock.total(plan.order(plan.items).items)
    short = shorten(plan, whole - MINUTE)
    front = demo.book.exercises["eddies"].front
    assert front.minutes == 4 and short.items[2].minutes == front.known == 2
    assert short.left_out == () and taken(plan, short) == whole - 2 * MINUTE


def test_a_quarter_of_an_hour_becomes_eight_minutes(demo: Checked) -> None:
    night = (*NIGHT[:3], "fog-signal", "up-the-mast", "herring-fleet", "handing-on-the-lamp")
    plan = tonight(demo, night)
    assert clock.total(plan.order(plan.items).items) > 13 * MINUTE
    short = shorten(plan, 8 * MINUTE)
    assert taken(plan, short) <= 8 * MINUTE and short.over == 0
    assert sung(short)[0] == night[0] and sung(short)[-1] == night[-1]
    assert [*short.items] == sorted(short.items) and len(short.items) >= 4
    assert any(item.keys for item in short.items.values())
    before = {one.code for one in findings(plan.order(plan.items))}
    assert {one.code for one in findings(plan.order([*short.items.values()]))} <= before


@pytest.mark.parametrize("minutes", range(1, 15))
def test_the_build_up_stays_safe_however_late_it_is(demo: Checked, minutes: int) -> None:
    """Octaves at impact 4 keep two minutes of singing before them, or go themselves; what stays
    for the season, and the last item, stay."""
    plan = tonight(demo, ({"exercise": NIGHT[0], "keep": "opener"}, *NIGHT[1:]))
    assert not findings(plan.order(plan.items))
    short = shorten(plan, minutes * MINUTE)
    order = plan.order([*short.items.values()])
    assert not findings(order)
    assert {0, len(NIGHT) - 1} <= {*short.items}
    assert short.over == max(0, taken(plan, short) - minutes * MINUTE)
    assert {*short.items} | {*short.left_out} == {*range(len(NIGHT))}


def test_time_that_nothing_fits(demo: Checked) -> None:
    plan = tonight(demo, NIGHT)
    short = shorten(plan, 0)
    assert short.over == taken(plan, short) > 0 and len(short.items) >= 2
    one = tonight(demo, NIGHT[:1])
    assert [*shorten(one, 0).items] == [0]
