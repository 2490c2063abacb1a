"""Pages that authors write whole, such as voice-care.md."""

from __future__ import annotations

from chorus_handbook.entries.prose import ProsePage
from chorus_handbook.pages.html import render
from chorus_handbook.pages.page import Page, slot, without_marks


def written_page(written: ProsePage) -> Page:
    """The page, under a heading made from its title."""
    return Page(
        path=written.path,
        title=written.title,
        description=written.title,
        markdown=slot("head") + without_marks(written.markdown),
        slots={"head": render("page_head.html", title=written.title, intro=[])},
    )
