"""The first wall: what is unsafe is found at its place, and what passes is safe once rendered."""

from __future__ import annotations

import re
from html import unescape
from html.parser import HTMLParser

import markdown
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from chorus_handbook.entries.fences import mark, readable
from chorus_handbook.entries.safety import check_safety, links_in
from chorus_handbook.entries.tags import ALLOWED
from chorus_handbook.entries.weight import check_weight
from chorus_handbook.problems import Place

PLACE = Place("handbook/exercises/a.md", 11)

UNSAFE = [
    # text, line, column, code, in the message
    ("a <script>alert(1)</script>", 1, 3, "html-unsafe", "<script>"),
    ("ab\n\n<iframe src='https://x.y'></iframe>", 3, 1, "html-unsafe", "<iframe>"),
    ("<form action='x'>", 1, 1, "html-unsafe", "<form>"),
    ("<style>p{}</style>", 1, 1, "html-unsafe", "<style>"),
    ("<div>a</div>", 1, 1, "html-unsafe", "<div>"),
    ("</div>", 1, 1, "html-unsafe", "</div>"),
    ("<SCRIPT\n>", 1, 1, "html-unsafe", "<script>"),
    ("<svg/onload=alert(1)>", 1, 1, "html-unsafe", "<svg>"),
    ("<x-y>", 1, 1, "html-unsafe", "<x-y>"),
    ("a <img src=x", 1, 3, "html-unsafe", "<img>"),
    ("<em onclick='x()'>a</em>", 1, 5, "html-unsafe", "run a program"),
    ("<em ONCLICK=x>a</em>", 1, 5, "html-unsafe", "run a program"),
    ("<em\nonclick=x>a</em>", 2, 1, "html-unsafe", "run a program"),
    ("<em style='color:red'>a</em>", 1, 5, "html-unsafe", "style"),
    ("<em id='__config'>a</em>", 1, 5, "html-unsafe", "__config"),
    ("<em id=&#95;_config>a</em>", 1, 5, "html-unsafe", "taken"),
    ("<em title='a>", 1, 1, "html-unsafe", "not written correctly"),
    ("<em a=b'c>", 1, 1, "html-unsafe", "not written correctly"),
    ("<!DOCTYPE html>", 1, 1, "html-unsafe", "instruction to a browser"),
    ("<?php x ?>", 1, 1, "html-unsafe", "instruction to a browser"),
    ("<![CDATA[x]]>", 1, 1, "html-unsafe", "instruction to a browser"),
    ("a <!-- never", 1, 3, "html-unsafe", "never closed"),
    ("*a*{: onclick='x()' }", 1, 7, "html-unsafe", "run a program"),
    ("*a*{onclick=x}", 1, 5, "html-unsafe", "run a program"),
    ("*a*{: onclick }", 1, 7, "html-unsafe", "run a program"),
    ("a\n{: style='x' }", 2, 4, "html-unsafe", "style"),
    ("a\n{: #__config }", 2, 4, "html-unsafe", "__config"),
    ("a {#__config}", 1, 4, "html-unsafe", "__config"),
    ("a\n{: .b #&#95;_config }", 2, 7, "html-unsafe", "taken"),
    ("a\n{: id=__config }", 2, 4, "html-unsafe", "__config"),
    ("[a](b.md){: href=javascript:x }", 1, 13, "html-unsafe", "href"),
    ("![a](b.png){: src=https://x.y }", 1, 15, "html-unsafe", "src"),
    ("## __config", 1, 1, "html-unsafe", "taken"),
    ("## \\_\\_config", 1, 1, "html-unsafe", "taken"),
    ("## &#95;_config", 1, 1, "html-unsafe", "taken"),
    ("#!__config", 1, 1, "html-unsafe", "taken"),
    ("ab\n\n__config\n======", 3, 1, "html-unsafe", "taken"),
    ("[a](javascript:alert(1))", 1, 5, "link-unsafe", "javascript:"),
    ("[a](  JavaScript:alert(1))", 1, 5, "link-unsafe", "javascript:"),
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
    ("[a [b] c](javascript:x)", 1, 11, "link-unsafe", "javascript:"),
    ("[![b](c.png)](javascript:x)", 1, 15, "link-unsafe", "javascript:"),
    ("[a][b]\n\n[b]: javascript:x", 3, 6, "link-unsafe", "javascript:"),
    ("[a][b]\n\n  [b]:\n  javascript:x 'title'", 4, 3, "link-unsafe", "javascript:"),
    ("- [b]: javascript:x", 1, 8, "link-unsafe", "javascript:"),
    ("<javascript://%0aalert(1)>", 1, 2, "link-unsafe", "javascript:"),
    ("![a](https://x.y/z.png)", 1, 6, "link-unsafe", "another site"),
    ("![a](//x.y/z.png)", 1, 6, "link-unsafe", "another site"),
    ("![a](\\\\x.y/z.png)", 1, 6, "link-unsafe", "another site"),
    ("![a](data:image/png;base64,x)", 1, 6, "link-unsafe", "data:"),
    ("![a [b](c.md) d](http://x.y)", 1, 18, "link-unsafe", "another site"),
    ("![a\\]](http://x.y)", 1, 8, "link-unsafe", "another site"),
    ("![a][b]\n\n[B]: http://x.y/z.png", 3, 6, "link-unsafe", "another site"),
    ("![b]\n\n[b]: http://x.y/z.png", 3, 6, "link-unsafe", "another site"),
    ("![b][]\n\n[b]: http://x.y/z.png", 3, 6, "link-unsafe", "another site"),
    ("[a](../../secret.md)", 1, 5, "link-unsafe", "out of the handbook"),
    ("[a](..%2f..%2fsecret.md)", 1, 5, "link-unsafe", "out of the handbook"),
    ("[a](..\\..\\secret.md)", 1, 5, "link-unsafe", "out of the handbook"),
    ("![a](../../x.png)", 1, 6, "link-unsafe", "out of the handbook"),
    ("[a](/x.md)", 1, 5, "link-unsafe", "top of the web site"),
    ("[a](//x.y/z)", 1, 5, "link-unsafe", "beginning of this address is missing"),
    ("```\n[a](javascript:x)\n", 2, 5, "link-unsafe", "javascript:"),  # never closed
    ("``` a b\n<script>\n```", 2, 1, "html-unsafe", "<script>"),  # no page takes it for a fence
    ("` a\n` <script>\n`", 2, 3, "html-unsafe", "<script>"),
    ("\\`<script>`", 1, 3, "html-unsafe", "<script>"),
    ("``` {onclick=x}\na\n```", 1, 6, "html-unsafe", "run a program"),
    ("``` {linenums=1}\na\n```", 1, 6, "html-unsafe", "linenums"),
    # Attributes without a value on a heading end the making of pages with an exception.
    ("## Low {id}", 1, 9, "html-unsafe", "no value"),
    ("## Low {: id }", 1, 11, "html-unsafe", "no value"),
    ("## Low {id=}", 1, 9, "html-unsafe", "no value"),
    ("## Low {id = x}", 1, 9, "html-unsafe", "no value"),
    ("## Low {.a title='b'id}", 1, 21, "html-unsafe", "no value"),
    ("> Low {data-toc-label}\n> ===", 1, 8, "html-unsafe", "no value"),
    # What stands between the parts of an address vanishes on the page.
    ("[a](&\\#x6A;avascript&colon;x)", 1, 5, "link-unsafe", "javascript:"),
    ("> [a](java\n> script:x)", 1, 7, "link-unsafe", "javascript:"),
    ("> > [a](java\n> > script:x)", 1, 9, "link-unsafe", "javascript:"),
    ("[a](j``ava\nscript:al``ert)", 1, 5, "link-unsafe", "javascript:"),
    ("![a](h[tt](b.md)p://x.y/z.png)", 1, 6, "link-unsafe", "brackets"),
    ("[a](java[scr](b.md)ipt:x)", 1, 5, "link-unsafe", "brackets"),
    ("[a](java[^1]script:x)\n\n[^1]: b", 1, 5, "link-unsafe", "brackets"),
    ("[a](b[c].md 'd')", 1, 5, "link-unsafe", "brackets"),
    ("![a[t](b.m]]d)](http://x.y)", 1, 17, "link-unsafe", "another site"),
    # A page takes backslashes out of ids, and reads braces within braces.
    ("a\n{: #\\__config }", 2, 4, "html-unsafe", "taken"),
    ("a\n{: .b #&#95;\\_config }", 2, 7, "html-unsafe", "taken"),
    ("a {: title=b*c*{onclick=x} }", 1, 17, "html-unsafe", "run a program"),
    ("a {: title='b*c*{onclick=x}' }", 1, 18, "html-unsafe", "run a program"),
    ("## \\_![z](b.png)\\_config", 1, 1, "html-unsafe", "taken"),
    # In a quote, the tag goes on behind the next line's sign.
    ("> <em\n> onclick=x>a</em>", 1, 3, "html-unsafe", "not end on the line"),
    ("> <em title='a\n> b' onclick=x>c</em>", 1, 3, "html-unsafe", "not end on the line"),
    # A value may hold the sign that opens a tag.
    ("<em onclick='x(<)'>a</em>", 1, 1, "html-unsafe", "taken for a tag"),
    ('<em title="<" onclick="x">a</em>', 1, 1, "html-unsafe", "taken for a tag"),
    ("<b id='__x<'>", 1, 1, "html-unsafe", "taken for a tag"),
    ("<em onclick=x<y>a</em>", 1, 1, "html-unsafe", "taken for a tag"),
    ("p<mp <https://x.y>", 1, 2, "html-unsafe", "taken for a tag"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "line", "column", "code", "words"), UNSAFE)
