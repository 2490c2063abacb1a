"""Adds to a page the everyday words that lead to it (`chorus/words.py`). They are hidden from
readers, but search finds the page by them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from markupsafe import Markup

from chorus_handbook.pages.page import Page

_WORDS = Markup("<p hidden>{}</p>")
_TITLE_END = "</h1>"


def with_search_words(page: Page, words: Sequence[str]) -> Page:
    """`page` with `words` in a hidden paragraph directly below its title: search then shows the
    page by its title and not by a heading further down. Without words, the page is unchanged."""
    if not words:
        return page
    title, end, rest = page.content.partition(_TITLE_END)
    return replace(page, content=title + end + _WORDS.format(", ".join(words)) + rest)
