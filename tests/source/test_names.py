"""Names in files: which there are, and the nearest one to what somebody wrote."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chorus_handbook.source.names import LONGEST_NAME, as_name, is_name


@pytest.mark.parametrize("name", ["a", "low-tide", "soprano2", "a-1-b", "x" * LONGEST_NAME])
def test_names(name: str) -> None:
    assert is_name(name) and as_name(name) == name


@pytest.mark.parametrize(
    "text",
    ["", "A", "1a", "-a", "a-", "a--b", "a_b", "a b", "a.md", "a/b", "../a", "ä", "a\n", "a\x00",
     "x" * (LONGEST_NAME + 1)],
)  # fmt: skip
def test_what_is_no_name(text: str) -> None:
    assert not is_name(text)


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("Low Tide", "low-tide"),
        ("Überm Meer!", "uberm-meer"),
        ("  what's up? ", "whats-up"),
        ("3 bells", "bells"),
        ("../../etc/passwd", "etc-passwd"),
        ("x" * (LONGEST_NAME - 1) + " y", "x" * (LONGEST_NAME - 1)),
        ("波", ""),
        ("42", ""),
    ],
)
def test_the_nearest_name(text: str, name: str) -> None:
    assert as_name(text) == name


@given(st.text(max_size=200))
def test_the_nearest_name_is_a_name_or_nothing(text: str) -> None:
    name = as_name(text)
    assert not name or is_name(name)
