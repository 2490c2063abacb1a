"""A page before MkDocs puts the theme around it: HTML, and the headings in it.

HTML is `Markup`, text is `str`: what is not `Markup` is escaped when it is set in, so that a new
field cannot become markup by being forgotten. What search shall not find (scores: their syllables
and note names would drown the index) is set in late, when the page is otherwise finished.
"""

from __future__ import annotations

import posixpath
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache, partial
from html import unescape
from urllib.parse import quote, unquote

from markupsafe import Markup, escape

from chorus_handbook.entries.addresses import INTERNAL
from chorus_handbook.entries.model import EXERCISE, Heading

#: Pages that no file need stand for.
HOME, VOICE_CARE, ALL = "index.md", "voice-care.md", EXERCISE.page("index")
#: Where our files are published, below the site.
FOLDER = "assets/handbook"
#: Beside the theme's search worker, which loads further files by their place from there.
SEARCH_WORKER = "assets/javascripts/workers/search_worker.js"

# An address in a tag as the sanitiser writes tags; the same in a text stays text.
_INTERNAL = re.compile(rf'(<(?:a|img)(?: [a-z]+="[^"]*")*? (?:href|src)="){INTERNAL}:([^"?#]*)')
# An id in a tag; in a text, "<" is escaped.
_ID = re.compile(r'<[^<>]*\sid="([^"]*)"')
_LATE = re.compile(r'<div data-handbook-late="([a-z0-9-]+)"></div>')
#: The modules that pages load, by what they make work; they import the others in the same folder.
SCRIPTS = {
    'class="hb-chooser"': "keys.js",
    'class="hb-player"': "player_page.js",
    'class="hb-own"': "own_range.js",
    'name="under-notes"': "row_choices.js",
    'class="hb-fold': "folds.js",
}
#: What makes a heading and what follows it a part that opens: set in late, since search takes a
#: heading within a <summary> for a section without text.
_FOLD = {
    "fold": Markup('<details class="hb-fold"><summary>'),
    "fold-mixer": Markup('<details class="hb-fold hb-player-more"><summary>'),
    "fold-body": Markup("</summary>"),
    "fold-end": Markup("</details>"),
}


@dataclass(frozen=True, slots=True)
class Page:
    """One page of the site: `path` as an .md file below docs_dir, `title` and `description` as
    text, `content` as HTML without what is set in late, and the headings for its table of contents.
    `searched`: whether it stands in the search index."""

    path: str
    title: str
    description: str
    content: Markup
    headings: tuple[Heading, ...] = ()
    make_late: Callable[[], Mapping[str, Markup]] = dict
    searched: bool = True

    @property
    def url(self) -> str:
        return url_of(self.path)

    @property
    def ids(self) -> frozenset[str]:
        """The ids of its elements, but for what is set in late: where a link can lead."""
        return frozenset(map(unescape, _ID.findall(self.content)))

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


def exercise_path(slug: str) -> str:
    """Where the page of an exercise stands."""
    return EXERCISE.page(slug)


def track_file(slug: str, voice: str) -> str:
    """Where a voice's practice track is published."""
    return f"{FOLDER}/{slug}/{slug}-{voice}.mp3"


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


def shown_on(page_path: str, html: Markup) -> Markup:
    """An author's HTML with its addresses in the handbook as they are seen from a page."""

    def seen(found: re.Match[str]) -> str:
        address = quote(link(page_path, unquote(unescape(found[2]))))
        return f"{found[1]}{escape(address)}"

    return Markup(_INTERNAL.sub(seen, html))


def late_slot(name: str) -> Markup:
    """A place in our HTML that is filled when the page is otherwise finished."""
    return Markup('<div data-handbook-late="{}"></div>').format(name)


def set_in_late(page: Page, output: str) -> str:
    """The finished page with what search was not to see, and the scripts for what stands in it."""
    late = {**_FOLD, **page.late}
    html = _LATE.sub(lambda found: escape(late.get(found[1], "")), output)
    scripts = Markup().join(
        Markup('<script type="module" src="{}"></script>').format(
            link(page.path, f"{FOLDER}/{name}")
        )
        for part, name in SCRIPTS.items()
        if part in html
    )
    return html.replace("</body>", f"{scripts}</body>")
