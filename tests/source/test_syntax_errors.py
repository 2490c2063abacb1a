"""Errors of the YAML itself: found where they were made, and said in an author's words."""

from __future__ import annotations

import pytest

from chorus_handbook.problems import Place
from chorus_handbook.source import read_yaml

CASES = [
    # text, line, column, in the message, in the hint
    ("title: Foo: bar", 1, 11, "second colon", 'title: "Foo: bar"'),
    ('title: "a": b', 1, 11, "second colon", "quotes"),
    ("title:Foo", 1, 6, "space is missing", "title: Foo"),
    ("title:Foo\nsummary: b", 1, 6, "space is missing", "title: Foo"),
    ("impact:2", 1, 7, "space is missing", "impact: 2"),
    ("a: b\ntitle:Foo\nc: d", 2, 6, "space is missing", "title: Foo"),
    ("title Foo\nsummary: b", 1, 1, "no colon", "title: Slack water"),
    ("a: b\ntitle Foo\nc: d", 2, 1, "no colon", "title: Slack water"),
    ("# b\n\nFoo\n# b\nc: d", 3, 1, "no colon", "title: Slack water"),
    ('title: "Foo\nb: c', 1, 8, "never closed", "same quote"),
    ("title: 'Foo\nb: c", 1, 8, "never closed", "same quote"),
    ('title: "Foo\nb: "bar"', 1, 8, "not closed on this line", "same quote"),
    ("title:Song #4", 1, 6, "space is missing", 'title: "Song #4"'),
    ("title: a: \"b\" 'c'", 1, 9, "second colon", 'title: "a: \\"b\\" \'c\'"'),
    ("goals: [a, b\nb: c", 1, 8, '"[" that opens', "]"),
    ("goals: {a: b\nb: c", 1, 8, '"{" that opens', "}"),
    ("goals: [a, b", 1, 8, '"[" that opens', "]"),
    ("goals: [a, {b: c]\nd: e", 1, 17, 'comma or the closing "}"', "commas"),
    ('goals: ["a" b]', 1, 13, 'comma or the closing "]"', "commas"),
    ("goals: [a,,b]", 1, 11, "nothing between", "comma"),
    ("a: {b: x, about:}", 1, 16, "value is missing", "or delete"),
    ("a: {b: x, about:, c: d}", 1, 16, "value is missing", "or delete"),
    ("a: {b:[1]}", 1, 6, "space is missing", "colon, a space"),
    ("a: [x:]", 1, 6, "value is missing", "or delete"),
    ("a: {label:Soprano, clef: bass}", 1, 10, "space is missing", "label: Soprano"),
    ("a: {b: #c}", 1, 4, '"{" that opens', '"#" begins a comment'),
    ("a: {label: Alto #2}", 1, 4, '"{" that opens', 'contains "#" in quotes'),
    ("a: [b, 'c]\nd: 'e'", 1, 8, "not closed on this line", "same quote"),
    ('a: ["[", {b: "]"]', 1, 17, 'comma or the closing "}"', "commas"),
    ('a: ["[",\n  {b: "]",', 2, 3, '"{" that opens', 'Write "}"'),
    ("goals: [a, b # c]", 1, 8, '"[" that opens', '"#" begins a comment'),
    ("a: b\n\tc: d", 2, 1, "tab", "spaces"),
    ("a:\n \t- d", 2, 2, "tab", "spaces"),
    ("a: @x", 1, 4, 'begin with "@"', "quotes"),
    ("a: `x`", 1, 4, 'begin with "`"', "quotes"),
    ("a: *bold* x", 1, 4, 'begin with "*"', "quotes"),
    ("a: !x!y z", 1, 4, 'begin with "!"', "quotes"),
    ("a: %b", 1, 4, 'begin with "%"', "quotes"),
    ("a: , b", 1, 4, 'begin with ","', "quotes"),
    ("a: ] b", 1, 4, 'begin with "]"', "quotes"),
    ('a: "Foo" bar', 1, 10, "follows a closing quote", "one pair of quotes"),
    ("a: 'it's'", 1, 8, "follows a closing quote", "twice"),
    ("a: [b] c", 1, 8, "closing quote or bracket", "one pair"),
    ("goals: - a", 1, 8, "middle of a line", "[one, two]"),
    ("a: b\n c: d", 2, 2, "indented further", "same number of spaces"),
    ("a:\n  b: 1\n   c: 2", 3, 4, "indented further", "same number of spaces"),
    ("a:\n  b: 1\n c: 2", 3, 2, "not indented like", "same number of spaces"),
    ("  a: b\nc: d", 2, 1, "not indented like", "same number of spaces"),
    (": x", 1, 1, "name is missing", "name"),
    ("a: > text", 1, 4, "same line", "next line"),
    ("a: | text", 1, 4, "same line", "next line"),
    ('a: "C:\\dir"', 1, 7, "backslash", "single quotes"),
    ('a: "\\ud800"', 1, 7, "backslash", "single quotes"),
    ("%foo", 1, 1, 'begin with "%"', "quotes"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "line", "column", "message", "hint"), CASES)
def test_an_error_is_shown_where_it_was_made(
    text: str, line: int, column: int, message: str, hint: str
) -> None:
    _, (problem,) = read_yaml(text, Place("x.md", 1), first_line=11)
    assert problem.code == "yaml-syntax"
    assert (problem.place.line - 10, problem.place.column) == (line, column)
    assert message in problem.message and hint in problem.hint


PARSER_WORDS = ("mapping", "scalar", "flow", "token", "block", "stream", "indentation", "expected")


@pytest.mark.parametrize("text", [case[0] for case in CASES])
def test_nothing_of_the_parser_s_own_words(text: str) -> None:
    _, (problem,) = read_yaml(text, Place("x.md"))
    phrase = f"{problem.message} {problem.hint}".lower()
    assert not [word for word in PARSER_WORDS if word in phrase]


@pytest.mark.parametrize(
    "text",
    ["https://a.b: c", "time: 1:30", "a: b#c", "a: b # c", "a: it's", "a: b]", "url: http://a.b/c",
     "a: x-y", "a: {b: c:d}", "a: {b}", "a: {'b:c'}", "a: {b: 'x # y'}",
     "a: 'b: c'", 'a: "b: c"', "a: -b", "a: b - c", "a: \"\\\"b\\\"\"", "a: b:c"],
)  # fmt: skip
def test_what_yaml_allows_is_no_error(text: str) -> None:
    assert read_yaml(text, Place("x.md"))[1] == []
