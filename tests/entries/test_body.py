"""Sections and the notation fence of a body."""

from __future__ import annotations

import pytest

from chorus_handbook.entries.body import Body, read_body

PATH = "handbook/exercises/a.md"


def read(text: str) -> tuple[Body, list[tuple[int, str]]]:
    body, problems = read_body(text, PATH, 10)
    return body, [(p.place.line, p.message) for p in problems]


def test_sections_keep_their_lines() -> None:
    body, problems = read("First.\n\n## Say\nTwo.\nThree.\n\n# Listen for ##\nFour.")
    assert problems == []
    assert [(s.heading, s.markdown.strip(), s.place.line) for s in body.sections] == [
        ("", "First.", 10),
        ("Say", "Two.\nThree.", 13),
        ("Listen for", "Four.", 17),
    ]


@pytest.mark.parametrize("marks", ["```", "````", "~~~"])
@pytest.mark.parametrize("kind", ["degrees", "abc"])
def test_the_notation_is_cut_out_and_leaves_its_lines(marks: str, kind: str) -> None:
    body, problems = read(f"One.\n\n{marks}{kind}\nall: 1\n\nall: 2\n{marks}\nTwo.")
    assert problems == []
    assert body.notation
    assert (body.notation.kind, body.notation.text) == (kind, "all: 1\n\nall: 2")
    assert body.notation.place.line == 13
    assert body.text.split("\n") == ["One.", "", "", "", "", "", "", "Two."]


def test_other_fences_stay_and_hide_headings() -> None:
    body, problems = read("```text\n## no heading\n```\n## Heading\nx")
    assert problems == []
    assert body.notation is None
    assert [s.heading for s in body.sections] == ["", "Heading"]


def test_an_empty_section_is_kept_and_an_empty_beginning_is_not() -> None:
    body, _ = read("\n## Say\n## Listen for\nx")
    assert [s.heading for s in body.sections] == ["Say", "Listen for"]


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ("```degrees\nall: 1", 10, "never closed"),
        ("```degrees\na\n```\n\n```degrees\nb\n```", 14, "the first begins on line 10"),
        ("```degres\na\n```", 10, 'Did you mean "degrees"?'),
    ],
)
def test_faults_of_fences(text: str, line: int, words: str) -> None:
    _, problems = read(text)
    assert [found for found in problems if found[0] == line and words in found[1]]


@pytest.mark.parametrize("marks", ["``", "'''", "````", "   ```", "~~~", "---"])
def test_what_nearly_closes_a_fence_is_named(marks: str) -> None:
    _, problems = read_body(f"One.\n\n```degrees\nall: 1\n{marks}\n\n## Say\nTwo.", PATH, 10)
    (hint,) = [p.hint for p in problems if p.message == "This fence is never closed."][:1]
    assert hint == f"Write ``` in place of {marks.strip()} on line 14."


def test_an_unclosed_fence_is_not_read_as_notes() -> None:
    body, _ = read("```degrees\nall: 1\n## Say\nHello.")
    assert body.notation is None


def test_a_comment_vanishes_with_all_that_stands_in_it() -> None:
    body, problems = read("One <!-- ## Say\n```degrees\nall: 1\n``` --> two.\n## Listen for\nx")
    assert problems == []
    assert body.notation is None
    assert [(s.heading, s.markdown.split()) for s in body.sections] == [
        ("", ["One", "two."]),
        ("Listen for", ["x"]),
    ]
