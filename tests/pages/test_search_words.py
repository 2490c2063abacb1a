"""Everyday words stand below a page's title, as text, and readers do not see them."""

from __future__ import annotations

from dataclasses import replace

from markupsafe import Markup

from chorus_handbook.pages.page import Page
from chorus_handbook.pages.search_words import with_search_words

PAGE = Page("goals/tuning.md", "Tuning", "", Markup("<header><h1>Tuning</h1></header><h2>A</h2>"))


def test_words_stand_below_the_title() -> None:
    found = with_search_words(PAGE, ["flat", "in tune"]).content
    assert found == ("<header><h1>Tuning</h1><p hidden>flat, in tune</p></header><h2>A</h2>")
    assert with_search_words(PAGE, []) is PAGE


def test_a_page_without_a_title_has_them_at_its_end() -> None:
    untitled = replace(PAGE, content=Markup("<p>Text.</p>"))
    assert with_search_words(untitled, ["flat"]).content == "<p>Text.</p><p hidden>flat</p>"


def test_words_are_text() -> None:
    found = with_search_words(PAGE, ["<b>loud</b> & soft"]).content
    assert "<p hidden>&lt;b&gt;loud&lt;/b&gt; &amp; soft</p>" in found
