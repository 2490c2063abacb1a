"""What tired voices and a chorus after a break are spared (common practice)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from checked import Checked
from chorus_handbook.entries.warm_up import WarmUpItem
from chorus_handbook.warmups.clock import total
from chorus_handbook.warmups.running_order import MINUTE, PlannedItem
from chorus_handbook.warmups.suggesting import model_of
from chorus_handbook.warmups.suggesting.candidates import Candidate, Stock, candidates
from chorus_handbook.warmups.suggesting.demands import is_quiet
from chorus_handbook.warmups.suggesting.evening import comfortable
from chorus_handbook.warmups.suggesting.request import Request
from chorus_handbook.warmups.suggesting.solver import solve
from chorus_handbook.warmups.suggesting.stock import stock_before
from chorus_handbook.warmups.suggesting.worth import Season
from chorus_handbook.warmups.texts import warm_ups_in
from running_orders import BLEND, BODY, TRILL, UNISON
from suggested_stocks import ALL_THERE, DAY, request, stock

#: An open scale for vowels, and a hum that opens before it.
VOWELS = replace(UNISON, slug="vowels", main_goal="vowels")
OPENS = replace(UNISON, slug="opens", main_goal="resonance")
QUIET = (
    replace(BODY, slug="body", main_goal="alignment"),
    replace(TRILL, slug="trill", main_goal="breath-flow"),
)
CLOSE = replace(BLEND, slug="close", main_goal="blend")


def possible(asked: Request, items: Sequence[PlannedItem], known: Stock) -> bool:
    """Whether there is a warm-up of these items for a request."""
    found = [Candidate(one, WarmUpItem(exercise=one.slug), goals=(one.main_goal,)) for one in items]
    return solve(model_of(asked, known, found, ALL_THERE, Season()).program) is not None


def test_tired_voices_sing_quietly_up_to_the_close() -> None:
    for items in ((*QUIET, VOWELS, CLOSE), (*QUIET, CLOSE)):
        keep = tuple(one.slug for one in items)
        for tired in (False, True):
            asked = replace(request(30), keep=keep, tired=tired)
            assert possible(asked, items, stock()) == (not tired or VOWELS not in items)


def test_tired_voices_stay_near_their_middle_where_they_are_not_quiet(demo: Checked) -> None:
    config, day = demo.config, date(2026, 12, 12)
    assert config.chorus and config.vocabulary
    known = stock_before(
        day, demo.book.exercises, config.chorus, config.vocabulary, warm_ups_in(demo.texts)
    )
    ranges = comfortable(config.chorus)
    farthest, lowest = {}, {}
    for tired in (False, True):
        found = candidates(Request(day, "19:30", 15, tired=tired), known)
        keys = [key for one in found if not is_quiet(one.item) for key in one.item.keys]
        farthest[tired] = max(
            2 * reach.highest - sum(ranges[voice]) for key in keys for voice, reach in key.items()
        )
        lowest[tired] = min(
            reach.lowest - ranges[voice][0] for key in keys for voice, reach in key.items()
        )
    assert farthest[True] <= 2 * 7 < farthest[False]  # a fifth above the middle
    assert lowest[True] >= 0 > lowest[False]  # and never below what is comfortable


def test_after_a_break_no_step_to_open_vowels_is_left_out() -> None:
    items = (*QUIET, OPENS, VOWELS)
    without = [one for one in items if one is not OPENS]
    keep = tuple(one.slug for one in without)
    asked = replace(request((total(without) + 1) / MINUTE), keep=keep)  # no time for one more
    week, break_ = (replace(stock(), last=DAY.toordinal() - days) for days in (7, 21))
    assert possible(asked, items, week)
    assert not possible(asked, items, break_)
    assert possible(asked, without, break_)  # of what there is none of, nothing is asked
    enough = replace(asked, minutes=30)
    assert possible(enough, items, break_)
