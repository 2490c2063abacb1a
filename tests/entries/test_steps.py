"""The steps of a body and their times."""

from __future__ import annotations

import pytest

from chorus_handbook.entries.model import Source
from chorus_handbook.entries.rendering import render
from chorus_handbook.entries.steps import read_steps
from chorus_handbook.problems import Place


def steps(text: str, heading: str = "How to run it") -> list[tuple[int, float | None, str, int]]:
    text = f"## {heading}\n{text}"
    body, _ = render(text, Place("handbook/x.md", 9))
    assert body
    found = read_steps(Source("x", "handbook/x.md", None, {}, text, 9, body))
    return [(step.number, step.seconds, step.unread, step.place.line) for step in found]


@pytest.mark.parametrize(
    ("bracket", "seconds"),
    [
        ("20 s", 20),
        ("20s", 20),
        ("90 sec", 90),
        ("5 seconds", 5),
        ("2 min", 120),
        ("1 minute", 60),
        ("1 min 30 s", 90),
        ("1½ min", 90),
        ("1.5 min", 90),
        ("9999 s", 9999),
        ("9,999 s", None),
        ("0 s", None),
        ("20", None),
        ("20 s or more", None),
        ("1:30", None),
    ],
)
def test_times(bracket: str, seconds: float | None) -> None:
    unread = bracket if seconds is None else ""
    assert steps(f"1. ({bracket}) Hum.") == [(1, seconds, unread, 10)]


def test_steps_are_the_numbered_items_of_the_list() -> None:
    text = "First.\n\n1. (20 s) One.\n   - (5 s) inside\n2) Two.\n- (9 s) no step\n7. (10 s) Last."
    assert steps(text) == [(1, 20, "", 12), (2, None, "", 14), (3, 10, "", 16)]


def test_other_brackets_are_no_times() -> None:
    assert steps("1. (optional) Hum.\n2. Hum (20 s).") == [(1, None, "", 10), (2, None, "", 11)]


def test_other_sections_and_code_have_no_steps() -> None:
    assert steps("1. (20 s) One.", "Variations") == []
    assert steps("```\n1. (20 s) One.\n```") == []
    assert steps("1. (20 s) One.", "how to run it") == [(1, 20, "", 10)]
