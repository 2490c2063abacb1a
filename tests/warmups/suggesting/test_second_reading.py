"""What a second blind reading asked of suggestions (common practice): how a warm-up closes, what
may be new, what late voices get, and what is left out first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from checked import Checked
from chorus_handbook.entries.warm_up import WarmUpItem
from chorus_handbook.warmups.clock import timetable
from chorus_handbook.warmups.running_order import MINUTE, KeyReach, PlannedItem
from chorus_handbook.warmups.suggesting import Suggestion, model_of, suggest, weights
from chorus_handbook.warmups.suggesting.candidates import Candidate, candidates
from chorus_handbook.warmups.suggesting.demands import is_open_line
from chorus_handbook.warmups.suggesting.evening import comfortable, least_length
from chorus_handbook.warmups.suggesting.finishing import cut_order
from chorus_handbook.warmups.suggesting.request import Request
from chorus_handbook.warmups.suggesting.solver import solve
from chorus_handbook.warmups.suggesting.stages import Stage
from chorus_handbook.warmups.suggesting.stock import stock_before
from chorus_handbook.warmups.suggesting.worth import Season, is_new, worth_of
from chorus_handbook.warmups.texts import warm_ups_in
from running_orders import BLEND, BODY, TRILL, UNISON
from suggested_stocks import ALL_THERE, request, stock

#: The three evenings that were read, and their wishes.
EVENINGS: dict[date, dict[str, Any]] = {
    date(2026, 12, 10): {"minutes": 15, "goals": ("tuning", "blend")},
    date(2026, 12, 17): {"minutes": 10, "goals": ("blend",), "tired": True},
    date(2027, 1, 7): {
        **{"minutes": 20, "goals": ("breath-flow", "vowels")},
        **{"there": {"bass": "from 19:42"}},
    },
}


def of_evening(demo: Checked, day: date) -> tuple[Request, Suggestion]:
    config = demo.config
    assert config.chorus and config.vocabulary
    before = [one for one in warm_ups_in(demo.texts) if one.front.day < date(2026, 12, 10)]
    known = stock_before(day, demo.book.exercises, config.chorus, config.vocabulary, before)
    asked = Request(day, "19:30", **EVENINGS[day])
    found = suggest(asked, known)
    assert found and found.solution.proven
    return asked, found


@pytest.mark.parametrize("day", EVENINGS)
def test_the_evenings_that_were_read(demo: Checked, day: date) -> None:
    asked, found = of_evening(demo, day)
    items = found.order.items
    assert all(item.length % (MINUTE // 4) == 0 for item in items)  # nobody reads seconds
    assert sum(is_new(one.candidate) for one in found.choices) <= 1
    assert any(is_open_line(item) for item in items[:-1])
    assert sum(item.length for item in items if item.impact == 1) <= asked.minutes * MINUTE / 4
    slots = timetable(items)
    cut = cut_order(found.choices, found.order, asked)
    assert all(slots[place].begins >= slots[-1].ends // 2 for place in cut)
    assert not slots[-1].moves
    config = demo.config
    assert config.chorus
    ranges = comfortable(config.chorus)
    for item in items:
        for key in item.keys:
            for voice, reach in key.items():
                assert ranges[voice][0] <= reach.lowest and reach.highest <= ranges[voice][1]
    if day != date(2026, 12, 10):  # voices are tired, or come back from a break
        assert found.choices[-1].candidate.slug == "ropes-fast"
        assert not any(is_new(one.candidate) for one in found.choices)
    if asked.there:
        sung = [
            (item, slot) for item, slot in zip(items, slots, strict=True) if "bass" in item.there
        ]
        assert sung[0][1].begins - 12 * MINUTE < MINUTE and sung[0][0].half_closed
        assert sum(item.length for item, _ in sung) >= 4 * MINUTE


def worth(asked: Request, found: Sequence[Candidate], season: Season | None = None) -> int | None:
    """What the best warm-up of all these candidates is worth; None if there is none."""
    asked = replace(asked, keep=asked.keep or tuple(one.slug for one in found))
    solution = solve(model_of(asked, stock(), found, ALL_THERE, season or Season()).program)
    return solution.worth if solution else None


def candidate(item: PlannedItem, slug: str, goal: str, **fields: Any) -> Candidate:
    own = replace(item, slug=slug, main_goal=goal)
    return Candidate(own, WarmUpItem(exercise=slug), goals=(goal,), **fields)


def sings(item: PlannedItem, low: int, high: int) -> PlannedItem:
    return replace(item, keys=({"soprano": KeyReach(low, high, low, high)},))


BODILY = candidate(BODY, "body", "alignment")


def test_a_close_is_no_more_than_a_fourth_above_what_was_sung() -> None:
    close = candidate(sings(BLEND, 74, 74), "close", "blend")  # D5; the middle is G sharp 4
    for top, prepared in ((68, False), (69, True)):
        trill = candidate(sings(TRILL, 60, top), "trill", "resonance")
        higher = candidate(sings(UNISON, 62, 72), "higher", "vowels")
        asked = replace(request(30, "blend"), keep=("body", "trill"))
        choices = model_of(asked, stock(), [BODILY, trill, higher, close], ALL_THERE, Season())
        program = choices.program
        program.at_most({one.column: 1 for one in choices.all if one.candidate is higher}, 0)
        last = [one for one in choices.all if one.candidate is close and one.stage == Stage.CLOSE]
        program.at_least({one.column: 1 for one in last}, 1)
        assert bool(solve(program)) == prepared
    low = candidate(sings(BLEND, 70, 73), "close", "blend")  # a fourth above the middle
    trill = candidate(sings(TRILL, 60, 62), "trill", "resonance")
    assert worth(replace(request(30), keep=("close",)), [BODILY, trill, low]) is not None


def test_what_is_kept_but_never_sung_is_new() -> None:
    item = replace(BLEND, slug="close", main_goal="blend", status="settling", keep="closer")
    planned = Candidate(item, WarmUpItem(exercise="close"), goals=("blend",), outings=1)
    assert not is_new(planned) and is_new(replace(planned, untried=True))


def test_something_new_leaves_half_a_minute_and_is_not_the_longest_by_far() -> None:
    new = replace(UNISON, status="new", length=2 * MINUTE)
    found = [BODILY, candidate(TRILL, "trill", "resonance"), candidate(new, "new", "vowels")]
    whole = next(n / 4 for n in range(1, 80) if worth(request(n / 4), found) is not None)
    known = [*found[:2], candidate(replace(new, status="known"), "new", "vowels", outings=3)]
    least = next(n / 4 for n in range(1, 80) if worth(request(n / 4), known) is not None)
    assert whole == least + 0.5
    asked = replace(request(30), keep=("body",), goals=("vowels",))
    for longer, possible in ((0, True), (1, False)):
        length = found[1].item.length + MINUTE + longer
        long = candidate(replace(new, length=length), "new", "vowels")
        other = candidate(replace(UNISON, length=MINUTE), "other", "resonance")
        also = replace(other, goals=("resonance", "vowels"))
        vowels = candidate(replace(UNISON, length=length), "known", "vowels", outings=3)
        choices = model_of(
            asked, stock(), [BODILY, found[1], long, also, vowels], ALL_THERE, Season()
        )
        program = choices.program
        program.at_most({one.column: 1 for one in choices.all if one.candidate is vowels}, 0)
        program.at_least({one.column: 1 for one in choices.all if one.candidate is long}, 1)
        program.at_most({one.column: 1 for one in choices.all if one.candidate is BODILY}, 1)
        assert bool(solve(program)) == possible


@pytest.mark.parametrize(
    ("goals", "season", "name"),
    [
        (("vowels",), Season(), "NEW_ASIDE"),
        ((), Season(after_break=True), "NEW_AFTER_BREAK"),
    ],
)
def test_what_is_new_is_of_use_and_not_after_a_break(
    goals: tuple[str, ...], season: Season, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    new = candidate(replace(TRILL, status="new"), "new", "resonance")
    cost, asked = getattr(weights, name), request(15, *goals)
    before = worth_of(new, Stage.GENTLE, asked, season)
    monkeypatch.setattr(weights, name, 0)
    assert worth_of(new, Stage.GENTLE, asked, season) - before == -cost


def test_lengths_are_whole_quarters_of_a_minute() -> None:
    for length in (MINUTE, MINUTE + 1, MINUTE + 30):
        planned = least_length(replace(TRILL, length=length, keys=()), "")
        assert planned % (MINUTE // 4) == 0 and length <= planned < length + MINUTE // 4


def test_a_trill_comes_before_a_hum() -> None:
    hum = candidate(replace(TRILL, span=4), "hum", "resonance")
    trill = candidate(replace(TRILL, span=9), "trill", "resonance", flows=True)
    asked = replace(request(30), keep=("body", "hum", "trill"))
    choices = model_of(asked, stock(), [BODILY, hum, trill], ALL_THERE, Season())
    elsewhere = [one for one in choices.all if one.stage not in (Stage.BODY, Stage.GENTLE)]
    choices.program.at_most({one.column: 1 for one in elsewhere}, 0)
    solution = solve(choices.program)
    assert solution
    chosen = [one for one in choices.all if solution.values[one.column] > 0.5]
    places = {one.candidate.slug: one.place for one in chosen}
    assert places["trill"] < places["hum"]


def test_tired_voices_are_offered_keys_without_the_highest(demo: Checked) -> None:
    config, day = demo.config, date(2026, 12, 17)
    assert config.chorus and config.vocabulary
    known = stock_before(
        day, demo.book.exercises, config.chorus, config.vocabulary, warm_ups_in(demo.texts)
    )
    found = candidates(Request(day, "19:30", 10, tired=True), known)
    assert {one.written.keys for one in found if one.slug == "ropes-fast"} == {"Db4 down to C4"}
