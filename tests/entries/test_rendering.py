"""An author's Markdown as HTML: what Python-Markdown makes of it, with what must not stand in it
found at its place, and nothing in it that could do harm."""

from __future__ import annotations

import re
from html import unescape
from html.parser import HTMLParser
from pathlib import Path

import html5lib
import markdown
import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st
from markdown.extensions.toc import TocExtension
from markupsafe import Markup

from chorus_handbook.entries.conversion import anchor_of
from chorus_handbook.entries.fences import mark, readable
from chorus_handbook.entries.rendered import Rendered
from chorus_handbook.entries.rendering import render
from chorus_handbook.problems import Place, Problem

PLACE = Place("handbook/exercises/a.md", 11)
DEMO = Path(__file__).parents[2] / "handbook"


def rendered(text: str, place: Place = PLACE) -> Rendered:
    found, _ = render(text, place)
    assert found is not None
    return found


def html_of(text: str) -> str:
    """The whole body as HTML, under its headings."""
    body = rendered(text)
    parts = []
    for section in body.sections:
        if section.head:
            level, anchor = section.head.level, section.head.anchor
            parts.append(f'<h{level} id="{anchor}">{section.title}</h{level}>')
        parts.append(section.html)
    return "\n".join([*parts, body.footnotes])


def problems_of(text: str) -> list[Problem]:
    return render(text, PLACE)[1]


