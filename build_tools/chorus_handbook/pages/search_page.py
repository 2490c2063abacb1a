"""The page "Search", which gives a search an address, such as search/?q=tuning.
`browser/search.js` finds and lists the results."""

from __future__ import annotations

from chorus_handbook.catalogue import _
from chorus_handbook.pages.html import render
from chorus_handbook.pages.page import ALL, SEARCH, Page, link


def search_page() -> Page:
    """The page "Search" as it is without scripts: it leads to the list of all exercises."""
    title = _("Search")
    return Page(
        path=SEARCH,
        title=title,
        description=title,
        content=render("page_head.html", title=title, intro=[])
        + render("search.html", everything=link(SEARCH, ALL)),
    )
