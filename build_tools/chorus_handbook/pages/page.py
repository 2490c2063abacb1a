"""The types of a page and a site before MkDocs adds the theme, and how pages link to each other.

HTML has the type `Markup`, text the type `str`. Whatever is not `Markup` is escaped when it is
inserted, so text cannot become HTML because somebody forgot to escape it. Large parts, such as
scores, are inserted late: MkDocs keeps the content of all pages in memory, so a page first has only
an empty slot (`late_slot`) for such a part, which `set_in_late` fills once the theme has printed
the page.
"""

from __future__ import annotations

import posixpath
import re
from base64 import urlsafe_b64encode
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache, partial
from hashlib import sha256
from html import unescape
from urllib.parse import quote, unquote

from markupsafe import Markup, escape

from chorus_handbook.entries.addresses import INTERNAL
from chorus_handbook.entries.model import EXERCISE
from chorus_handbook.entries.rendered import Heading
from chorus_handbook.pages.browser_files import imported_by, published_name
from chorus_handbook.pages.site_head import foot, head

#: Pages that exist even if their author has written no file.
HOME, VOICE_CARE, ALL, SEARCH = "index.md", "voice-care.md", EXERCISE.page("index"), "search.md"
#: The page that lists what is kept on the reader's device; `browser/offline_worker.js` shows it in
#: place of pages that are not kept.
KEPT = "kept.md"
#: The page on which a reader puts a warm-up together.
DRAFT = "draft.md"
#: The folder of our files in the site.
FOLDER = "assets/handbook"
#: The list of the player's tones.
INSTRUMENT = f"{FOLDER}/instrument.json"

# An address in a tag as the sanitiser writes it; the same characters in a text are not matched.
_INTERNAL = re.compile(rf'(<(?:a|img)(?: [a-z]+="[^"]*")*? (?:href|src)="){INTERNAL}:([^"?#]*)')
# An id in a tag; in a text, "<" is escaped.
_ID = re.compile(r'<[^<>]*\sid="([^"]*)"')
#: The address of a data file that belongs to the page. (A file about all exercises, such as
#: index.json, does not: otherwise every page would change with every exercise.)
_DATA = re.compile(r' data-(?:notes|instrument)="([^"]+)"')
#: A late slot, by its name.
_LATE = re.compile(r'<div data-handbook-late="([a-z0-9-]+)"></div>')
#: The script that every page loads.
_ON_EVERY_PAGE = "offline.js"
#: The script that a page loads, by the HTML that shows that it is needed.
SCRIPTS = {
    'class="hb-chooser"': "keys.js",
    'class="hb-player"': "player_page.js",
    ' hb-notes"': "notes_in_words.js",
    'class="hb-own"': "own_range.js",
    'name="under-notes"': "row_choices.js",
    'class="hb-fold': "folds.js",
    "<time datetime=": "time_ago.js",
    ' data-sung="': "sung.js",
    'class="hb-season"': "season.js",
    ' data-day="': "coming.js",
    'class="hb-narrowing"': "find.js",
    'class="hb-at-home': "at_home.js",
    'class="hb-stand"': "stand_page.js",
    'class="hb-tonight"': "tonight_page.js",
    'class="hb-step-time"': "steps.js",
    ' hb-search"': "search.js",
    'for="__drawer"': "menu.js",
    'name="__palette"': "scheme.js",
    'class="hb-large-print"': "large_print.js",
    'class="hb-keep" ': "keep_button.js",
    'class="hb-kept"': "kept_page.js",
    'class="hb-draft"': "draft_page.js",
    " data-add=": "add_to_warm_up.js",
}


