"""Shows authors' texts on pages: a whole page such as voice-care.md, or some sections of a text."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from markupsafe import Markup

from chorus_handbook.entries.model import Text
from chorus_handbook.entries.rendered import Heading, Section
from chorus_handbook.pages.html import render
from chorus_handbook.pages.page import Page, shown_on


def written_page(text: Text[Any]) -> Page:
    """A page that shows a text as its author wrote it, under a heading with its title."""
    head = render("page_head.html", title=text.title, intro=[])
    return Page(
        path=text.page,
        title=text.title,
        description=text.title,
        content=head + whole_body(text),
        headings=headings_of(text.source.body.sections),
    )


def whole_body(text: Text[Any]) -> Markup:
    """A text as HTML: its sections with their headings, then its footnotes."""
    body = text.source.body
    return shown_on(text.page, sections_html(body.sections) + body.footnotes)


def sections_html(sections: Iterable[Section]) -> Markup:
    """Some sections as HTML, each with its heading."""
    return render("sections.html", sections=sections)


def headings_of(sections: Iterable[Section]) -> tuple[Heading, ...]:
    """The headings of sections and those inside them, at level 2 or lower, because the only heading
    of level 1 on a page is its title."""
    return tuple(
        Heading(max(heading.level, 2), heading.anchor, heading.text)
        for section in sections
        for heading in ([section.head] if section.head else []) + list(section.headings)
    )
