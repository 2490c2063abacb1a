"""The home page: a first link for each kind of reader, what singers practise for the next warm-up,
what was sung last, then what the author wrote in index.md."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from chorus_handbook.catalogue import _, ngettext
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries.model import Text
from chorus_handbook.pages.html import render
from chorus_handbook.pages.overviews import GOALS, LISTS
from chorus_handbook.pages.page import ALL, HOME, KEPT, SEARCH, Page, link
from chorus_handbook.pages.written import headings_of, whole_body
from chorus_handbook.records import Exercise
from chorus_handbook.views import Views
from chorus_handbook.warmups.at_home import AtHome


def home_title(written: Text[Any] | None, chorus: Chorus) -> str:
    """The title of the home page: that of the author's index.md (`written`) if there is one, else
    one made from the chorus's name."""
    return written.title if written else _("{chorus}: warm-ups", chorus=chorus.name)


def home_page(
    written: Text[Any] | None,
    views: Views,
    stock: Mapping[str, Exercise],
    chorus: Chorus,
    plans: Sequence[tuple[str, str]],
    at_home: AtHome,
) -> Page:
    """The home page.

    written: the author's index.md, if there is one.
    stock: all exercises, keyed by slug.
    plans: the titles and paths of further pages for directors, such as the lists of warm-ups and of
        routines.
    at_home: what singers practise at home, and what was sung last.
    """
    from chorus_handbook.pages.at_home import last_sung, to_practise  # late: only to make the page

    title = home_title(written, chorus)
    return Page(
        path=HOME,
        title=title,
        description=_("The warm-up handbook of {chorus}.", chorus=chorus.name),
        content=render(
            "home.html",
            title=title,
            search=link(HOME, SEARCH),
            kept=link(HOME, KEPT),
            to_practise=to_practise(at_home, stock, chorus),
            last_sung=last_sung(at_home, stock),
            ways=[
                {"who": who, "to": to, "link": link(HOME, path), "text": text}
                for who, to, path, text in _ways(views, len(stock))
            ],
            plans=[{"to": to, "link": link(HOME, path)} for to, path in plans],
            written=whole_body(written) if written else "",
        ),
        headings=headings_of(written.source.body.sections) if written else (),
    )


def _ways(views: Views, count: int) -> Iterator[tuple[str, str, str, str]]:
    """One link each for directors, assistants and singers: whom it is for, its text, its path, and
    a description of the page. If there are no lists or goals, the link leads to another useful
    page."""
    everything = ngettext("The one exercise", "All {n} exercises", count), ALL
    goals = (_("Exercises by goal"), GOALS) if any(views.by_goal.values()) else everything
    lists = (_("Lists for every part of a warm-up"), LISTS) if views.saved else goals
    yield _("You direct"), *lists, _("What to begin with, what to end with, what fits tonight.")
    yield _("You assist"), *goals, _("What serves a goal. Each page says how it is run.")
    yield _("You sing"), *everything, _("By name, with your own part to hear.")
