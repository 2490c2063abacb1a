"""Roots, as authors write them."""

from __future__ import annotations

import pytest

from chorus_handbook.entries.roots import Root, parse_roots


def test_each_item_is_a_beat_and_a_dash_keeps_the_root() -> None:
    assert parse_roots("1 - 4 - | 5 - 1 -") == (
        Root(1, 0, 2),
        Root(4, 0, 2),
        Root(5, 0, 2),
        Root(1, 0, 2),
    )


def test_accidentals_stand_before_the_degree() -> None:
    assert parse_roots("b6 #4|1") == (Root(6, -1, 1), Root(4, 1, 1), Root(1, 0, 1))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "there is no root here"),
        ("| |", "there is no root here"),
        ("- 1", "begin with a degree"),
        ("1 8", '"8" cannot be read as a root'),
        ("I IV", '"I" cannot be read as a root'),
        ("1. 4", '"1." cannot be read as a root'),
        ("4#", '"4#" cannot be read as a root'),
    ],
)
def test_what_is_no_root_is_told(text: str, words: str) -> None:
    with pytest.raises(ValueError, match=words.replace("|", r"\|").replace(".", r"\.")):
        parse_roots(text)
