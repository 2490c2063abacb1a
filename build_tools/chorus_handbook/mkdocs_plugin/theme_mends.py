"""What the theme leaves wrong in its pages, mended in its output.

Each mend says what it is for; a browser test fails without it, and one that the theme no longer
needs changes nothing.
"""

from __future__ import annotations

import re

from markupsafe import Markup

from chorus_handbook.catalogue import N_, _
from chorus_handbook.pages.page import SEARCH_WORKER

#: What the theme writes; what it should have written, with a place for a message; the message.
_MENDS = (
    # The search dialog has no name for screen readers (axe: aria-dialog-name).
    ('role="dialog">', Markup('role="dialog" aria-label="{}">'), N_("Search")),
    # What stands where nothing is has no translations.
    ("<h1>404 - Not found</h1>", Markup("<h1>{}</h1>"), N_("There is no such page")),
)
#: The theme loads the search index with every page that has a form of this name.
_SEARCH_FORM = '<form class="md-search__form" name="search">'
#: Its search worker, in the settings that it gives its script.
_SEARCH_WORKER = re.compile(r"(assets/javascripts/workers/)(search\.[0-9a-z]+\.min\.js)")


def mend(output: str) -> str:
    """A finished page with the theme's faults mended."""
    for wrong, right, message in _MENDS:
        output = output.replace(wrong, right.format(_(message)))
    return _with_late_search(output)


def _with_late_search(output: str) -> str:
    """The page with our worker in the place of the theme's, which loads that and the index when
    something is searched for. Where the theme is written otherwise, it is left alone."""
    late, found = _SEARCH_WORKER.subn(rf"{SEARCH_WORKER}#\2", output)
    if not found or _SEARCH_FORM not in late:
        return output
    return late.replace(_SEARCH_FORM, '<form class="md-search__form">')
