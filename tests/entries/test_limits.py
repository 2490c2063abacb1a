"""How much a body may hold, held against the library that renders it."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from chorus_handbook.entries import limits
from chorus_handbook.entries.conversion import Conversion
from chorus_handbook.entries.fences import mark, readable
from chorus_handbook.entries.limits import (
    DEEPEST,
    MOST_BRACKETS,
    MOST_BRACKETS_TOGETHER,
    MOST_CELLS,
    MOST_CHARACTERS,
    MOST_HEADINGS,
    MOST_LINES,
    MOST_LINES_TOGETHER,
    MOST_SIGNS,
    MOST_SIGNS_TOGETHER,
    TooComplexError,
    check_size,
)
from chorus_handbook.entries.rendering import render
from chorus_handbook.problems import Place

PLACE = Place("handbook/x.md", 11)
Work = Callable[[Callable[[], object]], int]

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
def test_what_people_write_is_rendered(name: str) -> None:
    rendered, problems = render(ORDINARY[name], PLACE)
    assert rendered and problems == []


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ("x" * (MOST_CHARACTERS + 1), 1, "longer than 64 kB"),
        ("\n" * MOST_LINES, MOST_LINES + 1, "lines"),
        ("ok\n\n" + "x\n" * (MOST_LINES_TOGETHER + 1), MOST_LINES_TOGETHER + 3, "without an empty"),
        ("# a\n" * (MOST_HEADINGS + 2), MOST_HEADINGS + 1, "headings"),
        ("a\n---\n\n" * (MOST_HEADINGS + 2), 3 * MOST_HEADINGS + 2, "headings"),
        ("[^1]: a\n\n" + "".join(f"[^{n}]: b\n" for n in range(9, 99)), 32, "footnotes"),
        ("ok\n\n" + "[" * (MOST_BRACKETS_TOGETHER + 1), 3, "signs"),
        ("[\n\n" * (MOST_BRACKETS + 1), 2 * MOST_BRACKETS + 1, "more than"),
        ("ok\n\n" + "*a _b " * MOST_SIGNS_TOGETHER, 3, "signs"),
        ("ok\n\n" + "`" * (MOST_SIGNS + 1), 3, "signs"),
        ("- a\n\n    " + "&" * (MOST_SIGNS_TOGETHER + 1), 3, "signs"),
        ("a | b\n--|--\n" + "[" * (MOST_BRACKETS_TOGETHER + 1) + " | c\n", 3, "signs"),
        (">" * (DEEPEST + 1) + " a", 1, "deep"),
        ("ok\n\n" + "> " * 5_000 + " a", 3, "deep"),
        ("a\n\n" + "1. " * (DEEPEST + 1) + "a", 3, "deep"),
        ("a\n\n" + "1. " * 5_000 + "a", 3, "deep"),
        ("<!-- -->" + "+ " * (DEEPEST + 1) + "a", 1, "deep"),
        ("".join(f"{' ' * 4 * n}- a\n\n" for n in range(99)), 2 * DEEPEST + 1, "deep"),
        ("|a" * 200 + "\n" + "|-" * 200 + "\n" + "b\n" * 200, MOST_CELLS // 200 + 1, "cells"),
    ],
)
def test_what_nobody_writes_is_too_complex(text: str, line: int, words: str) -> None:
    rendered, (problem,) = render(text, PLACE)
    assert rendered is None
    assert problem.code == "markdown-depth" and problem.hint
    assert problem.place.line == PLACE.line + line - 1, problem
    assert words in problem.message or words == "more than"


#: Lines of Python that may run while a body is rendered: half a second ran 40 million of them where
#: it was measured.
MOST_WORK = 40_000_000
#: What costs most for its length, found by trying many thousands of combinations.
HEAVIEST = [
    "![", "[a", "[", "[`", "*[", "_*", "*_", "*a", "<a ", "<a \n\n", "<a@\n\n", "<http://\n\n",
    "` ", "`a", "`` ", "\n    - \n: a", "[^1]: x\n\n", "[^1]", "# a\n", "a\n=\n", "> ", "1. ",
    "+ ", "\\`", "{: a=", "{: a}", "a|b\n-|-\n\n", "|", "\t", "\t- a\n", "\n```\na",
    "\n1. a\n```\n", "[a](b)\n\n", "[a](", "    - x\n\n", "[a]: b\n", "***", "'`", "\n-|-\n\n- ",
    "}\\]([", "&amp; ", "&amp;\n\n", "!!! note\n    x\n\n", "- x\n", "- x\n\n", "a  \n",
    "a\n: b\n", "* * *\n", "- - -\n", "<b>", "<b>\n\n",
]  # fmt: skip


#: Every limit that says how much of something there may be. Nesting is no such amount.
AMOUNTS = [name for name in vars(limits) if name.startswith("MOST_")]


@pytest.fixture
def scaled(monkeypatch: pytest.MonkeyPatch) -> Callable[[int], int]:
    """Divides every limit; returns how many characters a body may then have."""
    full = {name: getattr(limits, name) for name in AMOUNTS}

    def divide(by: int) -> int:
        for name, amount in full.items():
            monkeypatch.setattr(limits, name, amount // by)
        return limits.MOST_CHARACTERS

    return divide


def fits(text: str) -> bool:
    """Whether a text is within the limits."""
    marked = mark(text)
    if check_size(marked.outside, PLACE):
        return False
    try:
        Conversion(readable(marked.text), "x.md", only_blocks=True)
    except TooComplexError:
        return False
    return True


def longest(unit: str, characters: int) -> str:
    """The longest repetition of a text that is rendered; empty where not even one is."""
    low, high = 0, characters // len(unit) + 1
    while high - low > 1:
        middle = (low + high) // 2
        if fits(unit * middle):
            low = middle
        else:
            high = middle
    return unit * low


@pytest.mark.parametrize("unit", HEAVIEST)
def test_whatever_is_rendered_takes_little_work(
    unit: str, work: Work, scaled: Callable[[int], int]
) -> None:
    """With a quarter and an eighth of the limits, since counting is slow: how the work grows from
    one to the other tells what it is with the whole of them."""

    def heaviest(characters: int) -> int:
        paragraph = longest(unit, characters)
        text = longest(f"{paragraph}\n\n", characters) or paragraph
        return work(lambda: render(text, PLACE))

    eighth, quarter = heaviest(scaled(8)), heaviest(scaled(4))
    assert quarter * (quarter / eighth) ** 2 < MOST_WORK


@pytest.mark.parametrize("unit", HEAVIEST)
def test_whatever_is_too_complex_is_soon_refused(
    unit: str, work: Work, scaled: Callable[[int], int]
) -> None:
    characters = scaled(4)
    text = unit * (characters // len(unit))
    assert work(lambda: check_size(text, PLACE)) < 16 * characters
    assert work(lambda: render(text, PLACE)) < MOST_WORK / 16