def test_what_is_unsafe_is_found_at_its_place(
    text: str, line: int, column: int, code: str, words: str
) -> None:
    problems = check_safety(text, PLACE)
    here = [
        p for p in problems if (p.place.line - 10, p.place.column, p.code) == (line, column, code)
    ]
    assert any(words in problem.message for problem in here), problems
    assert all(problem.hint for problem in problems)


@pytest.mark.parametrize(
    "text",
    [
        "a<br>b, x<sup>2</sup>, <em>a</em>, <kbd>b</kbd>, <br/>",
        "<abbr title='as soon as possible' lang=en class=\"b\">asap</abbr>",
        "3 < 4 and 5 > 4, p < f, a <- b, 1<2, <3, a<b",
        "p<mp<f, p<f = louder, a<b is c<d",
        "## Low {#my-id .wide}\n\n*a*{#id} and {.id}",
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
        "a\n{: .wide #mine title='x' }",
        "*a*{.b} and {braces} and {1 2 3}",
        "## Bold __words__ and snake_case __",
        "## __Bold__ words",
        "## [Low](b.md) and __high__ `_`",
        "Note: __important__ [x]: y",
        "javascript:alert(1) as words",
        "!!! warning \"Take care: <3\"\n    Text",
        "(20 s) 1.2 3.4 [ ] [x] ](",
    ],
)  # fmt: skip
def test_what_is_harmless_passes(text: str) -> None:
    assert check_safety(text, PLACE) == []