UNSAFE = [
    # text, line, column, code, in the message
    ("a <script>alert(1)</script>", 1, 3, "html-unsafe", "<script>"),
    ("ab\n\n<iframe src='https://x.y'></iframe>", 3, 1, "html-unsafe", "<iframe>"),
    ("<form action='x'>", 1, 1, "html-unsafe", "<form>"),
    ("<div>a</div>", 1, 1, "html-unsafe", "<div>"),
    ("</div>", 1, 1, "html-unsafe", "</div>"),
    ("<SCRIPT>", 1, 1, "html-unsafe", "<script>"),
    ("<svg/onload=alert(1)>", 1, 1, "html-unsafe", "<svg"),
    ("<x-y>", 1, 1, "html-unsafe", "<x-y>"),
    ("a<br>b", 1, 2, "html-unsafe", "<br>"),
    ("<em\nonclick=x>a</em>", 1, 1, "html-unsafe", "<em>"),
    ("<em\nonclick=x>a</em>", 2, 12, "html-unsafe", "</em>"),
    ("> <em\n> onclick=x>a</em>", 1, 3, "html-unsafe", "<em>"),
    ("- <i>a\n- `<i>` <i>b", 2, 9, "html-unsafe", "<i>"),
    ("a | b\n--|--\nc | <b>d", 3, 5, "html-unsafe", "<b>"),
    ("<?php x ?>", 1, 1, "html-unsafe", "<?php"),
    ("a <!-- never", 1, 3, "html-unsafe", "never closed"),
    ("*a*{: onclick='x()' }", 1, 4, "html-unsafe", "not supported"),
    ("a\n{: #__config }", 2, 1, "html-unsafe", "__config"),
    ("a\n{: #\\__config }", 2, 1, "html-unsafe", "__config"),
    ("## Low {#low}", 1, 8, "html-unsafe", "{#low}"),
    ("## Low {.wide}", 1, 8, "html-unsafe", "{.wide}"),
    ("[a](javascript:alert(1))", 1, 5, "link-unsafe", "javascript:"),
    ("[a](  JavaScript:alert(1))", 1, 7, "link-unsafe", "javascript:"),
    ("[a](<javascript:alert(1)>)", 1, 6, "link-unsafe", "javascript:"),
    ("[a](java\nscript:alert(1))", 1, 5, "link-unsafe", "javascript:"),
    ("[a](java&#115;cript:x)", 1, 5, "link-unsafe", "javascript:"),
    ("[a](&#x6A;avascript&colon;x)", 1, 5, "link-unsafe", "javascript:"),
    ("[a](javascript&amp;colon;x)", 1, 5, "link-unsafe", "javascript:"),
    ("[a](java%73cript:x)", 1, 5, "link-unsafe", "javascript:"),
    ("[a](java\\script:x)", 1, 5, "link-unsafe", "javascript:"),
    ("[a](vbscript:x)", 1, 5, "link-unsafe", "vbscript:"),
    ("[a](data:text/html,x)", 1, 5, "link-unsafe", "data:"),
    ("[a](file:///etc/passwd)", 1, 5, "link-unsafe", "file:"),
    ("[a](handbook:exercises/b.md)", 1, 5, "link-unsafe", "handbook:"),
    ("[a [b] c](javascript:x)", 1, 11, "link-unsafe", "javascript:"),
    ("[![b](c.png)](javascript:x)", 1, 15, "link-unsafe", "javascript:"),
    ("[a][b]\n\n[b]: javascript:x", 3, 6, "link-unsafe", "javascript:"),
    ("[a][b]\n\n  [b]:\n  javascript:x 'title'", 4, 3, "link-unsafe", "javascript:"),
    ("[b]\n\n- [b]: javascript:x", 3, 8, "link-unsafe", "javascript:"),
    ("<javascript://%0aalert(1)>", 1, 2, "link-unsafe", "javascript:"),
    ("![a](https://x.y/z.png)", 1, 6, "link-unsafe", "another site"),
    ("![a](//x.y/z.png)", 1, 6, "link-unsafe", "another site"),
    ("![a](data:image/png;base64,x)", 1, 6, "link-unsafe", "data:"),
    ("![a](handbook:x.png)", 1, 6, "link-unsafe", "handbook:"),
    ("![a [b](c.md) d](http://x.y)", 1, 18, "link-unsafe", "another site"),
    ("![a\\]](http://x.y)", 1, 8, "link-unsafe", "another site"),
    ("![a][b]\n\n[B]: http://x.y/z.png", 3, 6, "link-unsafe", "another site"),
    ("![b]\n\n[b]: http://x.y/z.png", 3, 6, "link-unsafe", "another site"),
    ("[a](../../secret.md)", 1, 5, "link-unsafe", "out of the handbook"),
    ("[a](..%2f..%2fsecret.md)", 1, 5, "link-unsafe", "out of the handbook"),
    ("![a](../../x.png)", 1, 6, "link-unsafe", "out of the handbook"),
    ("[a](/x.md)", 1, 5, "link-unsafe", "top of the site"),
    ("[a](//x.y/z)", 1, 5, "link-unsafe", 'beginning of the address "//x.y/z" is missing'),
    ("```\n[a](javascript:x)\n", 2, 5, "link-unsafe", "javascript:"),  # never closed
    ("\\`<script>`", 1, 3, "html-unsafe", "<script>"),
    ("`[a](vbscript:x)` [a](vbscript:x)", 1, 23, "link-unsafe", "vbscript:"),
    ("> [a](java\n> script:x)", 1, 7, "link-unsafe", "javascript:"),
    ("> > [a](java\n> > script:x)", 1, 9, "link-unsafe", "javascript:"),
    ("[a](j``ava\nscript:al``ert)", 1, 5, "link-unsafe", "javascript:"),
    ("b <!-- c --> [a](vbscript:x)", 1, 18, "link-unsafe", "vbscript:"),
    ("[^1]\n\n[^1]: [a](vbscript:x)", 3, 11, "link-unsafe", "vbscript:"),
    ("a[^1]\n\n[^1]: b\n\n    [^2]: c", 5, 5, "markdown-depth", "a part of the footnote above"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "line", "column", "code", "words"), UNSAFE)
def test_what_is_unsafe_is_found_at_its_place(
    text: str, line: int, column: int, code: str, words: str
) -> None:
    problems = problems_of(text)
    here = [
        p for p in problems if (p.place.line - 10, p.place.column, p.code) == (line, column, code)
    ]
    assert any(words in problem.message for problem in here), problems
    assert all(problem.hint for problem in problems)


