"""Sorts exercises into the saved views of views.yml and by goal.

`fields` says what can be asked, `conditions` reads what an author asks, `evaluate` makes the flat
row of an exercise and compares the two, `saved` reads views.yml.
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
from chorus_handbook.views.evaluate import Condition, Row, admits, make_row, meets, sort_key
from chorus_handbook.views.fields import FIELDS
from chorus_handbook.views.saved import PlacedView, read_saved

#: What the exercises of a goal are sorted by, before the title: gentle and easy ones first.
_GOAL_ORDER = ("impact", "level")


@dataclass(frozen=True, slots=True)
class View:
    """A saved view and the slugs of the exercises in it, in its order. `moment`: the part of a
    warm-up that it is for, None where it is for a situation."""

    slug: str
    title: str
    intro: str
    moment: Moment | None
    members: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Views:
    """`saved` in file order; `by_goal`: for every goal of the vocabulary the slugs that serve it,
    by impact, level and title; `rows`: the flat row of every exercise, by slug."""

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
    """Sort the exercises into the views of `root`/views.yml and by goal. `complete`: all that can
    be known of the exercises is known."""
    rows = {subject.entry.slug: make_row(subject) for subject in subjects}
    placed, problems = read_saved(root, entries, config)
    ranks = _ranks(entries, config)
    saved = []
    for item in placed:
        members = [row for row in rows.values() if admits(item.rule, row)]
        # An exercise with errors may be the very one that a view is for.
        if rows and complete and not members:
            problems.append(_empty_view(item, rows.values()))
        saved.append(_view(item, members, ranks))
    by_goal = {
        goal: _sorted(_serving(goal, rows.values()), _GOAL_ORDER, ranks)
        for goal in (config.vocabulary.goals if config.vocabulary else ())
    }
    views = Views(tuple(saved), MappingProxyType(by_goal), MappingProxyType(rows))
    return views, sorted(problems)


def _serving(goal: str, rows: Iterable[Row]) -> list[Row]:
    wanted: Condition = {"field": "goals", "test": "one-of", "values": [goal]}
    return [row for row in rows if meets(row, wanted)]


def _view(item: PlacedView, members: list[Row], ranks: dict[str, dict[str, int]]) -> View:
    view = item.view
    slugs = _sorted(members, view.order, ranks)
    return View(view.slug, view.title, view.intro, view.moment, slugs)


def _sorted(
    members: Iterable[Row], order: Iterable[str], ranks: dict[str, dict[str, int]]
) -> tuple[str, ...]:
    keys = sorted(sort_key(row, tuple(order), ranks) for row in members)
    return tuple(slug for _, _, slug in keys)


def _ranks(entries: Entries, config: ChorusConfig) -> dict[str, dict[str, int]]:
    """By field, each known word's place in its own order."""
    ranks = {}
    for name, described in FIELDS.items():
        known = described.known(config, entries)
        if known is not None:
            ranks[name] = {word: place for place, word in enumerate(known)}
    return ranks


def _empty_view(placed: PlacedView, rows: Collection[Row]) -> Problem:
    """Notice `view-empty`, at the condition that shuts out everything when there is one."""
    view, document = placed.view, placed.document
    for condition in placed.rule["all"]:
        name = condition["field"]
        if not any(meets(row, condition) for row in rows):
            written = view.where[name]
            asked = ", ".join(map(str, written)) if isinstance(written, list) else written
            return Problem(
                document.place_of("where", name),
                "view-empty",
                f'The list "{view.title}" is empty: no exercise has {name}: {clip(asked)}.',
                "Loosen this condition, or keep the view until there is such an exercise.",
            )
    groups = placed.rule["any"]
    if groups and not any(
        all(meets(row, condition) for condition in group) for row in rows for group in groups
    ):
        return Problem(
            document.place_of("any"),
            "view-empty",
            f'The list "{view.title}" is empty: no exercise meets any of the groups under any.',
            "Loosen a group, or keep the view until there is such an exercise.",
        )
    return Problem(
        document.place,
        "view-empty",
        f'The list "{view.title}" is empty: each condition is met, but never all at once.',
        "Loosen one of them, or keep the view until there is such an exercise.",
    )
