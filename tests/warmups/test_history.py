"""What pages know of earlier warm-ups, and where each exercise is used."""

from __future__ import annotations

from datetime import date

from chorus_handbook.entries.model import Source, Text
from chorus_handbook.entries.warm_up import ROUTINE, WARM_UP, RoutineFields, WarmUpFields
from chorus_handbook.warmups.history import (
    Appearance,
    Earlier,
    Uses,
    history_of,
    uses_in,
)


def warm_up(day: str, *items: dict[str, str]) -> Text[WarmUpFields]:
    about = {"title": "Night", "date": day, "starts": "19:30", "minutes": 15, "items": [*items]}
    front = WarmUpFields.model_validate(about)
    source = Source(day, f"handbook/warmups/{day}-night.md", None, {})
    return Text(WARM_UP.name, source, "Night", front)


FIRST = warm_up(
    "2026-09-03",
    {"exercise": "slipway", "sung": "yes", "top": "E4"},
    {"exercise": "eddies", "sung": "cut"},
)
SECOND = warm_up("2026-09-10", {"exercise": "slipway", "sung": "yes", "remark": "Too high."})
PLANNED = warm_up("2026-09-17", {"exercise": "eddies"}, {"exercise": "slipway"})
TEXTS = [PLANNED, SECOND, FIRST]


def test_only_what_was_sung_before_counts() -> None:
    history = history_of(PLANNED, TEXTS)
    days = tuple(date(2026, 9, day).toordinal() for day in (3, 10))
    assert history.log.sung == {"slipway": days} and history.log.days == days
    assert history.last == Earlier(
        "warmups/2026-09-10-night.md", "2026-09-10", ("slipway",), ("slipway",)
    )


def test_a_plan_that_nobody_logged_is_told_as_planned() -> None:
    later = warm_up("2026-09-24", {"exercise": "slipway"})
    last = history_of(later, [*TEXTS, later]).last
    assert last and last.exercises == ("eddies", "slipway")


def test_what_comes_later_changes_nothing() -> None:
    later = warm_up("2026-09-24", {"exercise": "eddies", "sung": "yes"})
    assert history_of(PLANNED, TEXTS) == history_of(PLANNED, [*TEXTS, later])


def test_what_was_dropped_too_soon_and_when_something_was_new() -> None:
    """Unlearned is what was sung, but fewer than three times (common practice)."""
    third = warm_up("2026-09-17", {"exercise": "slipway", "sung": "yes"}, {"exercise": "eddies"})
    fourth = warm_up("2026-09-24", {"exercise": "gangway", "sung": "yes"})
    later = warm_up("2026-11-05", {"exercise": "slipway"})
    texts = [FIRST, SECOND, third, fourth, later]
    after_three = history_of(fourth, texts)
    assert after_three.last and after_three.last.unlearned == ()
    assert after_three.last_new == "2026-09-03"
    after_four = history_of(later, texts)
    assert after_four.last and after_four.last.unlearned == ("gangway",)
    assert after_four.last_new == "2026-09-24"
    assert history_of(third, texts).last_new == ""  # two warm-ups cannot tell what is new


def test_the_first_warm_up_has_no_history() -> None:
    assert history_of(FIRST, TEXTS).last is None and not history_of(FIRST, TEXTS).log.days


def test_where_each_exercise_is_used() -> None:
    quartet = RoutineFields.model_validate(
        {"title": "Quartet", "items": [{"exercise": "eddies"}, {"exercise": "eddies"}]}
    )
    source = Source("quartet", "handbook/routines/quartet.md", None, {})
    uses = uses_in([*TEXTS, Text(ROUTINE.name, source, "Quartet", quartet)])
    pages = [f"warmups/2026-09-{day}-night.md" for day in ("17", "10", "03")]
    assert uses == {
        "eddies": Uses(
            (Appearance("2026-09-17", pages[0], "Night", planned=True),),
            (("routines/quartet.md", "Quartet"),),
        ),
        "slipway": Uses(
            (
                Appearance("2026-09-17", pages[0], "Night", planned=True),
                Appearance("2026-09-10", pages[1], "Night", sung=True, remark="Too high."),
                Appearance("2026-09-03", pages[2], "Night", sung=True, top="E4"),
            ),
            sung=tuple(date(2026, 9, day).toordinal() for day in (3, 10)),
        ),
    }


def test_what_was_left_out_is_told_only_with_its_reason() -> None:
    texts = [
        warm_up("2026-09-03", {"exercise": "eddies", "sung": "skipped"}),
        warm_up("2026-09-10", {"exercise": "eddies", "sung": "cut", "remark": "No time."}),
    ]
    (only,) = uses_in(texts)["eddies"].warm_ups
    assert (only.sung, only.planned, only.remark) == (False, False, "No time.")