@pytest.mark.parametrize(
    "text",
    [
        "3 < 4 and 5 > 4, p < f, a <- b, 1<2, <3, a<b",
        "p<mp<f, p<f = louder, a<b is c<d",
        "[a](b.md 'see [1]') [c](d.md) [e]",
        "`<script>` and ``a ` <div>`` and `[a](javascript:x)`",
        "```\n<script>alert(1)</script>\n[a](javascript:x)\n```",
        "~~~text\n<div onclick=x>\n~~~",
        "before <!-- <script> --> after",
        "<!--\n## Say\n<div>\n-->",
        "[a](b.md) [c](../voice-care.md#touch) [d](https://x.y/z?a=b:c) [e](mailto:a@b.c)",
        "[f](tel:1)",
        "[a](b.md 'Title: x') [a](b.md \"javascript:\") [a](<b c.md>) [a](#x:y) [a]()",
        "<https://a.b/c> <a@b.c>",
        "![a](b.png) ![a](../pictures/b.png 'c') [![a](b.png)](https://x.y)",
        "[a]\n\n[a]: https://x.y 'Title'",
        "[^1]\n\n[^1]: Note: this.",
        "{braces} and {1 2 3} and {a: b}",
        "## Bold __words__ and snake_case __",
        "Note: __important__ [x]: y",
        "[b]: javascript:nobody-links-to-this",
        "!!! warning \"Take care: <3\"\n    Text",
        "(20 s) 1.2 3.4 [ ] [x] ](",
        "<script",  # no tag, and text
    ],
)  # fmt: skip
def test_what_is_harmless_passes(text: str) -> None:
    assert problems_of(text) == []


def test_a_tag_is_text() -> None:
    assert html_of("a <b>*c*</b> `<i>`") == (
        "<p>a &lt;b&gt;<em>c</em>&lt;/b&gt; <code>&lt;i&gt;</code></p>\n"
    )


def test_a_refused_address_leads_nowhere() -> None:
    assert html_of("[a](javascript:x) ![b](//x.y/z)").strip() == (
        '<p><a rel="noopener noreferrer">a</a> <img alt="b"></p>'
    )


def test_a_page_at_the_top_has_nothing_above_it() -> None:
    _, (problem,) = render("[a](../b.md)", Place("handbook/index.md"))
    assert problem.code == "link-unsafe"
    assert render("[a](exercises/b.md)", Place("handbook/index.md"))[1] == []


def test_a_flood_of_faults_is_cut_short() -> None:
    assert len(problems_of("<script>\n" * 1_000)) == 40


def test_links_are_kept_with_their_places() -> None:
    text = '[a](b.md "t") ![c](<d e.png>)\n\n[x][f]\n`[g](h.md)` [i](javascript:j)\n\n'
    links = rendered(text + "[f]: ../f.md").links
    assert [(link.address, link.place.line, link.place.column) for link in links] == [
        ("b.md", 11, 5),
        ("d e.png", 11, 21),
        ("../f.md", 16, 6),
    ]


def test_addresses_in_the_handbook_wait_for_their_page() -> None:
    html = html_of("[a](../b%20c.md?x#y) ![d](e.png) [f](#g) [h](https://i.j)")
    for address in ("handbook:b%20c.md?x#y", "handbook:exercises/e.png", "#g", "https://i.j"):
        assert f'="{address}"' in html


def test_sections_stand_under_the_headings_at_the_top_level() -> None:
    text = "First.\n\n## Say\nTwo *words*.\n\n### Deeper\nx\n\n# *Tide* & `x` ##\nFour.\n\n"
    text += "Setext\n---\n> ## in a quote\n\n```\n## in a fence\n```\n\n## Say\n"
    sections = rendered(text).sections
    assert [(s.heading, s.title, s.words, s.place.line) for s in sections] == [
        ("", "", 1, 11),
        ("Say", "Say", 4, 14),
        ("Tide & x", "<em>Tide</em> &amp; <code>x</code>", 1, 20),
        ("Setext", "Setext", 4, 24),
        ("Say", "Say", 0, 31),
    ]
    assert [(h.level, h.anchor, h.text) for h in sections[1].headings] == [(3, "deeper", "Deeper")]
    assert [s.head.anchor for s in sections if s.head] == ["say", "tide-x", "setext", "say_1"]


