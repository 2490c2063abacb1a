"""Where the fields of a file end, and what is missing."""

from __future__ import annotations

import pytest

from chorus_handbook.entries.front_matter import cut, read_front
from chorus_handbook.entries.model import EXERCISE

FIELDS = "title: A\nsummary: B\ngoals: [x]\nimpact: 2\nsounding: hum\nminutes: 1\n"


def test_a_file_is_cut_where_its_fields_end() -> None:
    parts, problems = cut("---\na: 1\n--- \nBody\n---\nmore", "x.md", EXERCISE)
    assert problems == []
    assert (parts.front, parts.body, parts.body_line) == ("a: 1", "Body\n---\nmore", 4)


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ("Body", 1, "missing"),
        ("\n\n---\na: 1\n---\n", 1, "empty lines before"),
        ("----\na: 1\n----\n", 1, '"----"'),
        ("—\na: 1\n---\n", 1, '"—"'),
        ("---\na: 1\n", 1, 'do not end: the line "---" below'),
        ("---\n\n---\nBody", 1, "nothing between"),
    ],
)
def test_what_is_wrong_with_the_lines_around_the_fields(text: str, line: int, words: str) -> None:
    _, (problem,) = cut(text, "x.md", EXERCISE)
    assert problem.code == "front-matter"
    assert problem.place.line == line and words in problem.message


def test_the_body_of_a_file_without_fields_is_still_looked_at() -> None:
    parts, _ = cut("Only a body", "x.md", EXERCISE)
    assert (parts.front, parts.body, parts.body_line) == (None, "Only a body", 1)


def test_fields_become_typed_values_with_places() -> None:
    front, document, problems = read_front(EXERCISE, FIELDS, "x.md")
    assert problems == [] and front and document
    assert (front.goals, front.impact, front.passes, front.lead_in) == (["x"], 2, 1, 4)
    assert (document.place_of("impact").line, document.place_of("impact").column) == (5, 9)


@pytest.mark.parametrize(
    ("answers", "words"),
    [
        ("{bar-length: x}", "only notices can be answered"),
        ("{crosed-voices: x}", 'Did you mean "crossed-voices"?'),
    ],
)
def test_only_notices_can_be_answered(answers: str, words: str) -> None:
    front, _, (problem,) = read_front(EXERCISE, f"{FIELDS}answers: {answers}\n", "x.md")
    assert front is None
    assert problem.code == "word-unknown" and words in problem.message


def test_an_answer_needs_a_reason() -> None:
    _, _, problems = read_front(EXERCISE, f'{FIELDS}answers: {{crossed-voices: ""}}\n', "x.md")
    assert [p.code for p in problems] == ["field-value"]


def test_the_old_name_of_a_field_gets_the_new_one() -> None:
    front, _, (problem,) = read_front(EXERCISE, f"{FIELDS}reminder: anchor\n", "x.md")
    assert front is None
    assert (problem.code, problem.place.line) == ("field-unknown", 8)
    assert problem.message == 'The field "reminder" is now called "cue".'
    assert problem.hint == 'Write "cue:" in its place.'