def test_a_page_at_the_top_has_nothing_above_it() -> None:
    (problem,) = check_safety("[a](../b.md)", Place("handbook/index.md"))
    assert problem.code == "link-unsafe"
    assert check_safety("[a](exercises/b.md)", Place("handbook/index.md")) == []


def test_a_flood_of_faults_is_cut_short() -> None:
    assert len(check_safety("<script>\n" * 2_000, PLACE)) == 40


def test_links_are_found_with_their_places() -> None:
    text = '[a](b.md "t") ![c](<d e.png>)\n\n[x]: ../f.md\n`[g](h.md)` [i](javascript:j)'
    assert [(target, at.line, at.column) for target, at in links_in(text, PLACE)] == [
        ("b.md", 11, 5),
        ("d e.png", 11, 20),
        ("../f.md", 13, 6),
    ]


# -- what passes is safe once rendered ----------------------------------------------------------


class Judge(HTMLParser):
    """Reads finished HTML and collects what must not be in it. Written against the HTML, not
    against the checks: the tags, attributes and addresses that Markdown itself makes, and those
    that may be written."""

    MADE = frozenset(
        "p a img ul ol li dl dt dd blockquote pre code hr h1 h2 h3 h4 h5 h6 table thead tbody tr "
        "th td div span sup".split()
    )
    PLAIN = frozenset(
        "class id title lang dir alt start align width height style rel scope rowspan "
        "colspan".split()
    )

    def __init__(self) -> None:
        super().__init__()
        self.bad: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag not in self.MADE | ALLOWED:
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
                if scheme not in ("", "http", "https", "mailto", "tel"):
                    self.bad.append(f"{tag} {name}={value}")
                if tag == "img" and (scheme or plain.startswith("//")):
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
EXTENSIONS = [
    *("admonition", "attr_list", "def_list", "footnotes", "sane_lists", "tables", "toc"),
    "fenced_code",
]


@settings(max_examples=8 * settings.default.max_examples)
@given(st.lists(PIECES, min_size=1, max_size=14).map("".join))
@example("<em title='\">' onclick=x>'>")
@example("`a\n`<script>`")
@example("![a\\](b.md)](http://x.y)")
@example("[a]: b.md\n{: onclick=x }")
def test_whatever_passes_is_safe_once_rendered(text: str) -> None:
    if check_weight(text, PLACE) or check_safety(text, PLACE):
        return
    judge = Judge()
    html = markdown.markdown(readable(mark(text).text), extensions=EXTENSIONS)
    judge.feed(html)
    judge.close()
    assert judge.bad == [], html
