"""What the theme leaves wrong in its pages, mended in its output.

Each mend says what it is for; a browser test fails without it, and one that the theme no longer
needs changes nothing.
"""

from __future__ import annotations

from markupsafe import Markup

from chorus_handbook.catalogue import N_, _

#: What the theme writes; what it should have written, with a place for a message; the message.
_MENDS = (
    # The search dialog has no name for screen readers (axe: aria-dialog-name).
    ('role="dialog">', Markup('role="dialog" aria-label="{}">'), N_("Search")),
    # What stands where nothing is has no translations.
    ("<h1>404 - Not found</h1>", Markup("<h1>{}</h1>"), N_("There is no such page")),
)


def mend(output: str) -> str:
    """A finished page with the theme's faults mended."""
    for wrong, right, message in _MENDS:
        output = output.replace(wrong, right.format(_(message)))
    return output