@pytest.mark.parametrize(
    ("heading", "anchor"),
    [("__config", "config"), ("\\_\\_config", "config"), ("&#95;_config", "config"),
     ("_", "_1"), ("hb-goals", "xhb-goals"), ("Low tide!", "low-tide")],
)  # fmt: skip
def test_no_heading_takes_an_id_of_the_theme_or_of_our_pages(heading: str, anchor: str) -> None:
    (section,) = rendered(f"## {heading}").sections
    assert section.head and section.head.anchor == anchor


def test_a_comment_leaves_a_space() -> None:
    assert html_of("a<!-- ## b -->c").strip() == "<p>a c</p>"


def test_the_word_that_tells_places_is_one_that_the_text_lacks() -> None:
    (problem,) = problems_of("zq0x zqq1x [zq0x](vbscript:zq0x)")
    assert problem.place.column == 19
    assert "zq0x zqq1x" in html_of("zq0x zqq1x [zq0x](b.md)")


# -- compared with Python-Markdown alone --------------------------------------------------------

EXTENSIONS = ["admonition", "def_list", "fenced_code", "footnotes", "sane_lists", "tables"]


def alone(text: str) -> str:
    """The HTML that Python-Markdown makes by itself."""
    return markdown.markdown(
        readable(mark(text).text),
        extensions=[*EXTENSIONS, TocExtension(marker="", slugify=anchor_of)],
    )


def as_tree(html: str) -> list[object]:
    """What a parser that is not the sanitiser's makes of HTML: tags, attributes, text. Between
    blocks the number of empty lines says nothing, and the sanitiser adds a relation to links."""
    tree = html5lib.parseFragment(html, treebuilder="etree", namespaceHTMLElements=False)
    found: list[object] = []
    for element in tree.iter():
        attributes = {k: v for k, v in element.attrib.items() if k != "rel"}
        found.append((element.tag, sorted(attributes.items())))
        found += [
            re.sub(r"\s+", " ", text).strip() for text in (element.text, element.tail) if text
        ]
    return [part for part in found if part]


def outward(html: str) -> str:
    """Addresses in the handbook as they were written on PLACE, where that is a plain one."""
    return Markup(html.replace("handbook:exercises/", ""))


BODIES = sorted(path for path in DEMO.rglob("*.md"))


@pytest.mark.parametrize("path", BODIES, ids=lambda path: path.stem)
def test_the_demo_is_rendered_as_python_markdown_does(path: Path) -> None:
    text = path.read_text(encoding="utf-8").split("\n---\n", 1)[-1]
    text = text.replace("](../", "](")  # so that addresses stay within one folder
    assert problems_of(text) == []
    assert as_tree(outward(html_of(text))) == as_tree(alone(text))


PLAIN = st.sampled_from(
    ["a", "Low", " ", "\n", "\n\n", "*", "**", "_", "__", "`", "``", "- ", "\n- ", "\n    - ",
     "1. ", "\n1. ", "> ", "\n> ", "# ", "\n## ", "\n### ", "\n===\n", "\n---\n", "[a](b.md)",
     "[b][c]", "\n\n[c]: d.md 'e'\n\n", "![a](b.png)", "<https://a.b/c>", "<a@b.c>",
     "\n```\n", "\n~~~\n", "\n```text\n", "a | b\n--|:-:\n", "c | d", "|", "\n: ", "[^1]",
     "\n\n[^1]: f\n\n", "\n    ",
     "\n!!! note\n    ", "&amp;", "&", "<", ">", "\\", "\\*", "]", "[", "(", ")", "!", "  \n",
     "...", "\t"]
)  # fmt: skip


TERMS_TOGETHER = re.compile(r"(?m)^ {0,3}: .*\n[^ \t\n].*\n {0,3}: ")


@settings(max_examples=6 * settings.default.max_examples)
@given(st.lists(PLAIN, min_size=1, max_size=16).map("".join))
@example("*[a](b.md)*](_x_)")
def test_whatever_has_nothing_to_clean_is_rendered_as_python_markdown_does(text: str) -> None:
    body, problems = render(text, PLACE)
    assume(body is not None and not problems)
    assume(not TERMS_TOGETHER.search(text))  # which we read otherwise
    assert as_tree(outward(html_of(text))) == as_tree(alone(text))


