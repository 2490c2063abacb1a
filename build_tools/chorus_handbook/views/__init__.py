"""Exercises sorted into saved views and by goal.

`fields` says what can be asked, `record` makes the flat record of an exercise, `conditions` reads
what an author asks, `evaluate` holds the one against the other, `saved` reads views.yml.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType

from chorus_handbook.chorus import Setting
from chorus_handbook.claims.subject import Subject
from chorus_handbook.entries.model import Entries
from chorus_handbook.music import Music
from chorus_handbook.problems import Problem
from chorus_handbook.views.empty import empty_view
from chorus_handbook.views.evaluate import Condition, admits, meets
from chorus_handbook.views.fields import FIELDS
from chorus_handbook.views.ordering import sort_key
from chorus_handbook.views.record import Record, make_record
from chorus_handbook.views.saved import PlacedView, read_saved


@dataclass(frozen=True, slots=True)
class View:
    """A saved view and the slugs of the exercises in it, in its order."""

    slug: str
    title: str
    intro: str
    members: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Views:
    """`saved` in file order; `by_goal`: for every goal of the vocabulary the slugs that serve it,
    by title; `records`: the flat record of every exercise, by slug."""

    saved: tuple[View, ...] = ()
    by_goal: Mapping[str, tuple[str, ...]] = field(default_factory=lambda: MappingProxyType({}))
    records: Mapping[str, Record] = field(default_factory=lambda: MappingProxyType({}))


def read_views(
    root: Path, entries: Entries, music: Music, setting: Setting
) -> tuple[Views, list[Problem]]:
    """Sort the exercises into the views of `root`/views.yml and by goal."""
    records = {}
    for entry in entries.entries:
        score, facts = music.scores.get(entry.slug), music.facts.get(entry.slug)
        subject = Subject(entry, score, facts, setting.chorus, setting.vocabulary)
        records[entry.slug] = make_record(subject)
    placed, problems = read_saved(root, entries, setting)
    ranks = _ranks(entries, setting)
    saved = []
    # What could not be measured may be just what a view is for.
    known = setting.chorus and setting.vocabulary and all(map(music.complete, entries.entries))
    for item in placed:
        members = [record for record in records.values() if admits(item.rule, record)]
        if records and known and not members:
            problems.append(empty_view(item, records.values()))
        saved.append(_view(item, members, ranks))
    by_goal = {
        goal: _sorted(_serving(goal, records.values()), (), ranks)
        for goal in (setting.vocabulary.goals if setting.vocabulary else ())
    }
    views = Views(tuple(saved), MappingProxyType(by_goal), MappingProxyType(records))
    return views, sorted(problems)


def _serving(goal: str, records: Iterable[Record]) -> list[Record]:
    wanted: Condition = {"field": "goals", "test": "one-of", "values": [goal]}
    return [record for record in records if meets(record, wanted)]


def _view(item: PlacedView, members: list[Record], ranks: dict[str, dict[str, int]]) -> View:
    view = item.view
    return View(view.slug, view.title, view.intro, _sorted(members, view.order, ranks))


def _sorted(
    members: Iterable[Record], order: Iterable[str], ranks: dict[str, dict[str, int]]
) -> tuple[str, ...]:
    keys = sorted(sort_key(record, tuple(order), ranks) for record in members)
    return tuple(slug for _, _, slug in keys)


def _ranks(entries: Entries, setting: Setting) -> dict[str, dict[str, int]]:
    """By field, each known word's place in its own order."""
    ranks = {}
    for name, described in FIELDS.items():
        known = described.known(setting, entries)
        if known is not None:
            ranks[name] = {word: place for place, word in enumerate(known)}
    return ranks
