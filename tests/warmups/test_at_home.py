"""What singers find at home: what to practise for the warm-ups to come, and what was sung last."""

from __future__ import annotations

from chorus_handbook.entries.model import Source, Text
from chorus_handbook.entries.warm_up import WARM_UP, WarmUpFields
from chorus_handbook.warmups.at_home import AtHome, Evening, at_home_in


def warm_up(day: str, at_home: list[str], *items: tuple[str, str | None]) -> Text[WarmUpFields]:
    listed = [{"exercise": name, **({"sung": sung} if sung else {})} for name, sung in items]
    about = {"title": day, "date": day, "starts": "19:30", "minutes": 15, "at_home": at_home}
    front = WarmUpFields.model_validate({**about, "items": listed})
    source = Source(day, f"handbook/warmups/{day}-night.md", None, {})
    return Text(WARM_UP.name, source, day, front)


def evening(day: str, *exercises: str) -> Evening:
    return Evening(day, "19:30", f"warmups/{day}-night.md", day, exercises)


SUNG = warm_up("2026-09-03", ["slipway"], ("slipway", "yes"), ("eddies", "cut"))
FORGOTTEN = warm_up("2026-09-10", ["eddies"], ("eddies", None))
CUT = warm_up("2026-09-17", ["oyster"], ("oyster", "skipped"))
NEXT = warm_up("2026-09-24", ["oyster", "eddies"], ("slipway", None))
NOTHING_PICKED = warm_up("2026-10-01", [], ("slipway", None))
LATER = warm_up("2026-10-08", ["slipway"], ("slipway", None))


def test_what_has_a_log_or_lies_before_one_is_past() -> None:
    found = at_home_in([LATER, NOTHING_PICKED, NEXT, CUT, FORGOTTEN, SUNG])
    assert found.to_practise == (
        evening("2026-09-24", "oyster", "eddies"),
        evening("2026-10-08", "slipway"),
    )
    assert found.for_exercise("eddies") == found.to_practise[:1]
    assert found.for_exercise("roll-call") == ()


def test_only_what_was_sung_was_done() -> None:
    found = at_home_in([SUNG, FORGOTTEN, CUT, NEXT])
    assert found.last == evening("2026-09-03", "slipway")
    assert found.exercises == ("oyster", "eddies", "slipway")


def test_without_a_log_every_warm_up_may_be_the_next() -> None:
    found = at_home_in([NEXT, FORGOTTEN])
    assert [one.date for one in found.to_practise] == ["2026-09-10", "2026-09-24"]
    assert found.last is None


def test_without_warm_ups_there_is_nothing() -> None:
    assert at_home_in([]) == AtHome() and AtHome().exercises == ()
