"""The everyday words that lead to a page, where search finds them and readers do not see them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from markupsafe import Markup

from chorus_handbook.pages.page import Page

_WORDS = Markup("<p hidden>{}</p>")
_TITLE_END = "</h1>"


def with_search_words(page: Page, words: Sequence[str]) -> Page:
    """The page with the words below its title, so that search shows them under that title and not
    under a heading further down."""
    if not words:
        return page
    title, end, rest = page.content.partition(_TITLE_END)
    return replace(page, content=title + end + _WORDS.format(", ".join(words)) + rest)
