"""The types of a page and a site before MkDocs adds the theme, and how pages link to each other.

HTML has the type `Markup`, text the type `str`. Whatever is not `Markup` is escaped when it is
inserted, so that forgetting it cannot make a text into HTML. Parts that search must not index (the
syllables and note names of scores) are inserted late: the HTML has an empty slot (`late_slot`),
which `set_in_late` fills after search has read the page.
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
from chorus_handbook.entries.model import EXERCISE
from chorus_handbook.entries.rendered import Heading

#: Pages that exist even if their author has written no file.
HOME, VOICE_CARE, ALL = "index.md", "voice-care.md", EXERCISE.page("index")
#: The folder of our files in the site.
FOLDER = "assets/handbook"
#: The path of our search worker. It must be beside the theme's, which loads files relative to
#: itself.
SEARCH_WORKER = "assets/javascripts/workers/search_worker.js"

# An address in a tag as the sanitiser writes it; the same characters in a text are not matched.
_INTERNAL = re.compile(rf'(<(?:a|img)(?: [a-z]+="[^"]*")*? (?:href|src)="){INTERNAL}:([^"?#]*)')
# An id in a tag; in a text, "<" is escaped.
_ID = re.compile(r'<[^<>]*\sid="([^"]*)"')
_LATE = re.compile(r'<div data-handbook-late="([a-z0-9-]+)"></div>')
#: The script that a page loads, by the HTML that shows that it is needed.
SCRIPTS = {
    'class="hb-chooser"': "keys.js",
    'class="hb-player"': "player_page.js",
    'class="hb-own"': "own_range.js",
    'name="under-notes"': "row_choices.js",
    'class="hb-fold': "folds.js",
    "<time datetime=": "time_ago.js",
    ' data-sung="': "sung.js",
    'class="hb-season"': "season.js",
    ' data-day="': "coming.js",
    'class="hb-at-home': "at_home.js",
    'class="hb-stand"': "stand.js",
    'class="hb-step-time"': "steps.js",
}
#: The tags of a part that can be folded, for the slots around a heading and its text. They are
#: inserted late, because search ignores the text after a heading in a <summary>.
_FOLD = {
    "fold": Markup('<details class="hb-fold"><summary>'),
    "fold-mixer": Markup('<details class="hb-fold hb-player-options"><summary>'),
    "fold-body": Markup("</summary>"),
    "fold-end": Markup("</details>"),
}


@dataclass(frozen=True, slots=True)
class Page:
    """One page of the site.

    path: as an .md file below the handbook's folder. `title` and `description` are text.
    content: its HTML, with empty late slots.
    headings: for its table of contents.
    make_late: returns the HTML of the late slots by name.
    searched: whether search indexes it.
    """

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
        """The ids of its elements (without those in late slots), to which links can lead."""
        return frozenset(map(unescape, _ID.findall(self.content)))

    @property
    def late(self) -> Mapping[str, Markup]:
        """The HTML of the late slots by name. It is made at each call and not kept, because
        drawings are large."""
        return self.make_late()


#: The menu: pairs of a title and a path, or of a title and such pairs (a group).
Menu = tuple[tuple[str, str | tuple[tuple[str, str], ...]], ...]


@dataclass(frozen=True, slots=True)
class PlannedPage:
    """A page that is not made yet. `make` makes it; `key` is a hash of everything it is made
    from."""

    path: str
    title: str
    key: str
    make: Callable[[], Page]


class Published(Mapping[str, bytes]):
    """Files to publish, by path below the top of the site. Each is loaded anew whenever it is asked
    for, because together they would need too much memory."""

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
        """These files and others, which replace those with the same path."""
        return Published(
            {**self._load, **{path: partial(others.__getitem__, path) for path in others}}
        )


@dataclass(frozen=True, slots=True)
class Site:
    """The whole site: its planned pages, the files to publish, and the menu."""

    plans: tuple[PlannedPage, ...]
    files: Published
    menu: Menu

    @property
    def pages(self) -> tuple[Page, ...]:
        """All pages, made at each call."""
        return tuple(plan.make() for plan in self.plans)


def exercise_path(slug: str) -> str:
    """The path of an exercise's page, such as "exercises/low-tide.md"."""
    return EXERCISE.page(slug)


def track_file(slug: str, voice: str) -> str:
    """The path of a voice's practice track in the site."""
    return f"{FOLDER}/{slug}/{slug}-{voice}.mp3"


def routine_file(slug: str) -> str:
    """The path of a routine's track in the site."""
    return f"{FOLDER}/{slug}.mp3"


def url_of(path: str) -> str:
    """The address of a page relative to the top of the site: that of "a/b.md" is "a/b/"."""
    stem = path.removesuffix(".md")
    folder, _, name = stem.rpartition("/")
    if name == "index":
        return f"{folder}/" if folder else ""
    return f"{stem}/"


@cache
def link(from_path: str, to_path: str) -> str:
    """The relative link from the page at `from_path` to another page (.md) or published file."""
    here = "/" + url_of(from_path)
    there = "/" + (url_of(to_path) if to_path.endswith(".md") else to_path)
    return posixpath.relpath(there, here) + ("/" if there.endswith("/") else "")


def shown_on(page_path: str, html: Markup) -> Markup:
    """An author's HTML with its addresses within the handbook made relative to a page."""

    def seen(found: re.Match[str]) -> str:
        address = quote(link(page_path, unquote(unescape(found[2]))))
        return f"{found[1]}{escape(address)}"

    return Markup(_INTERNAL.sub(seen, html))


def late_slot(name: str) -> Markup:
    """An empty slot in our HTML that `set_in_late` fills."""
    return Markup('<div data-handbook-late="{}"></div>').format(name)


def set_in_late(page: Page, output: str) -> str:
    """Fill the late slots in the HTML of a finished page, and add the scripts that it needs."""
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
