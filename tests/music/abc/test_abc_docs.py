"""What docs/writing/abc.md shows an author must be true: examples can be read, mistakes are the one
mistake that they show."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries.model import Notation
from chorus_handbook.music.abc import read_abc
from chorus_handbook.music.abc.lines import IGNORED, READ
from chorus_handbook.problems import Place

PAGE = Path(__file__).parents[3] / "docs" / "writing" / "abc.md"
TEXT = PAGE.read_text(encoding="utf-8")
FENCES = re.findall(r"^```abc(?: mistake ([a-z-]+))?\n(.*?)^```$", TEXT, re.MULTILINE | re.DOTALL)


def test_the_page_teaches_by_example() -> None:
    assert sum(not mistake for mistake, _ in FENCES) >= 5
    assert sum(bool(mistake) for mistake, _ in FENCES) >= 5


@pytest.mark.parametrize(("mistake", "text"), FENCES)
def test_examples_are_as_the_page_says(chorus: Chorus, mistake: str, text: str) -> None:
    score, problems = read_abc(Notation("abc", text, Place("abc.md")), chorus, ("soprano",))
    assert [problem.code for problem in problems] == ([mistake] if mistake else [])
    assert mistake or (score and score.parts)


def test_every_field_that_is_read_is_explained() -> None:
    assert {letter for letter in READ - {"I"} if f"`{letter}:" not in TEXT} == set()
    assert not READ & IGNORED


def test_signs_in_the_table_are_read(chorus: Chorus) -> None:
    rows = re.findall(r"^\| ((?:`[^`]+` ?)+) \|", TEXT, re.MULTILINE)
    signs = [sign.replace("\\", "") for row in rows for sign in re.findall(r"`([^`]+)`", row)]
    assert len(signs) >= 25
    for sign in signs:
        if "|" not in sign and "::" not in sign:  # these want music round them
            text = f"M:4/4\nL:1/4\nK:C\n{sign} G |\n"
            _, problems = read_abc(Notation("abc", text, Place("abc.md")), chorus, ("soprano",))
            assert {problem.code for problem in problems} <= {"bar-length"}, sign
