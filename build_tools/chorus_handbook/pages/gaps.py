"""The page "What the stock lacks". (The stock is all exercises of the handbook.)

It says in words for which goals there is no exercise or only one. Two tables count the exercises of
each goal, by impact and by level. At the end are the exercises that were never sung. Goals and
numbers link to the page "Find an exercise", which shows the exercises that were counted.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from chorus_handbook.catalogue import N_, _, ngettext
from chorus_handbook.chorus.model import IMPACT_WORDS, LEVEL_WORDS, Vocabulary
from chorus_handbook.pages.facets import query
from chorus_handbook.pages.find import FIND
from chorus_handbook.pages.html import render
from chorus_handbook.pages.page import Page, exercise_path, link
from chorus_handbook.views.gaps import Gaps

GAPS = "gaps.md"
GAPS_TITLE = N_("What the stock lacks")
GAPS_ABOUT = N_("The gaps: for which goals an exercise is missing, and what was never sung.")


#: The numbers by one field (impact or level): the field, its values with their words, and for each
#: goal how many exercises it has in all and of each value.
Side = tuple[str, Sequence[tuple[str, str]], Sequence[tuple[str, int, Sequence[int]]]]


@dataclass(frozen=True, slots=True)
class Lack:
    """One line of a list whose heading says what there is for some goals, such as no exercise.
    `what`: the sort of exercise, such as "Impact 2, gentle". `goals`: the label and link of each of
    these goals; empty if they are all goals."""

    what: str
    goals: list[tuple[str, str]]


def gaps_page(gaps: Gaps, titles: Mapping[str, str], vocabulary: Vocabulary) -> Page:
    """The page that says what the stock of exercises lacks (`gaps`). `titles` has the title of each
    exercise that was never sung."""
    title = _(GAPS_TITLE)
    impacts = [(str(n), _(word)) for n, word in IMPACT_WORDS.items()]
    levels = [(str(n), _(word)) for n, word in LEVEL_WORDS.items()]
    by_impact = [(one.goal, one.count, one.impacts) for one in gaps.goals]
    by_level = [(one.goal, one.count, one.levels) for one in gaps.goals]
    sides: tuple[Side, ...] = (
        ("impact", [(n, _("Impact {n}, {word}", n=n, word=w)) for n, w in impacts], by_impact),
        ("level", [(n, _("To learn: {level}", level=w)) for n, w in levels], by_level),
    )
    content = render(
        "gaps.html",
        title=title,
        intro=[
            ngettext(
                "What is missing among {n} exercise, goal by goal.",
                "What is missing among {n} exercises, goal by goal.",
                gaps.count,
            )
        ],
        fewest=[
            (
                vocabulary.goals[one.goal].label,
                link(GAPS, FIND) + query({"goals": [one.goal]}),
                one.count,
            )
            for one in gaps.fewest()
        ],
        tables=[
            _table("impact", _("Goals by impact"), impacts, by_impact, vocabulary),
            _table("level", _("Goals by how soon they are learned"), levels, by_level, vocabulary),
        ],
        lacking=[
            (_("Nothing for"), [*_in_words(0, sides, vocabulary)]),
            (_("Exercises only for"), [*_only_for(sides, vocabulary)]),
            (_("Only one exercise for"), [*_in_words(1, sides, vocabulary)]),
        ],
        never_sung=None
        if gaps.never_sung is None
        else [(titles[slug], link(GAPS, exercise_path(slug))) for slug in gaps.never_sung],
    )
    return Page(
        path=GAPS,
        title=title,
        description=_(GAPS_ABOUT),
        content=content,
    )


def _in_words(count: int, sides: Iterable[Side], vocabulary: Vocabulary) -> Iterator[Lack]:
    """The lines that name the goals with this number of exercises (0 or 1): first in all, then for
    each impact and level. The latter leave out goals with fewer than two exercises in all, and
    what `_only_for` says."""
    for place, (field, columns, counts) in enumerate(sides):
        if not place and (goals := [goal for goal, n, _row in counts if n == count]):
            yield Lack(_("In all"), [_asked(goal, vocabulary) for goal in goals])
        for column, (value, words) in enumerate(columns):
            found, having = _by_count(count, column, counts)
            only = {field: [value]} if count else {}
            if not having:
                if found and not count:
                    yield Lack(words, [])
            elif found and (count or len(found) <= len(having)):
                yield Lack(words, [_asked(goal, vocabulary, **only) for goal in found])


def _only_for(sides: Iterable[Side], vocabulary: Vocabulary) -> Iterator[Lack]:
    """The lines for each impact and level that most goals lack: the goals that have it."""
    for field, columns, counts in sides:
        for column, (value, words) in enumerate(columns):
            lacking, having = _by_count(0, column, counts)
            if having and len(lacking) > len(having):
                yield Lack(words, [_asked(goal, vocabulary, **{field: [value]}) for goal in having])


def _by_count(
    count: int, column: int, counts: Sequence[tuple[str, int, Sequence[int]]]
) -> tuple[list[str], list[str]]:
    """Of the goals with more than one exercise, those with so many of one value of a field, and
    those with any of it."""
    more = [(goal, row[column]) for goal, n, row in counts if n > 1]
    return [goal for goal, n in more if n == count], [goal for goal, n in more if n > 0]


def _asked(goal: str, vocabulary: Vocabulary, **more: list[str]) -> tuple[str, str]:
    """A goal's label, and the link to its exercises."""
    return vocabulary.goals[goal].label, link(GAPS, FIND) + query({"goals": [goal], **more})


def _table(
    field: str,
    caption: str,
    columns: Sequence[tuple[str, str]],
    counts: Sequence[tuple[str, int, Sequence[int]]],
    vocabulary: Vocabulary,
) -> dict[str, object]:
    """The values for the template of one table: a row for each goal, a column for each value of the
    field and one for all; each cell has its count and its link."""

    def cell(goal: str, count: int, value: str = "") -> dict[str, object]:
        asked = {"goals": [goal], **({field: [value]} if value else {})}
        return {"count": count, "link": link(GAPS, FIND) + query(asked)}

    return {
        "caption": caption,
        "columns": columns,
        "rows": [
            {
                "goal": vocabulary.goals[goal].label,
                "cells": [
                    *(cell(goal, n, value) for (value, _w), n in zip(columns, row, strict=True)),
                    cell(goal, count),
                ],
            }
            for goal, count, row in counts
        ],
    }
