"""The stock that benchmarks are made with: as many exercises as asked for, thirteen keys each."""

from __future__ import annotations

from pathlib import Path

import pytest

from checked import checked
from chorus_handbook.bench.builds import (
    FENCE,
    editable_exercise,
    other_notes,
    other_text,
)
from chorus_handbook.bench.stock import KEYS, make_stock
from chorus_handbook.commands.project import Project


@pytest.mark.parametrize("exercises", [3, 41, 55])
def test_every_exercise_with_notation_has_thirteen_keys_and_no_errors(
    exercises: int, demo_project: Path, tmp_path: Path
) -> None:
    make_stock(Project(demo_project), tmp_path, exercises)
    book = checked(tmp_path / "handbook")
    assert not book.broken
    assert [len(facts.keys) for facts in book.facts.values()] == [KEYS] * exercises


def test_an_edit_changes_only_what_it_says(demo_project: Path, tmp_path: Path) -> None:
    make_stock(Project(demo_project), tmp_path, 50)
    text = editable_exercise(tmp_path).read_text("utf-8")
    notes, words = other_notes(text, 1), other_text(text, 1)
    assert notes.partition(FENCE)[0] == text.partition(FENCE)[0]
    assert notes != text and len(notes) - len(text) <= 3
    assert "Edited 1 times." in words and other_text(text, 2) != words
