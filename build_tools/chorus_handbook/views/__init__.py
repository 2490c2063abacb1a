"""Makes lists of exercises: one for each view in views.yml, and one for each goal.

A view is a saved question such as "impact: at most 2". `saved` reads views.yml, with `conditions`
for each condition and `fields` for what can be asked. `evaluate` makes a flat *row* of values from
each exercise and tests it against the conditions.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType

from chorus_handbook.chorus import ChorusConfig
from chorus_handbook.claims.subject import Subject
from chorus_handbook.entries.model import Entries, Moment
from chorus_handbook.problems import Problem
from chorus_handbook.source import clip
from chorus_handbook.views.evaluate import Condition, Row, Rule, admits, make_row, meets, sort_key
from chorus_handbook.views.fields import FIELDS
from chorus_handbook.views.saved import PlacedView, read_saved

#: The fields by which the exercises of a goal are sorted, before the title.
_GOAL_ORDER = ("impact", "level")


__all__ = ["Row", "View", "Views", "read_views"]


@dataclass(frozen=True, slots=True)
class View:
    """A view of views.yml with the exercises that belong to it.

    slug, title, intro: as in the file.
    moment: the part of a warm-up that it is for; None when it is for a situation, such as singing
        outdoors.
    members: the slugs of its exercises, which meet its `rule`, sorted by the fields in `order`.
    """

    slug: str
    title: str
    intro: str
    moment: Moment | None
    members: tuple[str, ...]
    rule: Rule = field(default_factory=lambda: Rule(all=[], any=[]))
    order: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Views:
    """All lists of exercises.

    saved: the views of views.yml, in file order.
    by_goal: maps each goal to the slugs of its exercises, sorted by impact, level and title.
    rows: maps the slug of each exercise to its row: its values of the fields that views ask about.
    """

    saved: tuple[View, ...] = ()
    by_goal: Mapping[str, tuple[str, ...]] = field(default_factory=lambda: MappingProxyType({}))
    rows: Mapping[str, Row] = field(default_factory=lambda: MappingProxyType({}))


def read_views(
    root: Path,
    entries: Entries,
    subjects: Iterable[Subject],
    config: ChorusConfig,
    *,
    complete: bool,
) -> tuple[Views, list[Problem]]:
    """Read views.yml of the handbook `root`, and make all lists.

    `subjects` are the exercises with valid fields. `complete` says whether these are all exercises;
    only then is an empty list reported. Returns the lists and the problems of views.yml.
    """
    rows = {subject.entry.slug: make_row(subject) for subject in subjects}
    placed_views, problems = read_saved(root, entries, config)
    ranks = _ranks(entries, config)
    saved = []
    for placed in placed_views:
        members = [row for row in rows.values() if admits(placed.rule, row)]
        # An exercise with errors has no row, and may be the one that the view is meant for.
        if rows and complete and not members:
            problems.append(_empty_view(placed, rows.values()))
        saved.append(_view(placed, members, ranks))
    by_goal = {
        goal: _sorted_slugs(_with_goal(goal, rows.values()), _GOAL_ORDER, ranks)
        for goal in (config.vocabulary.goals if config.vocabulary else ())
    }
    views = Views(tuple(saved), MappingProxyType(by_goal), MappingProxyType(rows))
    return views, sorted(problems)


def _with_goal(goal: str, rows: Iterable[Row]) -> list[Row]:
    """The rows of the exercises that have this goal."""
    wanted: Condition = {"field": "goals", "test": "one-of", "values": [goal]}
    return [row for row in rows if meets(row, wanted)]


def _view(placed: PlacedView, members: list[Row], ranks: dict[str, dict[str, int]]) -> View:
    view = placed.view
    slugs = _sorted_slugs(members, view.order, ranks)
    return View(
        view.slug, view.title, view.intro, view.moment, slugs, placed.rule, tuple(view.order)
    )


def _sorted_slugs(
    members: Iterable[Row], order: Iterable[str], ranks: dict[str, dict[str, int]]
) -> tuple[str, ...]:
    keys = sorted(sort_key(row, tuple(order), ranks) for row in members)
    return tuple(slug for _, _, slug in keys)


def _ranks(entries: Entries, config: ChorusConfig) -> dict[str, dict[str, int]]:
    """By field, for fields with known words: the position of each word in their own order, such as
    opening, middle, closing. Lists are sorted by it."""
    ranks = {}
    for name, described in FIELDS.items():
        known = described.known(config, entries)
        if known is not None:
            ranks[name] = {word: place for place, word in enumerate(known)}
    return ranks


def _empty_view(placed: PlacedView, rows: Collection[Row]) -> Problem:
    """The notice `view-empty` for a view without exercises. Its place is the condition that no
    exercise meets, if one alone is the reason."""
    view, document = placed.view, placed.document
    for condition in placed.rule["all"]:
        name = condition["field"]
        if not any(meets(row, condition) for row in rows):
            written = view.where[name]
            asked = ", ".join(map(str, written)) if isinstance(written, list) else written
            return Problem(
                document.place_of("where", name),
                "view-empty",
                f'The list "{view.title}" is empty: no exercise has "{name}: {clip(asked)}".',
                "Change this condition, or leave it until there is such an exercise.",
            )
    groups = placed.rule["any"]
    if groups and not any(
        all(meets(row, condition) for condition in group) for row in rows for group in groups
    ):
        return Problem(
            document.place_of("any"),
            "view-empty",
            f'The list "{view.title}" is empty: no exercise meets any group under "any".',
            "Change a group, or leave it until there is such an exercise.",
        )
    return Problem(
        document.place,
        "view-empty",
        f'The list "{view.title}" is empty: no exercise meets all its conditions at once.',
        "Change or delete a condition, or leave it until there is such an exercise.",
    )
