"""Words of a voice, phrase by phrase."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from chorus_handbook.music.phrases import phrases_of
from chorus_handbook.music.score import Score


@pytest.mark.parametrize(
    ("words", "phrase"),
    [
        ("la la la", "la"),
        ("har-bour lights", "harbour lights"),
        ("ta ta-da", "ta tada"),  # a word that only begins like the one before
        ("ah oh ah", "ah oh ah"),
    ],
)
def test_a_word_sung_again_and_again_stands_once(
    score_of: Callable[..., Score], words: str, phrase: str
) -> None:
    assert phrases_of(score_of(f"meter: 3/4\nwords: {words}\nall: 1 2 3 |")) == (phrase,)