# -- what is shown is safe, whatever was written ------------------------------------------------


class Judge(HTMLParser):
    """Reads finished HTML and collects what must not be in it. Written against the HTML, not
    against the checks: the tags, attributes and addresses that Markdown itself makes."""

    MADE = frozenset(
        "p a img br em strong ul ol li dl dt dd blockquote pre code hr h1 h2 h3 h4 h5 h6 table "
        "thead tbody tr th td div span sup".split()
    )
    PLAIN = frozenset("class id title alt start style rel".split())

    def __init__(self) -> None:
        super().__init__()
        self.bad: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag not in self.MADE:
            self.bad.append(tag)
        for name, value in attrs:
            if value in (
                name,
                None,
            ):  # what Markdown makes of a bare word in braces; it does nothing
                continue
            plain = unescape(value or "").strip().lower()
            plain = "".join(sign for sign in plain if sign > " ")
            if name in ("href", "src"):
                found = re.match(r"([a-z][a-z0-9+.-]*):", plain)  # RFC 3986, section 3.1
                scheme = found[1] if found else ""
                if scheme not in ("", "http", "https", "mailto", "tel", "handbook"):
                    self.bad.append(f"{tag} {name}={value}")
                if tag == "img" and (scheme not in ("", "handbook") or plain.startswith("//")):
                    self.bad.append(f"image {value}")
            elif name not in self.PLAIN or (name == "style" and not plain.startswith("text-align")):
                self.bad.append(f"{tag} {name}")
            elif name == "id" and plain.startswith("__"):
                self.bad.append(f"id {value}")

    def handle_decl(self, decl: str) -> None:
        self.bad.append(decl)

    def handle_pi(self, data: str) -> None:
        self.bad.append(data)


PIECES = st.sampled_from(
    ["<script>", "</script>", "<div ", "<img src=x ", "onerror=x", "onclick='x'", ">", "<", "/>",
     "<em ", "</em>", "<br>", "<b", "'", '"', "`", "``", "\\", "<!--", "-->", "<!", "<?", "?>",
     "[a]", "[a](", "![a](", "](", ")", "[", "]", "![", "javascript:x", "JAVA&#115;CRIPT:x",
     "http://x.y", "//x.y", "data:x", "b.md", "<javascript:x>", "[a]: ", "\n[a]: ", "![a]",
     "![a][b]",
     "[b]: ", "{: ", "{", "}", "#__config", "id=__config", "onclick=x", "style=x", "__", "_", "*",
     "config", "# ", "\n# ", "\n## ", "\n===\n", "\n---\n", "\n", "\n\n", " ", "    ", "a", "```",
     "\n```\n", "\n~~~\n", "\n```text\n", "- ", "\n- ", "> ", "\n> ", "&#95;", "&lt;", "|",
     "\n|-|-\n",
     "[^1]", "\n[^1]: ", "\n: ", "\n!!! note\n    ", "title=", "href=", "\t", ":", "1. "]
)  # fmt: skip


@settings(max_examples=8 * settings.default.max_examples)
@given(st.lists(PIECES, min_size=1, max_size=14).map("".join))
@example("<em title='\">' onclick=x>'>")
@example("`a\n`<script>`")
@example("![a\\](b.md)](http://x.y)")
@example("[a]: b.md\n{: onclick=x }")
@example("``` {#__config .mermaid onclick=x}\na\n```")
def test_whatever_is_written_is_safe_once_rendered(text: str) -> None:
    if render(text, PLACE)[0] is None:
        return
    judge = Judge()
    html = html_of(text)
    judge.feed(html)
    judge.close()
    assert judge.bad == [], html


def test_terms_need_no_empty_line_between_them() -> None:
    lines = [line for n in range(30) for line in (f"Term {n}", f": Meaning {n}")]
    body, problems = render("\n".join(["```", *lines, "```", "", *lines]), PLACE)
    assert problems == [] and body
    html = str(body.sections[0].html)
    assert html.count("<dl>") == 1 and html.count("<dt>") == html.count("<dd>") == 30
    assert "Meaning 0\nTerm 1" in html  # as it is within a fence
