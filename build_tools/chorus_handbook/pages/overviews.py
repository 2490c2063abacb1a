"""The two pages that link to lists: one to the lists of views.yml, one to the goals."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from chorus_handbook.catalogue import N_, _
from chorus_handbook.chorus.model import MOMENT_WORDS, Vocabulary
from chorus_handbook.entries.rendered import Heading
from chorus_handbook.pages.html import render
from chorus_handbook.pages.page import Page, link
from chorus_handbook.views import View, Views

LISTS = "views/index.md"
GOALS = "goals/index.md"
#: The titles of the two pages in the menu.
ALL_LISTS, ALL_GOALS = N_("All lists"), N_("All goals")

#: A first sentence. After its full stop comes a capital letter, so it does not end after "e.g.".
_SENTENCE = re.compile(r".+?[.!?](?=\s+[^\W\d_a-z])", re.DOTALL)


def by_moment(views: Views) -> Iterator[tuple[str, str, Sequence[View]]]:
    """The saved views in groups, one for each part of a warm-up, in order; the views for situations
    come last. Each group has a heading, an anchor and its views."""
    for moment, words in MOMENT_WORDS.items():
        if members := [view for view in views.saved if view.moment == moment]:
            yield _(words)[:1].upper() + _(words)[1:], f"hb-{moment}", members
    if members := [view for view in views.saved if view.moment is None]:
        yield _("By situation"), "hb-situation", members


def lists_page(views: Views) -> Page:
    """The page that links to all saved views."""
    groups = [
        {
            "title": title,
            "anchor": anchor,
            "items": [
                {
                    "title": view.title,
                    "link": link(LISTS, f"views/{view.slug}.md"),
                    "count": len(view.members),
                    "text": view.intro,
                }
                for view in members
            ],
        }
        for title, anchor, members in by_moment(views)
    ]
    return Page(
        path=LISTS,
        title=_("Lists"),
        description=_("Exercises by the part of a warm-up, and by situation."),
        content=render("lists.html", title=_("Lists"), groups=groups),
        headings=tuple(Heading(2, anchor, title) for title, anchor, _members in by_moment(views)),
    )


def goals_page(views: Views, vocabulary: Vocabulary) -> Page:
    """The page that links to all goals that have exercises."""
    items = [
        {
            "title": goal.label,
            "link": link(GOALS, f"goals/{name}.md"),
            "count": len(views.by_goal[name]),
            "text": first_sentence(goal.about),
        }
        for name, goal in vocabulary.goals.items()
        if views.by_goal.get(name)
    ]
    return Page(
        path=GOALS,
        title=_("Goals"),
        description=_("Exercises by what they are for."),
        content=render("page_head.html", title=_("Goals"), intro=[])
        + render("index_list.html", items=items, kind="goals"),
    )


def first_sentence(about: str) -> str:
    """The first sentence of a text, or the whole text when no end is found."""
    text = " ".join(about.split())
    found = _SENTENCE.match(text)
    return found[0] if found else text
