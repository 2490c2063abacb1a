"""Finds what a handbook lacks: for each goal, the impacts and levels of which it has no exercise or
only one; and the exercises that were never sung."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from chorus_handbook.chorus.model import IMPACT_WORDS, LEVEL_WORDS
from chorus_handbook.views.evaluate import Condition, Row, meets

IMPACTS, LEVELS = tuple(IMPACT_WORDS), tuple(LEVEL_WORDS)


@dataclass(frozen=True, slots=True)
class GoalGaps:
    """How many exercises serve a goal.

    count: all of them.
    impacts: how many of each impact, in the order of `IMPACTS`.
    levels: how many of each level, in the order of `LEVELS`; those without a level are not counted.
    """

    goal: str
    count: int
    impacts: tuple[int, ...]
    levels: tuple[int, ...]

    def having(self, count: int) -> tuple[tuple[int, ...], tuple[int, ...]]:
        """The impacts, and the levels, of which the goal has exactly `count` exercises."""
        return (
            tuple(impact for impact, n in zip(IMPACTS, self.impacts, strict=True) if n == count),
            tuple(level for level, n in zip(LEVELS, self.levels, strict=True) if n == count),
        )


@dataclass(frozen=True, slots=True)
class Gaps:
    """What a handbook of `count` exercises lacks.

    goals: the goals in the order of the vocabulary.
    never_sung: the slugs of exercises that were never sung, sorted by title; None without a log.
    """

    count: int
    goals: tuple[GoalGaps, ...]
    never_sung: tuple[str, ...] | None

    def goals_having(self, count: int) -> tuple[str, ...]:
        """The goals that this number of exercises serve."""
        return tuple(one.goal for one in self.goals if one.count == count)

    def fewest(self) -> tuple[GoalGaps, ...]:
        """Of the goals with more than one exercise, the quarter that has the fewest, and any others
        that have no more than these; the fewest first. Empty if that is more than half of them."""
        several = (one for one in self.goals if one.count > 1)
        by_count = sorted(several, key=lambda one: one.count)
        most = by_count[(len(by_count) - 1) // 4].count if by_count else 0
        found = tuple(one for one in by_count if one.count <= most)
        return found if 2 * len(found) <= len(by_count) else ()


def find_gaps(rows: Mapping[str, Row], goals: Iterable[str], sung: Collection[str] | None) -> Gaps:
    """What exercises with these rows lack; `rows` are keyed by slug. `goals` are the goals of the
    vocabulary. `sung` has the slugs of the exercises that were ever sung, None if the chorus keeps
    no log."""
    found = tuple(_of_goal(goal, rows.values()) for goal in goals)
    never = None
    if sung is not None:
        by_title = sorted(rows, key=lambda slug: (str(rows[slug]["title"]).casefold(), slug))
        never = tuple(slug for slug in by_title if slug not in sung)
    return Gaps(len(rows), found, never)


def _of_goal(goal: str, rows: Iterable[Row]) -> GoalGaps:
    """The numbers of exercises among these rows that serve a goal."""
    wanted: Condition = {"field": "goals", "test": "one-of", "values": [goal]}
    serving = [row for row in rows if meets(row, wanted)]
    impacts = Counter(row["impact"] for row in serving)
    levels = Counter(row["level"] for row in serving)
    return GoalGaps(
        goal,
        len(serving),
        tuple(impacts[impact] for impact in IMPACTS),
        tuple(levels[level] for level in LEVELS),
    )
