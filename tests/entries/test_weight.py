"""What is too heavy to be set as a page, measured against the library that sets it."""

from __future__ import annotations

from collections.abc import Callable

import markdown
import pytest

from chorus_handbook.entries.weight import (
    DEEPEST,
    MOST_CELLS,
    MOST_CHARACTERS,
    MOST_DEFINITIONS,
    MOST_HEADINGS,
    MOST_LINES,
    check_weight,
)
from chorus_handbook.problems import Place

PLACE = Place("x.md", 11)
EXTENSIONS = [
    *("admonition", "attr_list", "def_list", "footnotes", "sane_lists", "tables", "toc"),
    "fenced_code",
]

ORDINARY = {
    "an exercise": "1. (20 s) *Hum* **low**.\n2. [Gangway](gangway.md) `x`\n\n> A quote.\n\n" * 40,
    "a long list of links": "- [One](one.md): what it *is* for, in some words.\n" * 300,
    "a long table": "a | b | c\n---|---|---\n" + "[x](y.md) | *word* | word\n" * 300,
    "a wide rule of a table": "a | b\n" + "-" * 60 + "|" + "-" * 60 + "\nc | d\n",
    "long prose": ("Words and then *more* words, " * 14 + "[link](x.md).\n\n") * 140,
    "a line between parts": "a\n\n" + "* " * 40 + "\n\nb\n\n" + "-" * 80,
    "lists in lists": "".join(f"{' ' * 4 * level}- a\n" for level in range(8)),
    "bold": "**" + "word " * 20 + "**\n",
    "notes": "a[^1] and[^two]: b[^1]\n\n[^1]: c\n\n    d[^two]:\n\n   [^two]: e\n",
    "much code": "```\n" + "[[[[ ****\n" * 2_000 + "```\n",
}


@pytest.mark.parametrize("name", ORDINARY)
def test_what_people_write_is_light(name: str) -> None:
    assert check_weight(ORDINARY[name], PLACE) == []


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ("x" * (MOST_CHARACTERS + 1), 1, "longer than 64 kB"),
        ("\n" * MOST_LINES, MOST_LINES + 1, "lines"),
        ("# a\n" * (MOST_HEADINGS + 2), MOST_HEADINGS + 1, "headings"),
        ("a\n---\n\n" * (MOST_HEADINGS + 2), 3 * MOST_HEADINGS + 2, "headings"),
        ("a\n: b\n\n" * (MOST_DEFINITIONS + 2), 3 * MOST_DEFINITIONS + 2, "definitions"),
        ("ok\n\n" + "[" * 3_000, 3, "signs"),
        ("ok\n\n" + "*a _b " * 3_000, 3, "signs"),
        ("`" * 20_000, 1, "signs"),
        ("a\n\n" + "<a \n\n" * 1_900, 2_003, "signs"),
        ("a\n" + "- a\n" * 3 + "    " * DEEPEST + "- a", 5, "deep"),
        (">" * (DEEPEST + 1) + " a", 1, "deep"),
        ("a\n\n" + "1. " * (DEEPEST + 1) + "a", 3, "deep"),
        ("<!-- -->" + "+ " * (DEEPEST + 1) + "a", 1, "deep"),
        ("\t" * DEEPEST + "- a", 1, "deep"),
        # A note within a note ends the making of pages with an exception.
        ("[^1]: [^2]: a\n[^3]: b", 1, "inside a list"),
        ("[^1]: a\n\n    [^2]: b\n\n[^3]: c", 3, "inside a list"),
        ("[^1]: a\n\n        - [^2]: b\n\n[^3]: c", 3, "inside a list"),
        ("[^1]: - [^2]: b\n[^3]: c", 1, "inside a list"),
        ("[^1]: > [^2\nb]: b\n[^3]: c", 1, "inside a list"),
        ("a[^1]\n\n> [^1]: b", 3, "inside a list"),
        ("|a" * 200 + "\n" + "|-" * 200 + "\n" + "b\n" * 200, MOST_CELLS // 200 + 1, "cells"),
    ],
)
def test_what_nobody_writes_is_heavy(text: str, line: int, words: str) -> None:
    (problem,) = check_weight(text, PLACE)
    assert problem.code == "markdown-depth" and words in problem.message and problem.hint
    assert problem.place.line == PLACE.line + line - 1


#: What costs most for its length, found by trying many thousands of combinations.
HEAVIEST = [
    "![", "[a", "[", "[`", "*[", "_*", "*a", "<a \n\n", "<a@\n\n", "<http://\n\n", "` ", "`a",
    "\n    - \n: a", "[^1]: x\n\n", "# a\n", "a\n=\n", "> ", "1. ", "+ ", "\\`", "{: a=",
    "a|b\n-|-\n\n", "\n```\na", "\n1. a\n```\n", "[a](b)\n\n", "    - x\n\n", "[a]: b\n", "***",
    "'`", "\n-|-\n\n- ", "}\\]([", "&amp; ", "!!! note\n    x\n\n",
]  # fmt: skip


def light(unit: str) -> str:
    """The longest repetition of the unit that passes."""
    low, high = 1, MOST_CHARACTERS // len(unit) + 1
    while high - low > 1:
        middle = (low + high) // 2
        if check_weight(unit * middle, PLACE):
            high = middle
        else:
            low = middle
    return unit * low


@pytest.mark.timeout(60)  # a second on an idle machine; what is refused would take hours
@pytest.mark.parametrize("unit", HEAVIEST)
def test_whatever_passes_is_soon_set(unit: str) -> None:
    markdown.markdown(light(unit), extensions=EXTENSIONS)


@pytest.mark.parametrize("unit", HEAVIEST)
def test_weighing_is_quick(unit: str, work: Callable[[Callable[[], object]], int]) -> None:
    text = unit * (MOST_CHARACTERS // len(unit))
    assert work(lambda: check_weight(text, PLACE)) < 16 * MOST_CHARACTERS


@pytest.mark.timeout(60)  # milliseconds, unless a pattern tries every part of the line
def test_a_rule_that_is_none_is_told_quickly() -> None:
    check_weight("a|b\n" + "-" * 60_000 + "x\n", PLACE)
