"""The styles and scripts of the pages, published under names that say what is in them.

"player.js" is published as "player.0a1b2c3d4e.js". The digits are a hash of the file and of every
file that it loads, directly or through others. So a page and its scripts always fit together, even
if a browser or a host has kept some of them from an earlier build; and a page changes only when a
file that it loads does.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from functools import cache
from hashlib import sha256
from pathlib import Path

from chorus_handbook import catalogue
from chorus_handbook.engraving.lyric_font import FONT_FILE

_BROWSER = Path(__file__).parent.parent / "browser"
#: Scripts that are not published under a name with a hash. The first two are written into pages
#: themselves. The worker must keep its name, because browsers compare it with the worker of the
#: last visit. The last one is only for a site on a memory stick (`from_disk`).
_APART = {"before_paint.js", "large_print_first.js", "offline_worker.js", "from_disk.js"}
#: Libraries of others, each with its licence beside it.
_VENDORED = "vendored"
_WORDS = "words.js"
#: A file that a script imports (not one that a comment mentions), or a font that a style names.
_LOADS = re.compile(
    r"""(?m)^(?!\s*(?:/?\*|//)).*?["']\./((?:\w+/)?\w+\.js)["']|url\("(\w+\.woff2)"\)""", re.ASCII
)
#: A module that a script imports at once, not only when something is done.
_IMPORTS = re.compile(
    r"""(?m)^(?!\s*(?:/?\*|//)).*?\b(?:from|import) ["']\./((?:\w+/)?\w+\.js)["']""", re.ASCII
)
#: The name of such a file (group 2) and what stands before it.
_NAMED = re.compile(r"""(["']\./|url\(")((?:\w+/)?\w+\.(?:js|woff2))(?=["'])""", re.ASCII)
#: Hexadecimal digits of a hash: enough that no two versions of a site will ever share them.
_DIGITS = 10


def source_of(name: str) -> bytes:
    """The content of a style, script or font as it is in the program, except that words are in the
    language of the handbook."""
    if name == FONT_FILE.name:
        return FONT_FILE.read_bytes()
    content = (_BROWSER / name).read_bytes()
    return catalogue.script_words(content) if name == _WORDS else content


def published_name(name: str) -> str:
    """The name under which a style, script or font is published."""
    return _published_name(name, catalogue.version())


def browser_files() -> Mapping[str, bytes]:
    """The content of all styles, scripts and fonts, by the names under which they are published.
    Where a file names another one, it has the published name of that file."""
    kinds = ("*.css", "*.js", f"{_VENDORED}/*.js")
    found = (
        file.relative_to(_BROWSER).as_posix() for kind in kinds for file in _BROWSER.glob(kind)
    )
    files = {published_name(name): _content(name) for name in sorted({*found} - _APART)}
    files[published_name(FONT_FILE.name)] = source_of(FONT_FILE.name)
    licences = sorted((_BROWSER / _VENDORED).glob("*-licence.txt"))
    return files | {f"{_VENDORED}/{file.name}": file.read_bytes() for file in licences}


def loaded_by(name: str) -> frozenset[str]:
    """A file and all that it loads, directly or through others, by their names in the program."""
    return _reached_from(name, _loaded_directly)


@cache
def imported_by(name: str) -> frozenset[str]:
    """The modules that a browser must have before it can run a script, by their names in the
    program: those that it imports, directly or through others, and not only when something is
    done."""
    return _reached_from(name, _imported_directly) - {name}


def _reached_from(name: str, directly: Callable[[str], frozenset[str]]) -> frozenset[str]:
    found, todo = {name}, [name]
    while todo:
        new = directly(todo.pop()) - found
        found |= new
        todo += new
    return frozenset(found)


def _content(name: str) -> bytes:
    """The content of a file as it is published: it names other files by their published names."""
    source = source_of(name)
    if name.endswith(".woff2"):
        return source
    return _NAMED.sub(lambda found: found[1] + published_name(found[2]), source.decode()).encode()


@cache
def _published_name(name: str, _language: str) -> str:
    """The published name; it depends on the language because the words in scripts do."""
    whole = sha256()
    for one in sorted(loaded_by(name)):
        whole.update(one.encode() + sha256(source_of(one)).digest())
    stem, dot, ending = name.rpartition(".")
    return f"{stem}.{whole.hexdigest()[:_DIGITS]}{dot}{ending}"


@cache
def _loaded_directly(name: str) -> frozenset[str]:
    """The files that a file names itself."""
    if name.endswith(".woff2"):
        return frozenset()
    text = (_BROWSER / name).read_text(encoding="utf-8")
    return frozenset(script or font for script, font in _LOADS.findall(text))


def _imported_directly(name: str) -> frozenset[str]:
    return frozenset(_IMPORTS.findall((_BROWSER / name).read_text(encoding="utf-8")))
