"""How each kind of content becomes pages: as its author wrote it, unless the table says otherwise.

Exercises are no part of this: their pages are made by `exercise`, their list by `lists`.
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
    """How a text becomes a page. `make` is given the exercises that `shows` names, by slug, as far
    as there are such, and no others: a page is made again when one of those has changed."""

    make: Callable[[Text[Fields], Mapping[str, Exercise], ChorusConfig], Page]
    shows: Callable[[Text[Fields]], Iterable[str]] = _nothing


AS_WRITTEN: KindPage[Any] = KindPage(lambda text, _exercises, _config: written_page(text))
#: By the name of the kind, where a page is more than what was written.
PAGES: dict[str, KindPage[Any]] = {}


def kind_list(kind: Kind[Any], texts: Sequence[Text[Any]]) -> Page:
    """The page that lists everything of a kind."""
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
