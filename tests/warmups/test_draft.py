"""What the next warm-up takes from the last one."""

from __future__ import annotations

from chorus_handbook.entries.model import Source, Text
from chorus_handbook.entries.warm_up import WARM_UP, WarmUpFields
from chorus_handbook.warmups.draft import items_of_last


def copied(*items: dict[str, str]) -> list[str]:
    about = {"title": "Night", "date": "2026-09-03", "starts": "19:30", "minutes": 15}
    front = WarmUpFields.model_validate({**about, "items": [*items]})
    source = Source("night", "handbook/warmups/2026-09-03-night.md", None, {})
    last = Text(WARM_UP.name, source, "Night", front)
    return [item.exercise for item in items_of_last(last)]


def test_what_was_sung_or_else_all() -> None:
    hum, scale = {"exercise": "hum"}, {"exercise": "scale"}
    assert copied(hum, scale) == ["hum", "scale"]
    assert copied(hum, {**scale, "sung": "yes"}) == ["scale"]


def test_a_later_block_is_not_copied() -> None:
    again = {"exercise": "hum", "at": "20:10"}
    assert copied({"exercise": "hum"}, {"exercise": "scale"}, again) == ["hum", "scale"]
