"""The page "What the stock lacks": in words, for which goals there is nothing or only one exercise;
in tables, how many there are by goal of each impact and level; and what was never sung. Goals and
numbers lead to the exercises on the page "Find an exercise"."""

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


#: A field, its values with their words, and of each goal the exercises in all and by value.
Side = tuple[str, Sequence[tuple[str, str]], Sequence[tuple[str, int, Sequence[int]]]]


@dataclass(frozen=True, slots=True)
class Lack:
    """What is lacking, such as "Impact 2, gentle", and the goals for which it is, each with its
    address. `others`: it is lacking for all goals but these."""

    what: str
    goals: list[tuple[str, str]]
    others: bool = False


def gaps_page(gaps: Gaps, titles: Mapping[str, str], vocabulary: Vocabulary) -> Page:
    """The page for these gaps. `titles` has the title of each exercise that was never sung."""
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
        tables=[
            _table("impact", _("Goals by impact"), impacts, by_impact, vocabulary),
            _table("level", _("Goals by how soon they are learned"), levels, by_level, vocabulary),
        ],
        lacking=[
            (words, [*_in_words(count, sides, vocabulary)])
            for count, words in ((0, _("Nothing for")), (1, _("Only one exercise for")))
        ],
        never_sung=None
        if gaps.never_sung is None
        else [(titles[slug], link(GAPS, exercise_path(slug))) for slug in gaps.never_sung],
    )
    return Page(
        path=GAPS,
        title=title,
        description=_("For which goals an exercise is missing, and what was never sung."),
        content=content,
    )


def _in_words(count: int, sides: Iterable[Side], vocabulary: Vocabulary) -> Iterator[Lack]:
    """The goals with this number of exercises: in all, then by impact and level, where goals that
    are named in all are not named again. Where that is most goals, the others are named."""

    def asked(goal: str, **more: list[str]) -> tuple[str, str]:
        return vocabulary.goals[goal].label, link(GAPS, FIND) + query({"goals": [goal], **more})

    for place, (field, columns, counts) in enumerate(sides):
        if not place and (goals := [asked(goal) for goal, n, _row in counts if n == count]):
            yield Lack(_("In all"), goals)
        more = [(goal, row) for goal, n, row in counts if n > 1]
        for column, (value, words) in enumerate(columns):
            having = [goal for goal, row in more if row[column] == count]
            others = [goal for goal, row in more if row[column] > 0]
            if count == 0 and len(having) > len(others):
                yield Lack(words, [asked(goal, **{field: [value]}) for goal in others], others=True)
            elif having:
                only = {field: [value]} if count else {}
                yield Lack(words, [asked(goal, **only) for goal in having])


def _table(
    field: str,
    caption: str,
    columns: Sequence[tuple[str, str]],
    counts: Sequence[tuple[str, int, Sequence[int]]],
    vocabulary: Vocabulary,
) -> dict[str, object]:
    """A table of goals and the values of a field, each cell with its count and its link."""

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
