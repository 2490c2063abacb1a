"""The home page: the author's welcome, then the ways in."""

from __future__ import annotations

from typing import Any

from chorus_handbook.catalogue import _
from chorus_handbook.chorus.model import Chorus, Vocabulary
from chorus_handbook.entries.model import Heading, Text
from chorus_handbook.pages.html import render
from chorus_handbook.pages.lists import ALL
from chorus_handbook.pages.page import Page, link
from chorus_handbook.pages.written import headings_of, whole_body
from chorus_handbook.views import Views

HOME = "index.md"


def home_title(written: Text[Any] | None, chorus: Chorus) -> str:
    """What home is called."""
    return written.title if written else _("{chorus}: warm-ups", chorus=chorus.name)


def home_page(
    written: Text[Any] | None,
    views: Views,
    count: int,
    chorus: Chorus,
    vocabulary: Vocabulary,
) -> Page:
    """Home: what the author wrote in index.md, the saved views, the goals, and how many exercises
    there are (`count`)."""
    title = home_title(written, chorus)
    saved = [
        {
            "title": view.title,
            "link": link(HOME, f"views/{view.slug}.md"),
            "count": len(view.members),
            "text": view.intro,
        }
        for view in views.saved
    ]
    goals = [
        {
            "title": goal.label,
            "link": link(HOME, f"goals/{name}.md"),
            "count": len(views.by_goal.get(name, ())),
            "text": "",
        }
        for name, goal in vocabulary.goals.items()
        if views.by_goal.get(name)
    ]
    headings = list(headings_of(written.source.body.sections)) if written else []
    headings += [Heading(2, "hb-start", _("Where to start"))] if saved else []
    headings.append(Heading(2, "hb-goals", _("By goal")))
    return Page(
        path=HOME,
        title=title,
        description=_("The warm-up handbook of {chorus}.", chorus=chorus.name),
        content=render(
            "home.html",
            title=title,
            written=whole_body(written) if written else "",
            saved=saved,
            goals=goals,
            all_exercises=link(HOME, ALL),
            count=count,
        ),
        headings=tuple(headings),
    )
