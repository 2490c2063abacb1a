"""What a screen reader says of the frame that the theme puts around a page.

A reader who jumps from landmark to landmark, or skips the menu, arrives at the title of the page.
The theme would lead to its first heading below that, past cautions and score, and counts its menus
to the content. Heard with a screen reader, which is how each of these was found.
"""

from __future__ import annotations

import re

from markupsafe import Markup, escape

from chorus_handbook.catalogue import _

#: Where "Skip to content" leads.
CONTENT = "hb-content"

_SKIP = re.compile(
    r'(<div data-md-component="skip">)\s*(?:<a [^>]*class="md-skip">(.*?)</a>\s*)?</div>', re.S
)
_BAR = re.compile(r'<nav (class="md-header__inner[^"]*") aria-label="[^"]*">(.*?)</nav>', re.S)
#: The bar repeats the names of site and page, which the logo and the title say already.
_BAR_TITLE = '<div class="md-header__title"'
_TABS = re.compile(r'(<nav class="md-tabs" aria-label=")[^"]*')
_MENU = re.compile(r'(<nav class="md-nav md-nav--primary[^"]*" aria-label=")[^"]*')
_AROUND = ('<main class="md-main"', "</main>")
_CONTENT = '<div class="md-content"'
_CONTENT_END = re.compile(r"(</article>\s*)</div>(?!.*</article>)", re.S)
#: A box of the theme's choice of colours, and the label that ticks it.
_SCHEME = re.compile(r'aria-label="[^"]*"(\s+type="radio" name="__palette" id="([^"]*)")')
_SCHEME_LABEL = re.compile(r'<label [^>]*title="([^"]*)" for="(__palette_[^"]*)"')


def with_landmarks(output: str) -> str:
    """The HTML of a finished page (`output`), changed so that its landmarks are the menus, each
    with its name, and a main landmark that contains the content and nothing else."""
    output = _SKIP.sub(_skip, output, count=1)
    output = _BAR.sub(r"<div \1>\2</div>", output, count=1)
    output = output.replace(_BAR_TITLE, f'{_BAR_TITLE} aria-hidden="true"', 1)
    tabs, menu = str(escape(_("Main menu"))), str(escape(_("Menu")))
    output = _TABS.sub(lambda found: found[1] + tabs, output, count=1)
    output = _MENU.sub(lambda found: found[1] + menu, output, count=1)
    return _named_schemes(_content_alone(output))


def _skip(found: re.Match[str]) -> str:
    """The link with the theme's words, which it has only on pages with headings."""
    words = Markup(found[2]) if found[2] else _("Skip to content")
    link = Markup('<a href="#{}" class="md-skip">{}</a>').format(CONTENT, words)
    return f"{found[1]}{link}</div>"


def _content_alone(output: str) -> str:
    """Only the content in the main landmark; the theme has the menus at its sides there, too."""
    begin, end = _AROUND
    before, main, rest = output.partition(begin)
    inside, closed, after = rest.rpartition(end)
    if not main or not closed or _CONTENT not in inside or not _CONTENT_END.search(inside):
        return output  # a theme with other templates
    inside = inside.replace(_CONTENT, f'<main id="{CONTENT}" tabindex="-1" class="md-content"', 1)
    inside = _CONTENT_END.sub(r"\1</main>", inside)
    return f'{before}<div class="md-main"{inside}</div>{after}'


def _named_schemes(output: str) -> str:
    """Each box for light or dark with the name of what it chooses: the theme gives it the name of
    the other, to which its picture leads. `browser/scheme.js` ticks the one that is shown."""
    names = {found[2]: found[1] for found in _SCHEME_LABEL.finditer(output)}

    def named(box: re.Match[str]) -> str:
        return f'aria-label="{names[box[2]]}"{box[1]}' if box[2] in names else box[0]

    return _SCHEME.sub(named, output)
