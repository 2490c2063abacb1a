"""A running order made from exercises of the demo, against their own files."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from chorus_handbook.chorus import read_chorus_config
from chorus_handbook.entries.files import ContentFile
from chorus_handbook.entries.model import EXERCISE, Source, Text
from chorus_handbook.entries.warm_up import WARM_UP, WarmUpFields
from chorus_handbook.records import Exercise
from chorus_handbook.records.making import make_record
from chorus_handbook.warmups.planning import running_order
from chorus_handbook.warmups.rotation import Log
from chorus_handbook.warmups.running_order import MINUTE, SECOND, RunningOrder
from conftest import PROJECT

ROOT = PROJECT / "handbook"
SLUGS = ("hand-over-hand", "slipway", "ratlines", "herring-fleet", "fog-signal")


@pytest.fixture(scope="module")
def plan() -> Callable[..., RunningOrder]:
    """Makes a running order from fields of a warm-up and items; exercises are measured once."""
    config, _ = read_chorus_config(ROOT)
    chorus, vocabulary = config.chorus, config.vocabulary
    assert chorus and vocabulary
    stock: dict[str, Exercise] = {}
    for slug in (*SLUGS, "at-the-mooring"):
        page = EXERCISE.page(slug)
        record = make_record(ContentFile(ROOT / page, EXERCISE, slug, page), config, ROOT)
        assert isinstance(record.content, Exercise)
        stock[slug] = record.content

    def make(items: list[dict[str, Any]], log: Log | None = None, **fields: Any) -> RunningOrder:
        about = {"title": "Night", "date": "2026-09-03", "starts": "19:30", "minutes": 20}
        front = WarmUpFields.model_validate({**about, "items": items, **fields})
        text = Text(WARM_UP.name, Source("night", "handbook/warmups/x.md", None, {}), "N", front)
        order = running_order(text, stock, chorus, vocabulary, log or Log())
        assert order is not None
        return order

    return make


def test_an_item_is_as_its_exercise_says(plan: Callable[..., RunningOrder]) -> None:
    body, trill, leap, four, held = plan([{"exercise": slug} for slug in SLUGS]).items
    assert (body.impact, body.singing, body.keys, body.formation) == (1, 0, (), "facing-pairs")
    assert "body" in body.families
    assert trill.half_closed and trill.unison and trill.impact == 2 and "breath" in trill.families
    assert (leap.impact, leap.leap, leap.span) == (4, 12, 12)
    assert (four.lines, four.is_round, four.level, four.unites) == (4, True, 3, True)
    assert held.lines < 3 and held.main_goal == "tuning"
    assert body.active and not trill.active
    assert trill.from_above and not leap.from_above  # 5 4 3 and so on; 1 3 5 8
    everyone = frozenset({"soprano", "alto", "tenor", "bass"})
    assert trill.parts == (everyone,) and len(four.parts) == 4 and held.there == everyone


def test_times_follow_the_log(plan: Callable[..., RunningOrder]) -> None:
    """Slipway states 3 minutes; once known it takes its measured length and 20 s of talk."""
    day = 739862  # 2026-09-03, as date.toordinal counts
    weeks = (day - 28, day - 21, day - 14, day - 7)
    item = [{"exercise": "slipway"}]
    new = plan(item, Log({}, weeks)).items[0]
    known = plan(item, Log({"slipway": weeks}, weeks)).items[0]
    settling = plan(item).items[0]
    assert (new.status, known.status, settling.status) == ("new", "known", "settling")
    assert new.length == 3 * MINUTE and known.length < new.length
    assert settling.length == (new.length + known.length) // 2
    assert known.weeks_running == 4
    assert known.singing < settling.singing < new.singing  # a first time is spent trying
    assert plan([{"exercise": "slipway", "minutes": 2}]).items[0].length == 2 * MINUTE


def test_planned_keys_shorten_and_keep_their_order(plan: Callable[..., RunningOrder]) -> None:
    whole = plan([{"exercise": "slipway"}]).items[0]
    few = plan([{"exercise": "slipway", "keys": "Eb4 down to Db4"}]).items[0]
    assert (len(whole.keys), len(few.keys)) == (6, 3)
    assert few.keys == whole.keys[:3]
    assert few.sound == whole.sound // 2 and few.length < whole.length
    assert few.singing < whole.singing


def test_who_is_there(plan: Callable[..., RunningOrder]) -> None:
    item = {"exercise": "slipway"}
    only = plan([item], present=["bass"])
    assert {name for key in only.items[0].keys for name in key} == {"bass"}
    late = plan([item, item], there={"bass": "from 19:32"})
    assert ["bass" in order.keys[0] for order in late.items] == [False, True]
    midnight = plan([item, item], there={"bass": "from 0:01"}, starts="23:59")
    assert ["bass" in order.keys[0] for order in midnight.items] == [False, True]
    assert midnight.arrivals == {"bass": 2 * MINUTE}
    twice = plan([item], there={"bass": "from 19:40", "all": "from 19:35"})
    assert twice.arrivals["bass"] == 10 * MINUTE and twice.arrivals["alto"] == 5 * MINUTE
    assert plan([item], there={"bass": "from 19:30", "alto": "from 19:00"}).arrivals == {}
    nobody = plan([item], there={"all": "from 20:00"})
    assert nobody.items[0].unsung_key == "Eb4"


def test_the_comfortable_range_is_the_chorus_s(plan: Callable[..., RunningOrder]) -> None:
    order = plan([{"exercise": "slipway"}])
    assert order.voices["soprano"] == ("Soprano", 60, 77)  # C4 to F5
    assert order.allowed == 20 * 60 * SECOND and order.occasion == "weekly"
    assert replace(order, items=()).singing_before(0) == 0


def test_most_formations_are_only_suggested(plan: Callable[..., RunningOrder]) -> None:
    # Scattered through the room; in a square; scattered, but the plan names it.
    named = {"exercise": "slipway", "formation": "scattered"}
    items = plan([{"exercise": "slipway"}, {"exercise": "herring-fleet"}, named]).items
    assert [item.as_they_stand for item in items] == [True, False, False]


def test_to_stand_tall_is_not_to_move(plan: Callable[..., RunningOrder]) -> None:
    (still,) = plan([{"exercise": "at-the-mooring"}]).items
    assert "body" in still.families and not still.active


@pytest.mark.parametrize("kind", ["seated", "online"])
def test_who_sits_or_sings_at_home_does_not_walk(
    plan: Callable[..., RunningOrder], kind: str
) -> None:
    items = [{"exercise": "hand-over-hand"}, {"exercise": "slipway", "formation": "circle"}]
    assert [item.formation for item in plan(items).items] == ["facing-pairs", "circle"]
    assert [item.formation for item in plan(items, kind=kind).items] == ["", "circle"]


def test_few_late_and_again(plan: Callable[..., RunningOrder]) -> None:
    """What a warm-up says of its people, and a second block after midnight."""
    items = [{"exercise": "slipway", "note": "Softly."}, {"exercise": "slipway", "at": "0:20"}]
    order = plan(items, few=["lower"], there={"bass": "from 23:38"}, join_in=1, starts="23:30")
    assert order.few == {"tenor", "bass"} and order.arrivals == {"bass": 8 * MINUTE}
    assert order.join_in == 1 and order.items[0].comment == "Softly."
    assert [item.at for item in order.items] == [None, 50 * MINUTE]
    assert [len(block) for block in order.blocks] == [1, 1]
