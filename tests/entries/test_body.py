"""The notation fence of a body."""

from __future__ import annotations

import pytest

from chorus_handbook.entries.body import read_body
from chorus_handbook.entries.fences import readable
from chorus_handbook.entries.model import Notation
from chorus_handbook.problems import Place

PLACE = Place("handbook/exercises/a.md", 10)


def read(text: str) -> tuple[str, Notation | None, list[tuple[int, str]]]:
    body, notation, problems = read_body(text, PLACE)
    return body, notation, [(p.place.line, p.message) for p in problems]


@pytest.mark.parametrize("marks", ["```", "````", "~~~"])
@pytest.mark.parametrize("kind", ["degrees", "abc"])
def test_the_notation_is_cut_out_and_leaves_its_lines(marks: str, kind: str) -> None:
    body, notation, problems = read(f"One.\n\n{marks}{kind}\nall: 1\n\nall: 2\n{marks}\nTwo.")
    assert problems == []
    assert notation
    assert (notation.kind, notation.text) == (kind, "all: 1\n\nall: 2")
    assert notation.place.line == 13
    assert body.split("\n") == ["One.", "", "", "", "", "", "", "Two."]


def test_other_fences_stay() -> None:
    text = "```text\n## no heading\n```\n## Heading\nx"
    assert read(text) == (text, None, [])


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ("```degrees\nall: 1", 10, "never closed"),
        ("```degrees\na\n```\n\n```degrees\nb\n```", 14, "the first begins on line 10"),
        ("```degres\na\n```", 10, 'Did you mean "degrees"?'),
    ],
)
def test_faults_of_fences(text: str, line: int, words: str) -> None:
    _, _, problems = read(text)
    assert [found for found in problems if found[0] == line and words in found[1]]


@pytest.mark.parametrize("marks", ["``", "'''", "````", "   ```", "~~~", "---"])
def test_what_nearly_closes_a_fence_is_named(marks: str) -> None:
    _, _, problems = read_body(f"One.\n\n```degrees\nall: 1\n{marks}\n\n## Say\nTwo.", PLACE)
    (hint,) = [p.hint for p in problems if "never closed" in p.message][:1]
    assert hint == f'On line 14, write "```" in place of "{marks.strip()}".'


def test_an_unclosed_fence_is_not_read_as_notes() -> None:
    _, notation, _ = read("```degrees\nall: 1\n## Say\nHello.")
    assert notation is None


def test_a_comment_vanishes_with_all_that_stands_in_it() -> None:
    text = "One <!-- ## Say\n```degrees\nall: 1\n``` --> two.\n## Listen for\nx"
    body, notation, problems = read(text)
    assert (notation, problems) == (None, [])
    assert readable(body).split() == ["One", "two.", "##", "Listen", "for", "x"]
