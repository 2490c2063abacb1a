"""Links, what is set in late, and the second wall."""

from __future__ import annotations

from typing import Any

import pytest
from markupsafe import Markup

from chorus_handbook.entries.sanitise import clean
from chorus_handbook.pages.page import (
    Page,
    late_slot,
    link,
    set_in_late,
    shown_on,
    url_of,
)


@pytest.mark.parametrize(
    ("source", "target", "expected"),
    [
        ("index.md", "exercises/a.md", "exercises/a/"),
        ("exercises/a.md", "exercises/b.md", "../b/"),
        ("exercises/a.md", "index.md", "../../"),
        ("exercises/index.md", "exercises/a.md", "a/"),
        ("exercises/a.md", "goals/g.md", "../../goals/g/"),
        ("index.md", "assets/x.css", "assets/x.css"),
        ("voice-care.md", "assets/x.css", "../assets/x.css"),
        ("views/v.md", "exercises/index.md", "../../exercises/"),
    ],
)
def test_links_hold_at_any_depth(source: str, target: str, expected: str) -> None:
    assert link(source, target) == expected


def test_an_index_is_its_folder() -> None:
    assert (url_of("index.md"), url_of("a/index.md"), url_of("a/b.md")) == ("", "a/", "a/b/")


def test_addresses_in_the_handbook_are_seen_from_the_page_that_shows_them() -> None:
    html = Markup('<a href="handbook:exercises/a%20b.md?c#d" title=" src="></a>')
    assert shown_on("goals/g.md", html) == (
        '<a href="../../exercises/a%20b/?c#d" title=" src="></a>'
    )
    picture = Markup('<img alt="x" src="handbook:quay.png">')
    assert shown_on("index.md", picture) == '<img alt="x" src="quay.png">'
    assert shown_on("exercises/a.md", picture) == '<img alt="x" src="../../quay.png">'


def test_a_text_that_looks_like_an_address_stays_as_it_is() -> None:
    html = Markup('<a title="&lt;a href=" href="#x">&lt;a href="handbook:b.md"&gt;</a>')
    assert shown_on("index.md", html) == html


def test_late_slots_survive_until_the_page_is_finished() -> None:
    page = Page("a.md", "A", "", Markup(), make_late=lambda: {"score": Markup("<svg/>")})
    assert set_in_late(page, f"<main>{late_slot('score')}</main>") == "<main><svg/></main>"
    assert set_in_late(page, late_slot("unknown")) == ""


def test_late_slots_may_be_named_after_a_file_with_a_digit_in_its_name() -> None:
    page = Page("a.md", "A", "", Markup(), make_late=lambda: {"thumb-bar-2": Markup("<svg/>")})
    assert set_in_late(page, late_slot("thumb-bar-2")) == "<svg/>"


def test_what_is_not_marked_as_html_is_text_in_any_slot() -> None:
    text: Any = "<b title='\"'>&"  # a plain str: the type checker stops it, and so does the page
    page = Page("a.md", "A", "", Markup(), make_late=lambda: {"score": text})
    # OWASP, Cross Site Scripting Prevention Cheat Sheet, output encoding for HTML contexts: these
    # five characters are encoded.
    reported = "&lt;b title=&#39;&#34;&#39;&gt;&amp;"
    assert set_in_late(page, late_slot("score")) == reported


@pytest.mark.parametrize(
    "unsafe",
    [
        "<script>alert(1)</script>",
        '<p onclick="x()">a</p>',
        '<a href="javascript:x()">a</a>',
        '<a href="java&#x73;cript:x()">a</a>',
        '<img src="https://elsewhere.example/a.png">',
        '<img src="//elsewhere.example/a.png">',
        '<p id="__config">a</p>',
        '<iframe src="/"></iframe>',
        '<p style="position:fixed">a</p>',
        '<form action="/"><input></form>',
        "<svg><script>x</script></svg>",
        '<pre class="x mermaid"><code>graph</code></pre>',
        '<math><mtext></mtext><mglyph><style><img src=x onerror="x()">',
    ],
)
def test_nothing_unsafe_survives(unsafe: str) -> None:
    cleaned = clean(unsafe).lower()
    for word in (
        "script",
        "onclick",
        "onerror",
        "elsewhere",
        "__config",
        "iframe",
        "style=",
        "form",
        "mermaid",
    ):
        assert word not in cleaned


def test_what_markdown_makes_is_kept() -> None:
    html = (
        '<div class="admonition note"><p class="admonition-title">Note</p></div>'
        '<table><thead><tr><th style="text-align: right;">a</th></tr></thead></table>'
        '<h2 id="how">How</h2><dl><dt>a</dt><dd>b</dd></dl><img alt="x" src="../a.png">'
        '<sup id="fnref:1"><a class="footnote-ref" href="#fn:1">1</a></sup>'
    )
    cleaned = clean(html)
    for cached in (
        "admonition note",
        "text-align: right;",
        'id="how"',
        "<dt>",
        "../a.png",
        "#fn:1",
    ):
        assert cached in cleaned
