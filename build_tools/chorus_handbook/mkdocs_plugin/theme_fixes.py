"""Fixes mistakes of the theme in the HTML of finished pages.

Each fix says what it is for. A browser test fails without it, and once the theme is corrected it
finds nothing to replace.
"""

from __future__ import annotations

import re

from markupsafe import Markup

from chorus_handbook.catalogue import N_, _
from chorus_handbook.pages.page import SEARCH_WORKER

#: What the theme writes; what it should write, with {} for a text; that text.
_FIXES = (
    # The search dialog has no name for screen readers (axe: aria-dialog-name).
    ('role="dialog">', Markup('role="dialog" aria-label="{}">'), N_("Search")),
    # The page for wrong addresses is not translated.
    ("<h1>404 - Not found</h1>", Markup("<h1>{}</h1>"), N_("There is no such page")),
)
#: The theme loads the search index with every page that has a form of this name.
_SEARCH_FORM = '<form class="md-search__form" name="search">'
#: Its search worker, in the settings that it gives its script.
_SEARCH_WORKER = re.compile(r"(assets/javascripts/workers/)(search\.[0-9a-z]+\.min\.js)")


def fix_page(output: str) -> str:
    """The HTML of a finished page with the theme's mistakes fixed."""
    for wrong, right, message in _FIXES:
        output = output.replace(wrong, right.format(_(message)))
    return _with_late_search(output)


def _with_late_search(output: str) -> str:
    """The page with our search worker in place of the theme's. Ours loads the theme's worker and
    the search index only when something is searched for. If the theme's HTML is not as expected,
    the page is not changed."""
    late, found = _SEARCH_WORKER.subn(rf"{SEARCH_WORKER}#\2", output)
    if not found or _SEARCH_FORM not in late:
        return output
    return late.replace(_SEARCH_FORM, '<form class="md-search__form">')
