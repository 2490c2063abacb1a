"""What a planner asks, in words."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

import chorus_handbook
from chorus_handbook.chorus.model import IMPACT_WORDS, LEVEL_WORDS, MOMENT_WORDS
from chorus_handbook.entries.model import FrontMatter, Moment
from chorus_handbook.pages.learning_words import times, to_learn, when


def front(**more: Any) -> FrontMatter:
    fields = {"title": "Slack water", "summary": "A slope.", "goals": ["resonance"], "impact": 3}
    return FrontMatter.model_validate({**fields, "sounding": "hum", "minutes": 3, **more})


def test_the_level_where_there_is_one() -> None:
    assert to_learn(front(level=2), None) == "To learn: a few tries"
    assert to_learn(front(), None) == ""


@pytest.mark.parametrize(
    ("minutes", "known", "expected"),
    [
        (3, 1.5, "3 minutes, 1½ once known"),
        (1, 0.75, "1 minute, ¾ once known"),
        (0.5, 0.25, "half a minute, ¼ once known"),
        (2, 2, "2 minutes"),
    ],
)
def test_two_times(minutes: float, known: float, expected: str) -> None:
    assert times(front(minutes=minutes, known=known), None) == expected


def test_every_moment_has_its_words() -> None:
    moments = Moment.__args__  # type: ignore[attr-defined]
    assert [when(front(moment=m)) for m in moments] == [
        "When: early",
        "When: once warmed up",
        "When: last",
        "When: after singing",
    ]
    assert when(front()) == ""
    assert tuple(MOMENT_WORDS) == moments


def test_effort_and_level_share_no_word() -> None:
    """Two scales of small numbers on one line are told apart by their words."""
    efforts = {word.strip(",") for text in IMPACT_WORDS.values() for word in text.split()}
    levels = {word for text in LEVEL_WORDS.values() for word in text.split()}
    assert not efforts & levels


def test_the_words_of_the_scales_are_written_once() -> None:
    """In Python, templates and scripts; messages take them from the tables."""
    package = Path(chorus_handbook.__file__).parent
    tables = (package / "browser" / "shared_facts.js", package / "chorus" / "model.py")
    files = [
        file
        for pattern in ("*.py", "*.html", "*.js")
        for file in package.rglob(pattern)
        if file not in tables
    ]
    text = {file: file.read_text(encoding="utf-8") for file in files}
    words = [*IMPACT_WORDS.values(), *LEVEL_WORDS.values(), *MOMENT_WORDS.values()]
    quoted = re.compile("|".join(rf'["\'>]{re.escape(w)}["\'<]' for w in words if " " in w))
    assert len(files) > 200
    assert [str(file) for file in files if quoted.search(text[file])] == []
