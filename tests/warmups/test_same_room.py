"""Two warm-ups at one time in one room."""

from __future__ import annotations

import pytest

from chorus_handbook.entries.model import Source, Text
from chorus_handbook.entries.warm_up import WARM_UP, WarmUpFields
from chorus_handbook.warmups.same_room import check_rooms
from chorus_handbook.warmups.texts import warm_ups_in


def warm_up(day: str, starts: str, room: str | None, minutes: float = 15) -> Text[WarmUpFields]:
    front = WarmUpFields.model_validate(
        {
            "title": "Night",
            "date": day,
            "starts": starts,
            "minutes": minutes,
            "room": room,
            "items": [{"exercise": "low-tide"}],
        }
    )
    slug = f"{day}-{starts.replace(':', '')}{room}"
    path = f"handbook/warmups/{slug}.md"
    return Text(WARM_UP.name, Source(slug, path, None, {}), front.title, front)


@pytest.mark.parametrize(
    ("first", "second", "meet"),
    [
        (("2026-09-03", "19:30", "Loft"), ("2026-09-03", "19:44", " loft"), True),
        (("2026-09-03", "19:30", "Loft"), ("2026-09-03", "19:45", "Loft"), False),
        (("2026-09-03", "19:30", "Loft"), ("2026-09-03", "19:30", "Quay"), False),
        (("2026-09-03", "19:30", None), ("2026-09-03", "19:40", None), True),
        (("2026-09-03", "19:30", None), ("2026-09-10", "19:30", None), False),
        (("2026-12-31", "23:50", "Loft"), ("2027-01-01", "0:04", "Loft"), True),
        (("2026-12-31", "23:50", "Loft"), ("2027-01-01", "0:05", "Loft"), False),
    ],
)
def test_two_warm_ups_meet(
    first: tuple[str, str, str | None], second: tuple[str, str, str | None], meet: bool
) -> None:
    texts = warm_ups_in([warm_up(*second), warm_up(*first)])
    found = list(check_rooms(texts))
    assert [problem.code for problem in found] == ["warmup-twice"] * meet
    assert all(problem.place.path == texts[1].source.path for problem in found)


@pytest.mark.parametrize(
    ("first", "second"),
    [
        (("2026-09-03", "19:30", None), ("2026-09-03", "19:44", "Quay")),
        (("2026-09-03", "19:30", "Quay"), ("2026-09-03", "19:44", None)),
    ],
)
def test_without_a_room_they_may_meet(
    first: tuple[str, str, str | None], second: tuple[str, str, str | None]
) -> None:
    texts = warm_ups_in([warm_up(*second), warm_up(*first)])
    (asked,) = check_rooms(texts)
    assert asked.code == "warmup-room" and asked.message.startswith("Is this warm-up in another")
    later = (first[0], "19:45", second[2])
    assert not [*check_rooms(warm_ups_in([warm_up(*first), warm_up(*later)]))]


def test_a_short_one_within_a_long_one_does_not_hide_it() -> None:
    """The third begins after the short one has ended, but during the long one."""
    day = "2026-09-03"
    texts = [
        warm_up(day, "19:30", "Loft", 60),
        warm_up(day, "19:35", "Loft", 5),
        warm_up(day, "19:50", "Loft", 10),
    ]
    found = list(check_rooms(warm_ups_in(texts)))
    assert [problem.place.path for problem in found] == [text.source.path for text in texts[1:]]
