"""What authors write whole, such as voice-care.md, as it was written."""

from __future__ import annotations

from typing import Any

from chorus_handbook.entries.model import Text
from chorus_handbook.pages.html import render
from chorus_handbook.pages.page import Page, slot, without_marks


def written_page(text: Text[Any]) -> Page:
    """The page, under a heading made from its title."""
    return Page(
        path=text.page,
        title=text.title,
        description=text.title,
        markdown=slot("head") + markdown_of(text),
        slots={"head": render("page_head.html", title=text.title, intro=[])},
    )


def markdown_of(text: Text[Any]) -> str:
    """The whole body, each section under its heading."""
    return "".join(
        f"\n\n## {without_marks(section.heading)}\n\n{without_marks(section.markdown)}"
        if section.heading
        else without_marks(section.markdown)
        for section in text.source.sections
    )
