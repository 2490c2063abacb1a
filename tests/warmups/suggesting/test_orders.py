"""The orders that directors call good or bad (common practice, as in
`tests/warmups/test_common_practice.py`): of the items of a good one the suggestion is that very
order, and those of a bad one are never put into it. And what is suggested from the demo, evening by
evening, draws no notice."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest

from checked import Checked
from chorus_handbook.chorus.model import Vocabulary
from chorus_handbook.entries.warm_up import WarmUpItem
from chorus_handbook.warmups.checks import findings
from chorus_handbook.warmups.clock import timetable, total
from chorus_handbook.warmups.rotation import Status, expected_log, log_of
from chorus_handbook.warmups.running_order import MINUTE, PlannedItem
from chorus_handbook.warmups.suggesting import model_of, suggest, weights
from chorus_handbook.warmups.suggesting.candidates import (
    Candidate,
    Stock,
    arrivals,
    phases,
    planned_order,
)
from chorus_handbook.warmups.suggesting.choices import POINT
from chorus_handbook.warmups.suggesting.demands import sings
from chorus_handbook.warmups.suggesting.finishing import cut_order, join_in
from chorus_handbook.warmups.suggesting.request import Request
from chorus_handbook.warmups.suggesting.solver import solve
from chorus_handbook.warmups.suggesting.stages import Stage
from chorus_handbook.warmups.suggesting.steps import begins, step
from chorus_handbook.warmups.suggesting.stock import stock_before
from chorus_handbook.warmups.suggesting.worth import (
    Season,
    is_new,
    is_settling,
    was_learned,
    worth_of,
)
from chorus_handbook.warmups.texts import warm_ups_in
from running_orders import (
    ARPEGGIO,
    BLEND,
    BODY,
    CALL,
    CHORD,
    HUM,
    RANGE,
    ROUND,
    TOGETHER,
    TRILL,
    UNISON,
    order,
)
from suggested_stocks import ALL_THERE, request, stock

#: A goal for each of these items, by its title.
GOALS = {
    **{"Body": "alignment", "Trill": "resonance", "Hum": "breath-flow", "Unison": "vowels"},
    **{"Arpeggio": "range", "Range": "range", "Chord": "harmony", "Round": "harmony"},
    **{"Blend": "blend", "Together": "blend", "Call": "range"},
}


def suggested(
    items: tuple[PlannedItem, ...], known: Stock | None = None
) -> list[PlannedItem] | None:
    """All of these items in the order in which they are suggested; None if there is none."""
    own = [
        replace(item, slug=f"item-{n}", main_goal=GOALS[item.title]) for n, item in enumerate(items)
    ]
    found = [
        Candidate(item, WarmUpItem(exercise=item.slug), goals=(item.main_goal,)) for item in own
    ]
    asked = replace(request(30), keep=tuple(item.slug for item in own))
    choices = model_of(asked, known or stock(), found, ALL_THERE, Season())
    solution = solve(choices.program)
    if solution is None:
        return None
    chosen = [one for one in choices.all if solution.values[one.column] > 0.5]
    return [one.item for one in sorted(chosen, key=lambda one: one.place)]


@pytest.mark.parametrize(
    "items", [(BODY, TRILL, UNISON, ARPEGGIO, CHORD), (HUM, UNISON, ROUND, TOGETHER)]
)
def test_a_good_order_is_suggested(items: tuple[PlannedItem, ...]) -> None:
    for mixed in (items, items[::-1]):
        found = suggested(mixed)
        assert found and [item.title for item in found] == [item.title for item in items]


@pytest.mark.parametrize(
    "items",
    [
        (BODY, TRILL, CALL, UNISON, UNISON),
        (BODY, TRILL, UNISON, ARPEGGIO, CALL),
        (BODY, CHORD, UNISON, BLEND),
        (UNISON, UNISON, ARPEGGIO, BLEND),
        (BODY, TRILL, UNISON, RANGE),
    ],
)
def test_a_bad_order_is_never_suggested(items: tuple[PlannedItem, ...]) -> None:
    found = suggested(items)
    if found is not None:
        assert findings(order(*found)) == []
        assert [item.title for item in found] != [item.title for item in items]


EVENINGS: dict[str, dict[str, Any]] = {
    "late basses": {"minutes": 14, "goals": ("breath-flow",), "there": {"bass": "from 19:38"}},
    "basses leave": {"minutes": 9, "there": {"bass": "until 19:35"}, "goals": ("blend",)},
    "women": {"minutes": 15, "goals": ("harmony",), "present": ("upper",)},
    "two tenors": {"minutes": 15, "goals": ("tuning",), "few": ("tenor",)},
    "tired": {"minutes": 10, "tired": True},
    "concert": {"minutes": 12, "kind": "concert"},
    "outdoor": {"minutes": 8, "kind": "outdoor"},
    "seated": {"minutes": 15, "kind": "seated"},
    "children": {"minutes": 12, "kind": "children"},
    "online": {"minutes": 10, "kind": "online"},
    "short": {"minutes": 5, "kind": "short"},
    "slow": {"minutes": 15, "goals": ("breath-flow", "vowels")},
    "long": {"minutes": 30, "goals": ("harmony", "range")},
}


@pytest.mark.parametrize("evening", EVENINGS.values(), ids=EVENINGS)
def test_what_is_suggested_draws_no_notice(demo: Checked, evening: dict[str, Any]) -> None:
    config, day = demo.config, date(2026, 12, 12)
    assert config.chorus and config.vocabulary
    warm_ups = warm_ups_in(demo.texts)
    known = stock_before(day, demo.book.exercises, config.chorus, config.vocabulary, warm_ups)
    asked = Request(day, "19:30", **evening)
    found = suggest(asked, known)
    assert found is not None and found.solution.proven
    written = [one.candidate.written for one in found.choices]
    made = planned_order(asked, known, written)
    assert findings(made) == []
    assert 0.6 * asked.minutes < total(made.items) / MINUTE <= asked.minutes
    assert {goal for one in found.choices for goal in one.candidate.goals} >= {*asked.goals}
    # each was planned for those who are there when it comes
    assert [item.there for item in made.items] == [one.item.there for one in found.choices]
    assert [item.keys for item in made.items] == [one.item.keys for one in found.choices]
    moves = sum(slot.moves for slot in timetable(made.items))
    assert moves <= (1 if asked.minutes <= 15 and asked.kind != "children" else 2)
    assert all(one.candidate.moment != "closing" for one in found.choices[:-1])
    late = [voice for voice, _ in arrivals(phases(asked, config.chorus))]
    for place in cut_order(found.choices, made, asked):
        others = [one for n, one in enumerate(found.choices) if n != place]
        served = {goal for one in others for goal in one.candidate.goals}
        main = {one.item.main_goal for one in others if one.stage != Stage.CLOSE}
        goals = found.choices[place].candidate.goals
        assert {*goals} & {*asked.goals} <= served and {goals[0]} & {*asked.goals} <= main
        assert not is_settling(found.choices[place].candidate)
    for voice in late:
        sung = [item for item in made.items if voice in item.there and sings(voice, item)]
        assert sung[0].impact == 2 or sung[0].half_closed
        assert all(item.level < 3 and item.impact < 4 for item in sung[:2])
        assert made.items[join_in(made) or 0] == sung[0]
    if asked.tired:
        louder = [one for one in found.choices[:-1] if one.item.impact > 2]
        assert all(one.item.half_closed or step(one.candidate) == 1 for one in louder)
        assert max(item.impact for item in made.items) <= 3
        assert join_in(made) is None  # ten minutes
    gentle = [item for item in made.items if item.impact > 1]
    assert gentle[0].impact == 2 and not found.choices[made.items.index(gentle[0])].candidate.swells
    steps = [step(one.candidate) for one in found.choices[:-1] if step(one.candidate)]
    assert steps == sorted(steps)
    assert all(len(item.keys) <= 4 for item in made.items if asked.minutes <= 15) or late
    if {*asked.goals} <= {"breath-flow", "vowels", "blend", "tuning"} and asked.goals:
        assert not any(one.candidate.quick for one in found.choices[-2:])


def test_after_a_break_it_is_low_and_slow(demo: Checked) -> None:
    config, day = demo.config, date(2027, 2, 4)
    assert config.chorus and config.vocabulary
    known = stock_before(
        day, demo.book.exercises, config.chorus, config.vocabulary, warm_ups_in(demo.texts)
    )
    assert known.last and day.toordinal() - known.last > 15
    found = suggest(Request(day, "19:30", 20, goals=("vowels",)), known)
    assert found and len(found.choices) <= 7
    for one in found.choices:
        assert one.item.impact <= 3 and len(one.item.keys) <= 3 and one.item.span <= 12
        assert one.item.impact == 1 or not one.candidate.quick
        assert one.item.level < 3 or one.item.status == "known"
    assert [step(one.candidate) for one in found.choices if step(one.candidate)][:2] == [1, 2]


HELD = replace(CHORD, parts=(frozenset("s"), frozenset("a"), frozenset("t"), frozenset("b")))
PAIRS = replace(UNISON, formation="facing-pairs")


def test_no_chord_in_parts_is_sung_in_facing_pairs() -> None:
    known = stock()
    pairs = {"facing-pairs": {"label": "In pairs", "diagram": "facing-pairs"}}
    vocabulary = Vocabulary.model_validate(
        known.vocabulary.model_dump(exclude_none=True) | {"formations": pairs}
    )
    for chord in (HELD, replace(HELD, formation="arc", as_they_stand=True)):
        order = (replace(BODY, slug="body"), replace(TRILL, slug="trill"), PAIRS, chord)
        assert suggested(order) is not None
        assert suggested(order, replace(known, vocabulary=vocabulary)) is None


def test_the_voice_opens_from_a_trill_by_a_hum_to_vowels_and_a_swell() -> None:
    goals = {
        **{"body": ("alignment",), "trill": ("resonance",), "opens": ("easy-onset",)},
        **{"vowels": ("vowels",), "swell": ("breath-flow", "dynamics")},
    }
    items = (BODY, TRILL, UNISON, UNISON, replace(HUM, half_closed=False, lines=1, span=4))
    found = [
        Candidate(
            replace(item, slug=slug, main_goal=goals[slug][0]),
            WarmUpItem(exercise=slug),
            goals=goals[slug],
            swells="dynamics" in goals[slug],
        )
        for slug, item in zip(goals, items, strict=True)
    ]
    asked = replace(request(30), keep=tuple(goals))
    for mixed in (found, found[::-1]):
        choices = model_of(asked, stock(), mixed, ALL_THERE, Season())
        solution = solve(choices.program)
        assert solution
        chosen = [one for one in choices.all if solution.values[one.column] > 0.5]
        assert [one.candidate.slug for one in sorted(chosen, key=lambda o: o.place)] == [*goals]
    assert not begins(found[-1]) and begins(found[1])


def test_what_is_planned_after_the_log_ends_is_not_new(demo: Checked) -> None:
    log = expected_log(warm_ups_in(demo.texts))
    day = date(2026, 12, 10).toordinal()
    assert log_of(warm_ups_in(demo.texts)).status("four-lights-on", day) == "new"
    assert log.status("four-lights-on", day) == "settling"
    unlogged = [one for one in warm_ups_in(demo.texts) if one.front.day > date(2026, 12, 1)]
    assert unlogged and expected_log(unlogged).days == ()  # nobody keeps a log


def test_spoken_sound_comes_after_half_closed_sound() -> None:
    spoken = replace(UNISON, title="Spoken", impact=2, span=13, lines=0)
    closed = replace(TRILL, span=14)  # both too wide for light singing
    goals = GOALS | {"Spoken": "vowels"}
    items = [
        replace(item, slug=slug, main_goal=goals[item.title])
        for slug, item in {"body": BODY, "spoken": spoken, "closed": closed}.items()
    ]
    found = [Candidate(one, WarmUpItem(exercise=one.slug), goals=(one.main_goal,)) for one in items]
    asked = replace(request(30), keep=tuple(one.slug for one in items))
    choices = model_of(asked, stock(), found, ALL_THERE, Season())
    solution = solve(choices.program)
    assert solution
    chosen = [one for one in choices.all if solution.values[one.column] > 0.5]
    places = {one.candidate.slug: (one.stage, one.place) for one in chosen}
    assert places["closed"] < places["spoken"]


def test_an_opener_and_a_closer_are_kept_for_a_season_of_this_chorus(demo: Checked) -> None:
    config, warm_ups = demo.config, warm_ups_in(demo.texts)
    assert config.chorus and config.vocabulary
    last = max(one.front.day for one in warm_ups if one.front.kind == "weekly")
    kept = {}
    for weeks in (1, 7, 8, 30):
        day = last + timedelta(weeks=weeks)
        known = stock_before(day, demo.book.exercises, config.chorus, config.vocabulary, warm_ups)
        kept[weeks] = {*known.kept.values()}
    assert kept == {1: {"opener", "closer"}, 7: {"opener", "closer"}, 8: set(), 30: set()}
    day = last + timedelta(weeks=1)
    known = stock_before(day, demo.book.exercises, config.chorus, config.vocabulary, warm_ups)
    for kind in ("weekly", "children"):
        found = suggest(Request(day, "17:00", 10, kind=kind), known)  # type: ignore[arg-type]
        assert found
        assert any(one.candidate.written.keep for one in found.choices) == (kind == "weekly")


def test_nothing_new_is_taught_while_a_voice_is_still_to_come(demo: Checked) -> None:
    config, day = demo.config, date(2027, 1, 14)
    assert config.chorus and config.vocabulary
    known = stock_before(
        day, demo.book.exercises, config.chorus, config.vocabulary, warm_ups_in(demo.texts)
    )
    asked = Request(day, "19:30", 15, goals=("expression",), there={"alto": "from 19:37"})
    found = suggest(asked, known)
    assert found
    new = [one for one in found.choices if is_new(one.candidate)]
    assert new and all(one.candidate.phase == 1 for one in new)


def test_what_was_learned_before_it_rested_needs_little_teaching() -> None:
    item = replace(ARPEGGIO, slug="item", main_goal="range", level=2, status="resting")
    twice, often = (
        Candidate(item, WarmUpItem(exercise="item"), goals=("range",), outings=outings, rested=60)
        for outings in (2, 3)
    )
    asked = request(15, "range")
    points = [worth_of(one, Stage.REACH, asked, Season()) for one in (twice, often)]
    assert points[1] - points[0] == weights.RESTING_LEARNED - weights.RESTING - weights.EFFORT[1]
    assert was_learned(often) and not was_learned(twice)


@pytest.mark.parametrize(
    ("items", "name", "new"),
    [
        ((BODY, TRILL, UNISON), "NEW_LAST", 2),
        ((BODY, TRILL, UNISON), "NEW_FIRST", 0),
        ((BODY, TRILL, UNISON, ARPEGGIO, CHORD, BLEND), "RESTLESS", None),
    ],
)
def test_what_costs_points(
    items: tuple[PlannedItem, ...], name: str, new: int | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is new at an end, and what is quick before calm music."""
    found = []
    for number, item in enumerate(items):
        goals = (GOALS[item.title],)
        status: Status = "new" if number == new else "known"
        own = replace(item, slug=f"item-{number}", main_goal=goals[0], status=status)
        quick = item is ARPEGGIO
        outings = 0 if number == new else 3
        found.append(
            Candidate(own, WarmUpItem(exercise=own.slug), goals=goals, quick=quick, outings=outings)
        )
    asked = replace(request(30, "blend"), keep=tuple(one.slug for one in found))
    if name != "RESTLESS":
        asked = replace(asked, goals=())
    worth, cost = [], getattr(weights, name)
    for points in (cost, 0):
        monkeypatch.setattr(weights, name, points)
        solution = solve(model_of(asked, stock(), found, ALL_THERE, Season()).program)
        assert solution
        worth.append(solution.worth)
    assert worth[1] - worth[0] == -POINT * cost
