"""A page before MkDocs sees it, and how our own HTML is set into it.

A page is Markdown with slots. Authors' text is Markdown and is never trusted; our HTML is trusted
and never passes through Markdown. They meet twice: `set_in` cleans what Markdown made of the
authors' text and puts our HTML into the slots, in time for search to index it; `set_in_late`
adds, when the page is otherwise finished, what search shall not find (scores: their syllables and
note names would drown the index).

HTML is `Markup`, text is `str`: what stands in a slot as a plain `str` is escaped when it is set
in, so that a new field cannot become markup by being forgotten.
"""

from __future__ import annotations

import posixpath
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache, partial

from markupsafe import Markup, escape

from chorus_handbook.pages.sanitise import clean

#: Where our files are published, below the site.
FOLDER = "assets/handbook"

# A private-use character, taken out of authors' text, marks the slots through Markdown.
_MARK = "\ue000"
_SLOT = re.compile(rf"<p>{_MARK}([a-z-]+){_MARK}</p>")
_LATE = re.compile(r'<div data-handbook-late="([a-z0-9-]+)"></div>')


@dataclass(frozen=True, slots=True)
class Page:
    """One page of the site: `path` as an .md file below docs_dir, `title` and `description` as
    text, `markdown` with slots, and the HTML for the slots. `searched`: whether it stands in the
    search index."""

    path: str
    title: str
    description: str
    markdown: str
    slots: Mapping[str, Markup] = field(default_factory=dict)
    make_late: Callable[[], Mapping[str, Markup]] = dict
    searched: bool = True

    @property
    def url(self) -> str:
        return url_of(self.path)

    @property
    def late(self) -> Mapping[str, Markup]:
        """The HTML that is set in when the page is otherwise finished, made at each call: drawings
        are large, and a site has many."""
        return self.make_late()


#: (title, path) pairs, or (title, list of such) groups; the titles as text.
Menu = tuple[tuple[str, str | tuple[tuple[str, str], ...]], ...]


@dataclass(frozen=True, slots=True)
class PlannedPage:
    """A page that is made when it is needed: `make` loads what it shows, and whoever calls it lets
    go of it. `key` names everything that the page is made from."""

    path: str
    title: str
    key: str
    make: Callable[[], Page]


class Published(Mapping[str, bytes]):
    """Files by their paths below the site, each loaded whenever it is asked for: together they are
    many times as large as all else that is known of a handbook."""

    def __init__(self, load: Mapping[str, Callable[[], bytes]]) -> None:
        self._load = load

    def __getitem__(self, path: str) -> bytes:
        return self._load[path]()

    def __iter__(self) -> Iterator[str]:
        return iter(self._load)

    def __len__(self) -> int:
        return len(self._load)

    def __contains__(self, path: object) -> bool:
        return path in self._load

    def __or__(self, others: Mapping[str, bytes]) -> Published:
        """These and others, which take the place of those of the same path."""
        return Published(
            {**self._load, **{path: partial(others.__getitem__, path) for path in others}}
        )


@dataclass(frozen=True, slots=True)
class Site:
    """All generated pages, files to publish as they are, and the menu."""

    plans: tuple[PlannedPage, ...]
    files: Published
    menu: Menu

    @property
    def pages(self) -> tuple[Page, ...]:
        """Every page, made now."""
        return tuple(plan.make() for plan in self.plans)


def url_of(path: str) -> str:
    """The published address of an .md file, relative to the site: "a/b.md" is "a/b/"."""
    stem = path.removesuffix(".md")
    folder, _, name = stem.rpartition("/")
    if name == "index":
        return f"{folder}/" if folder else ""
    return f"{stem}/"


@cache
def link(from_path: str, to_path: str) -> str:
    """The link from one page to another page (.md) or to a published file."""
    here = "/" + url_of(from_path)
    there = "/" + (url_of(to_path) if to_path.endswith(".md") else to_path)
    return posixpath.relpath(there, here) + ("/" if there.endswith("/") else "")


def slot(name: str) -> str:
    """A slot to stand in a page's Markdown."""
    return f"\n\n{_MARK}{name}{_MARK}\n\n"


def late_slot(name: str) -> Markup:
    """A slot to stand in our own HTML, filled when the page is otherwise finished."""
    return Markup('<div data-handbook-late="{}"></div>').format(name)


def without_marks(text: str) -> str:
    """Authors' text that can open no slot."""
    return text.replace(_MARK, "")


def set_in(page: Page, rendered: str) -> Markup:
    """The page's HTML: authors' parts cleaned, slots filled."""
    pieces = _SLOT.split(rendered)
    return Markup().join(
        page.slots.get(piece, "") if index % 2 else clean(piece)
        for index, piece in enumerate(pieces)
    )


def set_in_late(page: Page, output: str) -> str:
    """The finished page with what search was not to see."""
    late = page.late
    return _LATE.sub(lambda found: escape(late.get(found[1], "")), output)
