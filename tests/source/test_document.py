"""YAML to plain data: values, places, and what is refused."""

from __future__ import annotations

import re

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from chorus_handbook.problems import Place
from chorus_handbook.source import Document, read_yaml
from chorus_handbook.source.document import DEEPEST
from chorus_handbook.source.text import FORBIDDEN

FILE = Place("chorus.yml")


def good(text: str) -> Document:
    document, problems = read_yaml(text, FILE)
    assert problems == [] and document is not None
    return document


def spot(place: Place) -> tuple[int, int]:
    return place.line, place.column


TEXT = """\
title: Low tide   # a comment
goals: [breath-flow, "a: b"]
voices:
  soprano:
    label: S
list:
- one
-   two
empty:
"""


def test_values_are_plain() -> None:
    assert good(TEXT).data == {
        "title": "Low tide",
        "goals": ["breath-flow", "a: b"],
        "voices": {"soprano": {"label": "S"}},
        "list": ["one", "two"],
        "empty": None,
    }


def test_places_are_those_of_values_and_of_names_for_what_spans_lines() -> None:
    document = good(TEXT)
    assert {path: spot(place) for path, place in document.places.items()} == {
        ("title",): (1, 8),
        ("goals",): (2, 8),
        ("goals", 0): (2, 9),
        ("goals", 1): (2, 22),
        ("voices",): (3, 1),
        ("voices", "soprano"): (4, 3),
        ("voices", "soprano", "label"): (5, 12),
        ("list",): (6, 1),
        ("list", 0): (7, 3),
        ("list", 1): (8, 5),
        ("empty",): (9, 1),
    }
    assert spot(document.name_of("title")) == (1, 1)
    assert spot(document.name_of("goals", 1)) == (2, 22)
    assert spot(document.place_of("voices", "alto", "label")) == (3, 1)
    assert document.place_of("nothing") == FILE


def test_columns_count_characters() -> None:
    assert spot(good("{é🎵: x, b: 🎵, c: y}").place_of("c")) == (1, 18)


def test_the_first_line_can_be_any() -> None:
    document, problems = read_yaml("a: 1\na: 2\nb: !x y\n", Place("x.md"), first_line=2)
    assert document and document.places["a",] == Place("x.md", 2, 4)
    assert [p.place.line for p in problems] == [3, 4]


@pytest.mark.parametrize("text", ["", "# only a comment\n", "---\n", "~", "\n\n"])
def test_nothing_is_a_document_without_fields(text: str) -> None:
    assert good(text).data == {}


@pytest.mark.parametrize(
    ("text", "code", "where", "words"),
    [
        ("a: 1\nb: 2\na: 3", "yaml-duplicate", (3, 1), "the first is on line 1"),
        ("x: {a: 1, a: 2}", "yaml-duplicate", (1, 11), '"a"'),
        ("1: a\n01: b", "yaml-duplicate", (2, 1), "line 1"),
        ("a: &x 1", "yaml-feature", (1, 4), '"&x"'),
        ("&x a: 1", "yaml-feature", (1, 1), '"&x"'),
        ("a: &x [1]", "yaml-feature", (1, 4), '"&x"'),
        ("a: *x", "yaml-feature", (1, 4), '"*x"'),
        ("a: !!str 5", "yaml-feature", (1, 4), '"!!str"'),
        ("a: !x {b: c}", "yaml-feature", (1, 4), '"!x"'),
        ("!x a: 1", "yaml-feature", (1, 1), '"!x"'),
        ("<<: {a: 1}", "yaml-feature", (1, 1), '"<<"'),
        ("? [a]\n: 1", "yaml-feature", (1, 3), "plain word"),
        ("? {a: b}\n: 1", "yaml-feature", (1, 3), "plain word"),
        ("a: 1\n---\nb: 2", "yaml-feature", (2, 1), "second set"),
        ("# y\n%YAML 1.1\n---\na: 1", "yaml-syntax", (2, 1), 'begin with "%"'),
        ('"": 1', "yaml-syntax", (1, 1), "name is missing"),
        ("~: 1\n'': 2", "yaml-syntax", (2, 1), "name is missing"),
        ('a: "x\\0y"', "file-character", (1, 4), "backslash"),
        ("- a", "yaml-syntax", (1, 1), "should be a field here"),
        ("just words", "yaml-syntax", (1, 1), "should be a field here"),
        ("[a, b]", "yaml-syntax", (1, 1), "should be a field here"),
    ],
)
def test_what_is_refused(text: str, code: str, where: tuple[int, int], words: str) -> None:
    _, (problem,) = read_yaml(text, FILE)
    assert (problem.code, spot(problem.place)) == (code, where)
    assert words in problem.message and problem.hint


def test_what_was_refused_is_remembered() -> None:
    document, _ = read_yaml("a: &x 0\nb: [!y 1, *x]\nc: *x\n", FILE)
    assert document and document.unread == {("a",), ("b", 0), ("b", 1), ("c",)}


def test_a_name_glued_to_its_value_is_told_and_taken_for_that_name() -> None:
    document, (problem,) = read_yaml("a: {label:Soprano, b: 1}\n", FILE)
    assert (problem.code, spot(problem.place)) == ("yaml-syntax", (1, 10))
    assert document and document.data == {"a": {"b": 1}}
    assert document.unread == {("a", "label")}


