"""Makes the pages of all kinds of content except exercises (for those see `exercise` and `lists`).

A page shows its text as the author wrote it, unless the table `PAGES` has another function for its
kind.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Generic

from markupsafe import Markup

from chorus_handbook.catalogue import _
from chorus_handbook.chorus import ChorusConfig
from chorus_handbook.entries.kind import Fields, Kind
from chorus_handbook.entries.model import Text
from chorus_handbook.entries.warm_up import ROUTINE, WARM_UP
from chorus_handbook.pages.html import render
from chorus_handbook.pages.page import Page, link
from chorus_handbook.pages.written import written_page
from chorus_handbook.records import Exercise
from chorus_handbook.records.parts import Thumbnail
from chorus_handbook.warmups.history import history_of


@dataclass(frozen=True, slots=True)
class Shown:
    """What a page shows in addition to its own text.

    exercises: the exercises that it may show, keyed by slug.
    read: what `KindPage.reads` returned for this text; None if its kind reads nothing.
    opening: draws the first bars of an exercise in the key of a tonic ("Eb4"), or in its first key
        if that is empty. The drawings go into the page's late slots, which are filled in once the
        page is rendered.
    has_track: whether the site has an MP3 file for the text; only routines have one.
    """

    exercises: Mapping[str, Exercise]
    config: ChorusConfig
    read: Any = None
    opening: Callable[[Exercise, str], Thumbnail | None] = lambda _, _tonic: None
    has_track: bool = False


def _no_exercises(_: Text[Any], _read: Any) -> tuple[str, ...]:
    return ()


def _no_others(_: Text[Any], _others: Sequence[Text[Any]]) -> None:
    return None


def _summary(text: Text[Any]) -> str:
    return getattr(text.front, "summary", None) or ""


@dataclass(frozen=True, slots=True)
class KindPage(Generic[Fields]):
    """How the texts of one kind become pages.

    make: makes the page from the text and what it shows.
    reads: returns what the page takes from other texts, such as earlier warm-ups; its second
        argument has all texts of the handbook.
    shows: returns the slugs of the exercises on the page, given the text and what was read.
    line: returns the text that stands beside a title in the list of all texts of the kind.
    newest_first: whether that list begins with the last file.
    above: returns what stands at the top of that list, given all its texts and the exercises that
        they show.

    The page is made again when what it reads or an exercise it shows changes.
    """

    make: Callable[[Text[Fields], Shown], Page]
    shows: Callable[[Text[Fields], Any], Iterable[str]] = _no_exercises
    reads: Callable[[Text[Fields], Sequence[Text[Any]]], object] = _no_others
    line: Callable[[Text[Fields]], str] = _summary
    newest_first: bool = False
    above: Callable[[Sequence[Text[Fields]], Shown], Markup] | None = None


def _plan_page(text: Text[Any], shown: Shown) -> Page:
    from chorus_handbook.pages.warm_up import plan_page  # late: only a page that is made needs it

    return plan_page(text, shown)


def _exercises_of(text: Text[Any], read: Any) -> list[str]:
    """The slugs of the exercises of a plan, those to practise at home, and those of the last
    warm-up, which the page compares with. `read` is what `history_of` returns, or None."""
    slugs = [item.exercise for item in text.front.items]
    slugs += getattr(text.front, "at_home", [])
    return list(dict.fromkeys([*slugs, *(read.last.exercises if read and read.last else ())]))


def _season(texts: Sequence[Text[Any]], shown: Shown) -> Markup:
    from chorus_handbook.pages.season import season  # late, as above

    return season(texts, shown)


def _when(text: Text[Any]) -> str:
    from chorus_handbook.pages.dates import long_date

    return _("{date}, {time}", date=long_date(text.front.day), time=text.front.starts)


AS_WRITTEN: KindPage[Any] = KindPage(lambda text, _: written_page(text))
#: How the kinds whose pages are more than the author's text become pages, by the name of the kind.
PAGES: dict[str, KindPage[Any]] = {
    WARM_UP.name: KindPage(
        make=_plan_page,
        shows=_exercises_of,
        reads=history_of,
        line=_when,
        newest_first=True,
        above=_season,
    ),
    ROUTINE.name: KindPage(make=_plan_page, shows=_exercises_of),
}


def kind_list(kind: Kind[Any], texts: Sequence[Text[Any]], shown: Shown) -> Page:
    """The page that lists all texts of a kind. `shown` has what stands above the list."""
    path, title = kind.page("index"), _(kind.list_title)
    page = PAGES.get(kind.name, AS_WRITTEN)
    items = [
        {
            "title": text.title,
            "link": link(path, text.page),
            "text": page.line(text),
            "day": getattr(text.front, "date", ""),
        }
        for text in (reversed(texts) if page.newest_first else texts)
    ]
    return Page(
        path=path,
        title=title,
        description=title,
        content=render("page_head.html", title=title, intro=[])
        + (page.above(texts, shown) if page.above else Markup())
        + render("index_list.html", items=items, kind=kind.folder),
    )
