"""Both blocks of a concert, what a request avoids, and the shortest time that is enough."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from checked import Checked
from chorus_handbook.entries.warm_up import WarmUpItem
from chorus_handbook.warmups.checks import findings
from chorus_handbook.warmups.clock import timetable, total
from chorus_handbook.warmups.running_order import MINUTE, SECOND
from chorus_handbook.warmups.suggesting import model_of, shortest, suggest
from chorus_handbook.warmups.suggesting.candidates import (
    Candidate,
    candidates,
)
from chorus_handbook.warmups.suggesting.finishing import cut_order
from chorus_handbook.warmups.suggesting.formations import most_walks
from chorus_handbook.warmups.suggesting.request import Request, wishes
from chorus_handbook.warmups.suggesting.solver import solve
from chorus_handbook.warmups.suggesting.stock import stock_before
from chorus_handbook.warmups.suggesting.worth import (
    Season,
)
from chorus_handbook.warmups.texts import warm_ups_in
from running_orders import (
    BODY,
    TRILL,
    UNISON,
)
from suggested_stocks import ALL_THERE, request, stock

#: A goal for each of these items, by its title.
GOALS = {"Body": "alignment", "Trill": "resonance", "Unison": "vowels"}


@pytest.mark.parametrize("minutes", [10, 18, 30])
def test_a_concert_goes_on_right_before_it(demo: Checked, minutes: float) -> None:
    config, day = demo.config, date(2027, 1, 16)
    assert config.chorus and config.vocabulary
    known = stock_before(
        day, demo.book.exercises, config.chorus, config.vocabulary, warm_ups_in(demo.texts)
    )
    asked = Request(day, "17:30", minutes, kind="concert", goals=("harmony",), again="18:50")
    found = suggest(asked, known)
    assert found and found.solution.proven and len(found.blocks) == 2
    assert findings(found.order) == [] and total(found.order.items) <= minutes * MINUTE
    first, second = found.order.blocks
    assert second[0].at == 80 * MINUTE and [one.at for one in second[1:]] == [None] * len(
        second[1:]
    )
    assert sum(item.singing for item in second) <= 3 * MINUTE
    assert all(item.impact <= 3 and item.status != "new" for item in second)
    assert not any(slot.moves for slot in timetable(second))
    assert second[-1].unites or second[-1].impact > 1
    assert not {*cut_order(found.blocks[0], found.order, asked)} & {
        *range(len(first), len(found.order.items))
    }
    without = suggest(replace(asked, again=""), known)
    assert without and len(without.blocks) == 1


def test_right_before_a_concert_little_is_sung_and_nothing_strong(demo: Checked) -> None:
    long = replace(UNISON, singing=100 * SECOND)
    items = [replace(one, slug=f"item-{n}") for n, one in enumerate((BODY, TRILL, long, long))]
    found = [
        Candidate(
            replace(one, main_goal=GOALS[one.title]), WarmUpItem(exercise=one.slug), goals=("x",)
        )
        for one in items
    ]
    asked = replace(request(30), kind="concert", keep=tuple(one.slug for one in items))
    for right_before in (False, True):
        block = replace(asked, right_before=right_before)
        solution = solve(model_of(block, stock(), found, ALL_THERE, Season()).program)
        assert (solution is None) == right_before
        assert (most_walks(block) == 0) == right_before
    config, day = demo.config, date(2026, 12, 12)
    assert config.chorus and config.vocabulary
    known = stock_before(
        day, demo.book.exercises, config.chorus, config.vocabulary, warm_ups_in(demo.texts)
    )
    strongest = [
        max(one.item.impact for one in candidates(replace(block, day=day), known))
        for block in (asked, replace(asked, right_before=True))
    ]
    assert strongest == [4, 3]


def test_nobody_stands_as_is_avoided_and_no_item_is_mainly_for_an_avoided_family(
    demo: Checked,
) -> None:
    config, day = demo.config, date(2027, 1, 14)
    assert config.chorus and config.vocabulary
    known = stock_before(
        day, demo.book.exercises, config.chorus, config.vocabulary, warm_ups_in(demo.texts)
    )
    asked = Request(day, "19:30", 20, goals=("tuning", "blend"))
    usual = suggest(asked, known)
    assert usual and {"circle"} <= {item.formation for item in usual.order.items}
    avoided = ("circle", "scattered")
    found = suggest(replace(asked, avoid_formations=avoided, avoid_families=("sound",)), known)
    assert found and not {*avoided} & {item.formation for item in found.order.items}
    families = {config.vocabulary.goals[item.main_goal].family for item in found.order.items}
    assert "sound" not in families and "sound" in {
        config.vocabulary.goals[item.main_goal].family for item in usual.order.items
    }


def test_the_shortest_time_is_enough_and_a_minute_less_is_not(demo: Checked) -> None:
    config, day = demo.config, date(2027, 1, 14)
    assert config.chorus and config.vocabulary
    known = stock_before(
        day, demo.book.exercises, config.chorus, config.vocabulary, warm_ups_in(demo.texts)
    )
    asked = Request(day, "19:30", 3, goals=("range",))
    enough = shortest(asked, known)
    assert enough and suggest(replace(asked, minutes=enough), known)
    assert suggest(replace(asked, minutes=enough - 1), known) is None


def test_what_is_left_out_for_children_returns_when_it_is_no_longer_for_children() -> None:
    asked = replace(request(10), kind="children", left_out=("chord",))
    (drop,) = [wish.drop for wish in wishes(asked) if "children" in wish.words]
    assert drop(asked) == request(10)
    assert not [wish for wish in wishes(asked) if "chord" in wish.words]