@dataclass(frozen=True, slots=True)
class Page:
    """One page of the site.

    path: that of its .md file below the handbook's folder, even if nobody wrote such a file.
        `title` and `description` are text.
    content: its HTML, with empty late slots.
    headings: for its table of contents.
    make_late: returns the HTML of the late slots by name.
    """

    path: str
    title: str
    description: str
    content: Markup
    headings: tuple[Heading, ...] = ()
    make_late: Callable[[], Mapping[str, Markup]] = dict

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
    from. `about`: a sentence by which the search finds it, where nothing else says what it is."""

    path: str
    title: str
    key: str
    make: Callable[[], Page]
    about: str = ""


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
    """The whole site: its planned pages, the files to publish, the menu, and whether search engines
    may list it."""

    plans: tuple[PlannedPage, ...]
    files: Published
    menu: Menu
    indexed: bool = False

    @property
    def pages(self) -> tuple[Page, ...]:
        """All pages, made at each call."""
        return tuple(plan.make() for plan in self.plans)


_NO_SITE = Site((), Published({}), ())


def exercise_path(slug: str) -> str:
    """The path of an exercise's page, such as "exercises/low-tide.md"."""
    return EXERCISE.page(slug)


def track_file(slug: str, voice: str) -> str:
    """The path in the site of the practice track of one voice of an exercise."""
    return f"{FOLDER}/{slug}/{slug}-{voice}.mp3"


def parts_file(slug: str) -> str:
    """The path of warm-up.json of an exercise: what it contributes to warm-ups that are put
    together in the browser."""
    return f"{FOLDER}/{slug}/warm-up.json"


def routine_file(slug: str) -> str:
    """The path in the site of a routine's practice track: the MP3 of the whole routine."""
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
    """An author's HTML in which the addresses of other pages and files of the handbook have been
    made relative to the page at `page_path`."""

    def seen(found: re.Match[str]) -> str:
        address = quote(link(page_path, unquote(unescape(found[2]))))
        return f"{found[1]}{escape(address)}"

    return Markup(_INTERNAL.sub(seen, html))


def late_slot(name: str) -> Markup:
    """An empty slot in our HTML that `set_in_late` fills."""
    return Markup('<div data-handbook-late="{}"></div>').format(name)


def set_in_late(page: Page, output: str, site: Site = _NO_SITE) -> str:
    """The HTML of a finished page (`output`) with its late slots filled, and with what it needs
    besides: what stands in the head and foot of every page, its scripts, and the hashes of its
    data, which are files of `site`."""
    late = page.late
    html = _LATE.sub(lambda found: escape(late.get(found[1], "")), output)
    html = _DATA.sub(lambda found: _with_hash(found, page, site.files), html)
    to_top = page.url.count("/") * "../"
    html = html.replace("</head>", f"{head(to_top, indexed=site.indexed)}</head>", 1)
    html = html.replace("</footer>", f"{foot(to_top)}</footer>", 1)
    return html.replace("</body>", f"{_scripts(page, html)}</body>")


def _scripts(page: Page, html: str) -> Markup:
    """The elements that load the scripts of a page, and with them all that these import, so that a
    browser need not have read one to ask for the next."""
    names = [name for part, name in SCRIPTS.items() if part in html] + [_ON_EVERY_PAGE]
    imported = frozenset().union(*map(imported_by, names)) - {*names}

    def place(name: str) -> str:
        return link(page.path, f"{FOLDER}/{published_name(name)}")

    early, script = (
        Markup('<link rel="modulepreload" href="{}">'),
        Markup('<script type="module" src="{}"></script>'),
    )
    elements = [early.format(place(name)) for name in sorted(imported)]
    return Markup().join(elements + [script.format(place(name)) for name in names])


def content_hash(content: bytes) -> str:
    """The SHA-256 of a file as it is written in addresses: base64 for URLs (RFC 4648, section 5),
    without padding."""
    return urlsafe_b64encode(sha256(content).digest()).decode().rstrip("=")


def _with_hash(found: re.Match[str], page: Page, files: Mapping[str, bytes]) -> str:
    """The attribute `found` with the hash of the data file added to its address. Hosts ignore the
    hash. Scripts refuse a file whose content does not have it, because that file is of another
    build than the page."""
    path = posixpath.normpath(posixpath.join(page.url, found[1]))
    if path not in files:
        return found[0]
    return f'{found[0][:-1]}?sha256={content_hash(files[path])}"'
