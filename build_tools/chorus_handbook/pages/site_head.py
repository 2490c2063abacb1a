"""Makes what every page has in its head and at its foot in addition to what the theme puts there:
whether search engines may list it, what a browser needs to install the handbook on a phone or
computer, and the button for large print."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from functools import cache

from markupsafe import Markup

from chorus_handbook import catalogue
from chorus_handbook.catalogue import _
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.pages.browser_files import source_of
from chorus_handbook.pages.make_icons import FOLDER, SIZES
from chorus_handbook.shared_facts import FACTS

WEB_MANIFEST, ROBOTS = "handbook.webmanifest", "robots.txt"
#: Longer names are cut off below the icon of an installed page on a phone (our choice).
_SHORT = 14
#: The file that search engines read before any page (RFC 9309). They must be able to fetch the
#: pages, because each page carries the tag that asks not to be listed. Data and audio files cannot
#: carry such a tag, so fetching them is forbidden here.
_NOT_LISTED = b"""\
# The pages of this handbook ask not to be listed, unless chorus.yml says "indexed: true".
User-agent: *
Disallow: /assets/handbook/
"""


def head(to_top: str, *, indexed: bool) -> Markup:
    """The elements for the head of a page. `to_top` is the relative address of the top of the site
    ("../../", or "" for the home page); `indexed` says whether search engines may list the page."""
    light, dark = _bar_colours()
    robots = Markup() if indexed else ROBOTS_TAG
    return robots + Markup(
        '<link rel="manifest" href="{}" crossorigin="use-credentials">'
        '<meta name="theme-color" media="(prefers-color-scheme: light)" content="{}">'
        '<meta name="theme-color" media="(prefers-color-scheme: dark)" content="{}">'
        '<script data-top="{}" data-name="{}">{}</script>'
    ).format(
        *(to_top + WEB_MANIFEST, light, dark),
        *(to_top or "./", FACTS["stored"]["large_print"], _large_print()),
    )


def foot(to_top: str) -> Markup:
    """The button for large print, which is hidden until a script makes it work. `to_top` is the
    relative address of the top of the site."""
    return Markup(
        '<p class="hb-reading"><button type="button" class="hb-large-print" data-top="{}" hidden>'
        "{}</button></p>"
    ).format(to_top or "./", _("Large print"))


@cache
def _large_print() -> Markup:
    """The script that makes a page large before it is painted, without its comment."""
    text = source_of("large_print_first.js").decode()
    return Markup(text[text.index("(() =>") :].strip())


#: Asks search engines not to list a page (HTML standard, 4.2.5.1, names "robots" as an extension).
ROBOTS_TAG = Markup('<meta name="robots" content="noindex">')


def head_files(chorus: Chorus) -> Mapping[str, bytes]:
    """The files to which the heads of pages refer, keyed by name. If the chorus has a file of the
    same name in its folder `static`, that file is published instead."""
    files = {f"icon-{size}.png": (FOLDER / f"icon-{size}.png").read_bytes() for size in SIZES}
    files[WEB_MANIFEST] = _web_manifest(chorus)
    if not chorus.indexed:
        files[ROBOTS] = _NOT_LISTED
    return files


def _web_manifest(chorus: Chorus) -> bytes:
    """The web application manifest (W3C, Web Application Manifest). The addresses in it are
    relative to its own, so that a handbook can be installed from any folder of a host."""
    light, _dark = _bar_colours()
    name = _("{chorus}: warm-ups", chorus=chorus.name)
    content = {
        "name": name,
        "short_name": chorus.name if len(chorus.name) <= _SHORT else _("Warm-ups"),
        "lang": catalogue.language(),
        "start_url": "./",
        "scope": "./",
        "display": "standalone",
        "background_color": light,
        "theme_color": light,
        "icons": [
            {
                "src": f"icon-{size}.png",
                "sizes": f"{size}x{size}",
                "type": "image/png",
                "purpose": purpose,
            }
            for size in SIZES
            for purpose in ("any", "maskable")
        ],
    }
    return json.dumps(content, ensure_ascii=False, indent=1).encode() + b"\n"


@cache
def _bar_colours() -> tuple[str, str]:
    """The colours of the bar at the top of pages, light and dark, from the style sheet."""
    light, dark = re.findall(r"--hb-bar: (#[0-9a-f]+);", source_of("handbook.css").decode())
    return light, dark
