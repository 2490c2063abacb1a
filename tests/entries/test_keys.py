"""Paths through the keys."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chorus_handbook.entries.keys import MOST_KEYS, KeyPath


@pytest.mark.parametrize(
    ("text", "semitones"),
    [
        ("C4", (0,)),
        ("c4 up to e4", (0, 1, 2, 3, 4)),
        ("E4 down to C4", (0, -1, -2, -3, -4)),
        ("C4 up to E4 by whole tones", (0, 2, 4)),
        ("C4 up to D4 and back", (0, 1, 2, 1, 0)),
        ("Bb3 up to C4 by semitones", (0, 1, 2)),
        ("C4 up to E4 and back by whole tones", (0, 2, 4, 2, 0)),
    ],
)
def test_a_path_is_read(text: str, semitones: tuple[int, ...]) -> None:
    assert KeyPath.parse(text).semitones() == semitones


@pytest.mark.parametrize(
    "text",
    [
        "",
        "H4",
        "C",
        "C4 to G4",
        "C4 up to C4",
        "C4 up to B3",
        "C4 down to G4",
        "C4 and back",
        "C4 by whole tones",
        "C4 up to D#4 by whole tones",
        "C0 up to C9",
        "C4 up to G4 twice",
    ],
)
def test_what_is_no_path_says_why(text: str) -> None:
    with pytest.raises(ValueError, match=r"\w{4}"):
        KeyPath.parse(text)


@pytest.mark.parametrize(
    ("text", "instead"),
    [
        ("C4 up to A3", '"C4 down to A3"'),
        ("C4 down to G4 and back", '"C4 up to G4 and back"'),
        ("C4 down to E4 by whole tones", '"C4 up to E4 by whole tones"'),
        ("C4 up to C4", '"C4"'),
        ("C4 up to A3 by whole tones", "write another note"),  # which would never land on A3
        ("C9 up to C0", "write another note"),  # too many keys
    ],
)
def test_a_wrong_direction_is_put_right_where_that_can_be_sung(text: str, instead: str) -> None:
    with pytest.raises(ValueError, match=re.escape(instead)) as failure:
        KeyPath.parse(text)
    for suggested in re.findall(r'"(.*?)"', str(failure.value)):
        KeyPath.parse(suggested)


@given(st.text(max_size=40))
def test_any_text_is_a_path_or_a_value_error(text: str) -> None:
    try:
        path = KeyPath.parse(text)
    except ValueError:
        return
    assert KeyPath.parse(str(path)) == path
    assert 1 <= len(path.semitones()) <= MOST_KEYS
