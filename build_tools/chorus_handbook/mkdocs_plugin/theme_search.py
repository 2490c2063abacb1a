"""Puts our search in place of the theme's, which knows neither goals nor typing mistakes.

The theme's search is the plugin `search`, which MkDocs adds by itself and which many mkdocs.yml
files list. It is turned off without a warning, whatever options it has there, because our search
replaces it.
"""

from __future__ import annotations

import re

from markupsafe import Markup
from mkdocs.config.defaults import MkDocsConfig

from chorus_handbook.catalogue import _
from chorus_handbook.pages.page import SEARCH, url_of

#: The address of the page "Search" below the top of the site.
SEARCH_URL = url_of(SEARCH)
#: The plugin, by the names that MkDocs and the theme give it.
NAMES = ("material/search", "search")

#: Files of the theme that only its search would load.
_FILES = re.compile(r"assets/javascripts/(?:lunr/|workers/search\.)")
#: The end of the theme's bar at the top of a page.
_BAR_END = re.compile(
    r'(<nav class="md-header__inner.*?)(<div class="md-header__source">|</nav>)', re.S
)
#: A magnifying glass, as in the theme's bar: 24 by 24, in the colour of the text.
_PICTURE = Markup(
    '<svg viewBox="0 0 24 24" aria-hidden="true" focusable="false"><g fill="none"'
    ' stroke="currentColor" stroke-width="2" stroke-linecap="round">'
    '<circle cx="10" cy="10" r="6"/><path d="M14.5 14.5 20 20"/></g></svg>'
)


def turn_off_search(config: MkDocsConfig) -> None:
    """Turn off the theme's search, if mkdocs.yml has it."""
    for name in NAMES:
        if plugin := config.plugins.get(name):
            plugin.config["enabled"] = False


def unused(path: str) -> bool:
    """Whether only the theme's search would load this file of the theme."""
    return _FILES.match(path) is not None


def with_search(output: str, address: str) -> str:
    """A finished page with a link to the search at the end of the bar at its top. `address` is the
    address of the page "Search" relative to this page."""
    link = Markup(
        '<a class="md-header__button hb-search" href="{}" aria-keyshortcuts="Control+K Meta+K">'
        "{}<span>{}</span></a>"
    ).format(address, _PICTURE, _("Search"))
    return _BAR_END.sub(lambda found: f"{found[1]}{link}{found[2]}", output, count=1)
