"""What authors write, on pages: a whole body as it was written, such as voice-care.md, or parts of
one."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from markupsafe import Markup

from chorus_handbook.entries.model import Heading, Section, Text
from chorus_handbook.pages.html import render
from chorus_handbook.pages.page import Page, shown_on


def written_page(text: Text[Any]) -> Page:
    """The page, under a heading made from its title."""
    head = render("page_head.html", title=text.title, intro=[])
    return Page(
        path=text.page,
        title=text.title,
        description=text.title,
        content=head + whole_body(text),
        headings=headings_of(text.source.body.sections),
    )


def whole_body(text: Text[Any]) -> Markup:
    """The whole body, each section under its heading, with the notes at its foot."""
    body = text.source.body
    return shown_on(text.page, sections_html(body.sections) + body.footnotes)


def sections_html(sections: Iterable[Section]) -> Markup:
    """Sections, each under its heading."""
    return render("sections.html", sections=sections)


def headings_of(sections: Iterable[Section]) -> tuple[Heading, ...]:
    """The headings of sections and those in them. A page has one heading of the first level, its
    title; an author's stand below it."""
    return tuple(
        Heading(max(heading.level, 2), heading.anchor, heading.text)
        for section in sections
        for heading in ([section.head] if section.head else []) + list(section.headings)
    )
