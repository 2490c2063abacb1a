"""The grammar in docs/writing/degrees.md against the reader, by parsers that were made from it.

The grammar is cut out of the page and turned into the form of Lark, a parser generator; Hypothesis
draws texts from it. What the two disagree on has to be one of the rules that the page lists below
the grammar.

Source of the form: EBNF as in the XML recommendation, fifth edition, section 6 (W3C 2008).
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.extra.lark import from_lark
from lark import Lark
from lark.exceptions import LarkError

from chorus_handbook.music.score import Score
from chorus_handbook.problems import Problem

PROJECT = Path(__file__).parents[3]
PAGE = (PROJECT / "docs/writing/degrees.md").read_text(encoding="utf-8")
CASES = sorted((PROJECT / "tests/cases/degrees").glob("*.json"))
Read = Callable[..., tuple[Score | None, list[Problem]]]

#: What the page says the grammar cannot say, by the number there: the reader's words for it.
UNSAID = {
    1: r"There is no voice or group called|already (has|have) a line in this block"
    r"|cannot be joined with|This block has two lines for|No voice is left for"
    r"|is a field of the front matter|is neither a voice nor a word of the header",
    2: r"is given twice|fills a whole bar|There cannot be a pickup",
    3: r"There is no note before this|stands after a breath",
    4: r"breath comes before the first note|two breaths in a row",
    5: r"This glide leads to|This note is gliding already|cannot glide",
    6: r"This hairpin ends where it begins",
    7: r"There is no syllable before|no space before the three dots|a picture or an unknown",
    8: r"more than [\d,]+ (bars|notes|blocks|lines)",
}

_PIECE = re.compile(
    r"""\s*(?:(?P<string>'[^']*'|"[^"]*")|(?P<set>\[[^\]]+\])|(?P<code>\#x[0-9A-F]+)"""
    r"|(?P<name>[a-z]+)|(?P<sign>[()?*+|-]))"
)
_RULE = re.compile(r"^([a-z]+) *::=", re.MULTILINE)


def rules_of(page: str) -> dict[str, str]:
    """The rules of the grammar in a page, by name."""
    (grammar,) = re.findall(r"^```ebnf\n(.*?)^```$", page, re.MULTILINE | re.DOTALL)
    pieces = _RULE.split(grammar)[1:]
    return dict(zip(pieces[::2], pieces[1::2], strict=True))


def as_lark(rules: dict[str, str]) -> str:
    """The grammar in the form of Lark. A - B is a terminal of its own, as Lark has no such sign."""
    return "\n".join(_as_lark(name, rule, rules) for name, rule in rules.items())


def _as_lark(name: str, rule: str, rules: dict[str, str]) -> str:
    if excluded := re.fullmatch(r"\s*([a-z]+) - ([a-z]+)\s*", rule):
        this, that = (_pattern(rules[name]) for name in excluded.groups())
        terminal = name.upper()
        return f"{name}: {terminal}\n{terminal}: /(?!(?:{that})(?![-a-z0-9])){this}/"
    return f"{name}: " + " ".join(
        json.dumps(piece[1:-1])
        if kind == "string"
        else f"/{_escaped(piece)}/"
        if kind in ("set", "code")
        else piece
        for kind, piece in _pieces(rule)
    )


def _pattern(rule: str) -> str:
    """A rule without names as a regular expression."""
    return "".join(
        re.escape(piece[1:-1]) if kind == "string" else _escaped(piece)
        for kind, piece in _pieces(rule)
    )


def _pieces(rule: str) -> list[tuple[str, str]]:
    found, position = [], 0
    while rule[position:].strip():
        piece = _PIECE.match(rule, position)
        assert piece and piece.lastgroup, rule[position:]
        found.append((piece.lastgroup, piece[piece.lastgroup]))
        position = piece.end()
    return found


def _escaped(characters: str) -> str:
    return re.sub("#x([0-9A-F]+)", lambda code: f"\\x{int(code[1], 16):02x}", characters)


RULES = rules_of(PAGE)
LARK = Lark(as_lark(RULES), start="text", parser="earley", lexer="dynamic")


def parses(text: str) -> bool:
    try:
        LARK.parse(text if text.endswith("\n") else text + "\n")
    except LarkError:
        return False
    return True


def said(problems: list[Problem]) -> list[Problem]:
    """The problems that the grammar should have seen."""
    return [
        p for p in problems if not any(re.search(words, p.message) for words in UNSAID.values())
    ]


def _texts() -> list[str]:
    cases = [json.loads(path.read_text(encoding="utf-8")) for path in CASES]
    fences = re.findall(r"^```degrees[^\n]*\n(.*?)^```$", PAGE, re.MULTILINE | re.DOTALL)
    demo = [
        fence
        for path in sorted((PROJECT / "handbook/exercises").glob("*.md"))
        for fence in re.findall(
            r"^```degrees[^\n]*\n(.*?)^```$", path.read_text("utf-8"), re.MULTILINE | re.DOTALL
        )
    ]
    return ["\n".join(case["text"]) for case in cases if "text" in case] + fences + demo


TEXTS = _texts()
anyhow = settings(suppress_health_check=list(HealthCheck), deadline=None)


def agree(read: Read, text: str) -> bool:
    """Whether the grammar and the reader say the same of a text: what is in the grammar is wrong
    only where the grammar cannot say so, and what is not in it has some problem."""
    problems = read(text)[1]
    return not said(problems) if parses(text) else bool(problems)


def test_there_are_texts_of_all_kinds() -> None:
    assert len(TEXTS) > 120
    assert all(
        f"\n{number}. " in PAGE.partition("What the grammar cannot say")[2] for number in UNSAID
    )


@pytest.mark.parametrize("text", TEXTS, ids=range(len(TEXTS)))
def test_what_is_read_is_in_the_grammar(read: Read, text: str) -> None:
    assert agree(read, text)


CHORUS = json.loads((PROJECT / "tests/cases/degrees/chorus.json").read_text(encoding="utf-8"))
NAMES = [*CHORUS["voices"], *CHORUS["groups"], "all", "others", "leader"]
DRAWN = from_lark(
    LARK,
    explicit={"NAME": st.sampled_from(NAMES)},
    alphabet=st.characters(min_codepoint=32, max_codepoint=126, include_characters="\t\r\n"),
)


@given(DRAWN)
@anyhow
def test_what_the_grammar_makes_is_read(read: Read, text: str) -> None:
    assert said(read(text)[1]) == []


@given(
    st.sampled_from(TEXTS),
    st.lists(
        st.tuples(
            st.floats(0, 1), st.integers(0, 2), st.sampled_from("1234567890x-.'?,~^#bv|<>pm: \n_*")
        ),
        max_size=4,
    ),
)
@anyhow
def test_what_is_refused_is_refused_by_both(
    read: Read, text: str, changes: list[tuple[float, int, str]]
) -> None:
    for where, removed, added in changes:
        at = int(where * len(text))
        text = text[:at] + added + text[at + removed :]
    assert agree(read, text)