def test_of_two_fields_the_first_counts_with_its_places() -> None:
    document, _ = read_yaml("a: {b: 1}\na: {c: {d: 2}}\n", FILE)
    assert document and document.data == {"a": {"b": 1}}
    assert ("a", "c") not in document.places


def test_names_are_words_or_whole_numbers() -> None:
    assert list(good("4: a\ntrue: b\n1.5: c\n'5': d").data) == [4, "true", "1.5", "5"]


def test_depth_has_a_limit() -> None:
    inner = DEEPEST - 1
    good("a: " + "[" * inner + "]" * inner)
    document, (problem,) = read_yaml("a: " + "[" * (inner + 1) + "]" * (inner + 1), FILE)
    assert document is None and problem.code == "yaml-depth"
    assert spot(problem.place) == (1, 4 + inner)


@pytest.mark.parametrize(
    ("text", "where", "hint"),
    [
        ("title: Song #4", (1, 13), '"Song #4"'),
        ("title: Song # 4", (1, 13), '"Song # 4"'),
        ("title: Key of F #", (1, 17), '"Key of F #"'),
        ('title: Say "ah" #loud', (1, 17), "'Say \"ah\" #loud'"),
        ("title: #4 Song", (1, 8), '"#4 Song"'),
        ("roots: 1 - #4 -", (1, 12), '"1 - #4 -"'),  # a raised fourth, in the notation of degrees
        ("list:\n- one\n- two #2", (3, 7), '"two #2"'),
    ],
)
def test_an_end_that_yaml_takes_for_a_comment_is_told(
    text: str, where: tuple[int, int], hint: str
) -> None:
    _, problems = read_yaml(text, FILE)
    problem = problems[0]
    assert (problem.code, spot(problem.place)) == ("yaml-syntax", where)
    assert f"in quotes: {hint}." in problem.hint


@pytest.mark.parametrize(
    "text",
    [
        "title: Low tide # the first one",
        "title: Low tide   ## 2 of them",
        "title: # to be found\nlist: [a]",
        "title: C#4",
        "title: 'Song #4'",
        "tempo: 84 #4",
        "list:  #all\n- one",
        "#title: x\na: b",
        f"a: b #{' ' * 200_000}c",
    ],
)
def test_a_comment_is_left_alone(text: str) -> None:
    good(text)


@pytest.mark.parametrize(
    "bomb",
    ["[" * 100_000, "{a: " * 60_000, "- " * 100_000, "? " * 100_000, "a:\n" * 60_000,
     "a: &a [*a, *a]\n" * 10_000, "[a, " * 60_000, '"' * 200_001, "!" * 200_000, "\t" * 200_000],
)  # fmt: skip
def test_bombs_are_problems(bomb: str) -> None:
    _, problems = read_yaml(bomb, FILE)
    assert problems and len(problems) <= 20


@given(st.text(alphabet=st.sampled_from("ab1:-[]{}\"'#&*!|>%@`~?,.\n\t  é🎵"), max_size=60))
def test_any_text_is_a_document_or_a_problem(text: str) -> None:
    document, problems = read_yaml(text, FILE)
    assert document is not None or problems
    lines = text.split("\n")
    for problem in problems:
        line, column = spot(problem.place)
        assert 1 <= line <= len(lines) + 1
        assert 1 <= column <= len(([*lines, ""])[line - 1]) + 1


#: Numbers by YAML 1.2 (10.3.2) that YAML 1.1, which the writer below follows, takes for text.
NEW_NUMBERS = re.compile(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)[eE][-+]?[0-9]+|0o[0-7]+")
VALUES = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(10**6), 10**6)
    | st.text(max_size=20).filter(lambda text: not NEW_NUMBERS.fullmatch(text)),
    lambda inner: (
        st.lists(inner, max_size=4) | st.dictionaries(st.text(min_size=1), inner, max_size=4)
    ),
    max_leaves=12,
)


@pytest.mark.parametrize("sign", ["\x85", "\u2028", "\u2029", "\u200b", "\x7f", "\ud800"])
@pytest.mark.parametrize("written", ["a: 1\nb: x{}y", "a: 1\nb: 'x{}y'", 'a: 1\nb: "x{}y"'])
def test_a_character_that_may_not_stand_in_a_file_never_passes(sign: str, written: str) -> None:
    """Line ends of YAML 1.1 that YAML 1.2 (5.4) counts as text would else become spaces."""
    document, problems = read_yaml(written.format(sign), FILE, 5)
    assert [problem.code for problem in problems] == ["file-character"]
    assert spot(problems[0].place) == (6, written.split("\n")[1].index("{") + 1)
    assert document and document.data == {"a": 1, "b": "x y"}


@given(st.dictionaries(st.text(st.characters(categories=["L"]), min_size=1), VALUES, max_size=5))
def test_what_another_library_writes_is_read_back(data: dict[str, object]) -> None:
    """PyYAML's writer is the reference: it quotes whatever could be taken for something else."""
    written = yaml.safe_dump(data, allow_unicode=True, sort_keys=False)
    if any(sign in written for sign in ("&", "*", "\\", "? ", "!!", "''", '""')):
        return  # what a handbook does without, or a control character
    document, problems = read_yaml(written, FILE)
    refused = {problem.code for problem in problems}
    if FORBIDDEN.search(written):
        assert "file-character" in refused
    elif not refused & {"yaml-depth", "yaml-feature"}:
        assert problems == [] and document is not None and document.data == data
