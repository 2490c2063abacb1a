"""A handbook's two files about the chorus, to be changed and read."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from chorus_handbook.chorus import ChorusConfig, read_chorus_config
from chorus_handbook.problems import Problem

CHORUS = """\
name: Testing Chorus
voices:
  soprano:
    label: Soprano
    clef: treble
    comfortable: C4 to F5
    limits: A3 to A5
  tenor: {label: Tenor, clef: treble-8, octave: -1, comfortable: C3 to F4, limits: A2 to A4}
  bass: {label: Bass, clef: bass, octave: -1, comfortable: F2 to C4, limits: D2 to E4}
groups:
  lower: [bass, tenor]
"""
VOCABULARY = """\
goals:
  breath-flow: {label: Breath flow, about: Air that moves evenly.}
soundings:
  hum: {label: Hum, lowest_impact: 2}
  calling: {label: Calling, lowest_impact: 4, cautions: [strain]}
cautions:
  strain: {text: Stop if it strains.}
  neck: {text: Move gently.}
actions:
  neck: {label: Moves the neck, cautions: [neck]}
impact_cautions:
  4: [strain]
  5: [strain]
"""

ReadConfig = Callable[[str, str], tuple[ChorusConfig, list[Problem]]]


@pytest.fixture
def chorus_text() -> str:
    return CHORUS


@pytest.fixture
def vocabulary_text() -> str:
    return VOCABULARY


@pytest.fixture
def read(tmp_path: Path) -> ReadConfig:
    """The configuration that the texts of chorus.yml and vocabulary.yml make, and its problems."""

    def read_texts(chorus: str, vocabulary: str) -> tuple[ChorusConfig, list[Problem]]:
        root = tmp_path / "handbook"
        root.mkdir(exist_ok=True)
        (root / "chorus.yml").write_text(chorus, encoding="utf-8")
        (root / "vocabulary.yml").write_text(vocabulary, encoding="utf-8")
        return read_chorus_config(root)

    return read_texts


@pytest.fixture
def changed(read: ReadConfig) -> Callable[[str, str], list[tuple[str, int, int, str, str, str]]]:
    """The problems when one piece of either file is replaced: file, line, column, code, message,
    hint."""

    def change(old: str, new: str) -> list[tuple[str, int, int, str, str, str]]:
        assert (CHORUS + VOCABULARY).count(old) >= 1
        chorus = CHORUS.replace(old, new, 1)
        vocabulary = VOCABULARY.replace(old, new, 1) if chorus == CHORUS else VOCABULARY
        _, problems = read(chorus, vocabulary)
        return [
            (
                problem.place.path.removeprefix("handbook/"),
                problem.place.line,
                problem.place.column,
                problem.code,
                problem.message,
                problem.hint,
            )
            for problem in problems
        ]

    return change
