"""Makes the pages of all kinds of content except exercises (for those see `exercise` and `lists`).

A page shows its text as the author wrote it, unless the table `PAGES` has another function for its
kind.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Generic

from chorus_handbook.catalogue import _
from chorus_handbook.chorus import ChorusConfig
from chorus_handbook.entries.kind import Fields, Kind
from chorus_handbook.entries.model import Text
from chorus_handbook.pages.html import render
from chorus_handbook.pages.page import Page, link
from chorus_handbook.pages.written import written_page
from chorus_handbook.records import Exercise


def _nothing(_: Text[Any]) -> tuple[str, ...]:
    return ()


@dataclass(frozen=True, slots=True)
class KindPage(Generic[Fields]):
    """How the texts of one kind become pages.

    make: makes the page from the text, the exercises that it shows (by slug) and the chorus.
    shows: returns the slugs of those exercises. The page is made again when one of them changes.
    """

    make: Callable[[Text[Fields], Mapping[str, Exercise], ChorusConfig], Page]
    shows: Callable[[Text[Fields]], Iterable[str]] = _nothing


AS_WRITTEN: KindPage[Any] = KindPage(lambda text, _exercises, _config: written_page(text))
#: By name of kind, for kinds whose pages are more than the author's text.
PAGES: dict[str, KindPage[Any]] = {}


def kind_list(kind: Kind[Any], texts: Sequence[Text[Any]]) -> Page:
    """The page that lists all texts of a kind."""
    path, title = kind.page("index"), _(kind.list_title)
    items = [
        {
            "title": text.title,
            "link": link(path, text.page),
            "text": getattr(text.front, "summary", ""),
        }
        for text in texts
    ]
    return Page(
        path=path,
        title=title,
        description=title,
        content=render("page_head.html", title=title, intro=[])
        + render("index_list.html", items=items, kind=kind.folder),
    )
