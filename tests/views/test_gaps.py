"""What a stock lacks, counted."""

from __future__ import annotations

from collections import Counter
from typing import Any

from checked import Checked
from chorus_handbook.views.gaps import GoalGaps, find_gaps


def row(slug: str, title: str, goals: tuple[str, ...], impact: int, level: int | None) -> Any:
    return {"slug": slug, "title": title, "goals": goals, "impact": impact, "level": level}


ROWS = {
    "a": row("a", "Zeal", ("blend", "tuning"), 2, 1),
    "b": row("b", "ark", ("blend",), 2, 3),
    "c": row("c", "Boat", ("blend",), 5, None),
}


def test_each_goal_has_its_numbers_by_impact_and_level() -> None:
    gaps = find_gaps(ROWS, ["blend", "tuning", "range"], {"a"})
    assert gaps.count == 3
    assert gaps.goals == (
        GoalGaps("blend", 3, (0, 2, 0, 0, 1), (1, 0, 1)),
        GoalGaps("tuning", 1, (0, 1, 0, 0, 0), (1, 0, 0)),
        GoalGaps("range", 0, (0, 0, 0, 0, 0), (0, 0, 0)),
    )
    assert gaps.goals[0].having(0) == ((1, 3, 4), (2,))
    assert gaps.goals[0].having(1) == ((5,), (1, 3))
    assert (gaps.goals_having(0), gaps.goals_having(1)) == (("range",), ("tuning",))


def test_what_was_never_sung_is_listed_by_title() -> None:
    assert find_gaps(ROWS, [], {"a"}).never_sung == ("b", "c")
    assert find_gaps(ROWS, [], {*ROWS}).never_sung == ()
    assert find_gaps(ROWS, [], None).never_sung is None


def test_the_demos_numbers_are_those_of_its_files(demo: Checked) -> None:
    """Counted again from the front matter, without rows and conditions."""
    assert demo.config.vocabulary
    fronts = [exercise.front for exercise in demo.exercises.values()]
    counted = Counter((goal, front.impact) for front in fronts for goal in front.goals)
    gaps = find_gaps(demo.views.rows, demo.config.vocabulary.goals, None)
    found = {
        (one.goal, impact): n for one in gaps.goals for impact, n in enumerate(one.impacts, 1) if n
    }
    assert found == counted
    assert [one.goal for one in gaps.goals] == list(demo.config.vocabulary.goals)
