"""A warm-up that starts late: what is left out, and what stays (common practice)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import pytest

from checked import Checked
from chorus_handbook.warmups import clock
from chorus_handbook.warmups.checks import findings
from chorus_handbook.warmups.late import Shortened, shorten
from chorus_handbook.warmups.rotation import Log
from chorus_handbook.warmups.running_order import MINUTE, SECOND
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


def test_tired_voices_keep_their_half_closed_sounds_longest(demo: Checked) -> None:
    """A trill that was to be sung only if there is time stays while anything open can go (common
    practice: a tired voice is better served by a trill than by scales)."""
    plan = tonight(
        demo, ({"exercise": NIGHT[0]}, {"exercise": "slipway", "if_time": 1}, *NIGHT[2:])
    )
    halves = {n for n, item in enumerate(plan.order(plan.items).items) if item.half_closed}
    assert 1 in halves
    for minutes in range(4, 8):
        short = shorten(plan, minutes * MINUTE, gentle=True)
        assert short.left_out and halves <= {*short.items}, minutes
        assert 1 in shorten(plan, minutes * MINUTE).left_out


#: Body, trill, scale, a held note to tune to, vowels, chord: a quiet carol for tuning follows.
CAROL = ("at-the-mooring", "slipway", "down-to-the-water", "fog-signal", "five-lanterns")


def test_what_the_music_asks_for_stays_longest(demo: Checked) -> None:
    """Of the same five exercises, the one for the music is there whatever the music is (common
    practice: what leads into the music is why it is sung)."""
    last = {"exercise": "handing-on-the-lamp", "keep": "closer"}
    for goal, leading in (("tuning", 3), ("vowels", 4), ("resonance", 2)):
        plan = tonight(demo, (*CAROL, last), leads_into={"goals": [goal]})
        order = plan.order(plan.items)
        serving = {n for n, item in enumerate(order.items) if goal in plan.stock[item.slug].goals}
        assert order.items[leading].main_goal == goal and leading in serving
        for minutes in range(6, 10):
            short = shorten(plan, minutes * MINUTE)
            others = {2, 3, 4} - serving
            assert short.left_out and (leading in short.items or not others & {*short.items})
        assert leading in shorten(plan, 7 * MINUTE).items
        assert others & {*shorten(plan, 7 * MINUTE).left_out}


def test_what_the_author_marked_goes_before_what_the_music_does_not_ask_for(
    demo: Checked,
) -> None:
    marked = (*CAROL[:3], {"exercise": CAROL[3], "if_time": 1}, CAROL[4], "ropes-fast")
    plan = tonight(demo, marked, leads_into={"goals": ["tuning"]})
    short = shorten(plan, clock.total(plan.order(plan.items).items) - MINUTE)
    assert short.left_out == (3,)


def test_body_and_the_quiet_beginning_stay(demo: Checked) -> None:
    """The voice wakes on the trill, although nothing but the scale is for the music."""
    plan = tonight(demo, (*CAROL, "ropes-fast"), leads_into={"goals": ["vowels", "resonance"]})
    for minutes in range(10):
        assert {0, 1} <= {*shorten(plan, minutes * MINUTE).items}


def test_what_fits_after_all_is_taken_back(demo: Checked) -> None:
    """The hum does not serve the tuning, and goes before the long item for tuning; when that has
    to go too, there is time for the hum in two keys."""
    hum = {"exercise": "harbour-fog", "keys": "D4 down to C#4"}
    items = ("at-the-mooring", "harbour-fog", "fog-signal", "four-lights-on")
    plan = tonight(demo, items, leads_into={"goals": ["tuning"]})
    with_hum = tonight(demo, (items[0], hum, items[3]))
    needed = clock.total(with_hum.order(with_hum.items).items)
    with_both = tonight(demo, (items[0], hum, items[2], items[3]))
    for time in range(needed, clock.total(with_both.order(with_both.items).items), SECOND * 5):
        assert len(shorten(plan, time).items) >= 3
    assert [*shorten(plan, needed).items] == [0, 1, 3]


def test_latecomers_join_in_at_the_same_item(demo: Checked) -> None:
    """After the scale, whatever was left out before it."""
    plan = tonight(demo, (*CAROL, "ropes-fast"), join_in=4, leads_into={"goals": ["vowels"]})
    assert shorten(plan, 15 * MINUTE).join_in == 4
    for minutes in range(3, 9):
        short = shorten(plan, minutes * MINUTE)
        assert short.join_in == len({*short.items} & {*range(4)})
    assert shorten(plan, 7 * MINUTE).join_in == 3
    assert shorten(tonight(demo, NIGHT), 5 * MINUTE).join_in is None


def test_a_section_that_comes_late_misses_less_of_what_begins_late(demo: Checked) -> None:
    """The basses come at 19:36. Begun at 19:30, an item earlier would be one without them, for
    which nothing could go; begun at 19:37, they are there from the beginning."""
    plan = tonight(demo, (*CAROL, "ropes-fast"), there={"bass": "from 19:36"})
    assert shorten(plan, 8 * MINUTE).over == 0
    everyone = tonight(demo, (*CAROL, "ropes-fast"))
    assert shorten(plan, 8 * MINUTE) == shorten(everyone, 8 * MINUTE)


def concert(demo: Checked, first: Sequence[str | Mapping[str, Any]]) -> Tonight:
    """A concert with this first block, and two items right before it begins."""
    second = ({"exercise": "at-the-mooring", "at": "20:50", "if_time": 1}, "ropes-fast")
    return tonight(demo, (*first, *second), kind="concert", minutes=20)


@pytest.mark.parametrize("minutes", range(0, 11, 2))
def test_a_later_block_stays_as_planned_and_the_first_ends_gently(
    demo: Checked, minutes: int
) -> None:
    """A second block has its own time, however late the first began; and nobody leaves the first
    on full singing (common practice: a close unites or is light)."""
    first = (*NIGHT[:4], "up-the-mast", {"exercise": "handing-on-the-lamp", "if_time": 1})
    plan = concert(demo, first)
    short = shorten(plan, minutes * MINUTE)
    assert {place: short.items[place] for place in (6, 7)} == {6: plan.items[6], 7: plan.items[7]}
    one, two = plan.order([*short.items.values()]).blocks
    assert len(one) >= 2 and one[-1].impact <= 3 and len(two) == 2
    assert short.left_out and max(short.left_out) < 5


def test_time_that_nothing_fits(demo: Checked) -> None:
    plan = tonight(demo, NIGHT)
    short = shorten(plan, 0)
    assert short.over == taken(plan, short) > 0 and len(short.items) >= 2
    one = tonight(demo, NIGHT[:1])
    assert [*shorten(one, 0).items] == [0]
