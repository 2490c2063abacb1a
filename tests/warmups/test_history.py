"""What pages know of earlier warm-ups, and when each exercise was sung."""

from __future__ import annotations

from datetime import date

from chorus_handbook.entries.model import Source, Text
from chorus_handbook.entries.warm_up import WARM_UP, WarmUpFields
from chorus_handbook.warmups.history import Earlier, TimeSung, history_of, times_sung


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


def test_when_each_exercise_was_sung() -> None:
    assert times_sung(TEXTS) == {
        "slipway": (
            TimeSung("2026-09-10", "warmups/2026-09-10-night.md", "", "Too high."),
            TimeSung("2026-09-03", "warmups/2026-09-03-night.md", "E4", ""),
        )
    }
