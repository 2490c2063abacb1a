"""The page "Find an exercise", on which readers narrow down the list of all exercises by what they
are for, how they sound, how long they take, and so on.

Each such question is a *facet*. The page has a form with all facets; `browser/find.js` makes it
work, with the data of index.json. Where scripts do not run, the page links to the lists.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from chorus_handbook.catalogue import N_, _
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.pages.facets import Facet
from chorus_handbook.pages.html import render
from chorus_handbook.pages.own_range import own_range
from chorus_handbook.pages.page import ALL, FOLDER, Page, link
from chorus_handbook.source.names import TAKEN_ADDRESSES
from chorus_handbook.views import View

FIND = "find.md"
FIND_TITLE = N_("Find an exercise")
FIND_ABOUT = N_("All exercises, by goal, impact, level, voices, range, minutes and more.")
#: The orders that the page offers: the fields to sort by, as in views.yml, and the words for them.
#: Exercises that are equal in these fields are sorted by title.
ORDERS = {
    "impact,level": N_("Gentlest first"),
    "level,impact": N_("Soonest learned first"),
    "known,impact": N_("Shortest first, once known"),
    "minutes,impact": N_("Shortest first, the first time"),
    "ambitus_semitones,impact": N_("Smallest range first"),
    "parts,level": N_("Fewest parts first"),
    "moment,impact": N_("In the order of a warm-up"),
    "title": N_("By title"),
}


def find_page(
    facets: Sequence[Facet], views: Sequence[View], lists: Sequence[tuple[str, str]], chorus: Chorus
) -> Page:
    """The page "Find an exercise", which asks the questions in `facets`. `views` are those of
    views.yml: a search that a reader saves as a view must have another name than these. `lists` has
    the titles and paths of the pages to which the page links where scripts do not run."""
    title = _(FIND_TITLE)
    main = [facet for facet in facets if facet.main]
    content = render(
        "find.html",
        title=title,
        index=link(FIND, f"{FOLDER}/index.json"),
        exercises=link(FIND, ALL),
        taken=" ".join([*sorted(TAKEN_ADDRESSES), *(view.slug for view in views)]),
        titles=[view.title for view in views],
        main=main,
        more=[facet for facet in facets if not facet.main],
        groups={facet.field: _groups(facet) for facet in facets},
        orders=[(order, _(words)) for order, words in ORDERS.items()],
        lists=[(name, link(FIND, path)) for name, path in lists],
    )
    return Page(
        path=FIND,
        title=title,
        description=_(FIND_ABOUT),
        content=content,
        make_late=lambda: {"own-range": own_range(FIND, chorus)},
    )


def _groups(facet: Facet) -> list[tuple[str, list[object]]]:
    """The choices under their headings."""
    ordered = sorted(facet.choices, key=lambda choice: _first(facet, choice.group))
    return [(name, list(found)) for name, found in groupby(ordered, lambda one: one.group)]


def _first(facet: Facet, group: str) -> int:
    """The index of the first choice under this heading."""
    return next(place for place, one in enumerate(facet.choices) if one.group == group)
