"""Fixes mistakes of the theme in the HTML of finished pages.

Each fix says what it is for. A browser test fails without it, and once the theme is corrected it
finds nothing to replace.
"""

from __future__ import annotations

from markupsafe import Markup

from chorus_handbook.catalogue import N_, _

#: For each mistake: what the theme writes, what it should write (with {} for a text), and that
#: text.
_FIXES = (
    # The page for wrong addresses is not translated.
    ("<h1>404 - Not found</h1>", Markup("<h1>{}</h1>"), N_("There is no such page")),
)


def fix_page(output: str) -> str:
    """The HTML of a finished page with the theme's mistakes fixed."""
    for wrong, right, message in _FIXES:
        output = output.replace(wrong, right.format(_(message)))
    # Groups of the menu could not have the focus (html-validate: attribute-allowed-values);
    # `browser/menu.js` opens them by keys.
    output = output.replace(' tabindex=""', ' tabindex="0"')
    # A label of a box that is not on the page (html-validate: no-missing-references).
    if 'id="__toc"' not in output:
        output = output.replace(' for="__toc"', "")
    return output
