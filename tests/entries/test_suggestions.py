"""What the handbook tells an author to write is right when it is written."""

from __future__ import annotations

from pathlib import Path

import pytest

from chorus_handbook.pipeline import check
from chorus_handbook.problems import has_errors


@pytest.mark.parametrize(
    ("good", "wrong", "suggested"),
    [
        ("goals: [breath-flow]", "goals: Resonance", "goals: [resonance]"),
        ("goals: [breath-flow]", "goals: Breath flow", "goals: [breath-flow]"),
        ("goals: [breath-flow]", "goals: resonance, Breath flow",
         "goals: [resonance, breath-flow]"),
        ("goals: [breath-flow]", "goals: breath-flow and resonance",
         "goals: [breath-flow, resonance]"),
        ("sounding: hum", "sounding: hum, calling", "sounding: hum"),
        ("minutes: 2", "minutes: 2:30", "minutes: 2.5"),
        ("minutes: 2", "minutes: 3 min", "minutes: 3"),
        ("title: Low tide", "title: Low tide #4", 'title: "Low tide #4"'),
        ("title: Low tide", "title: Low: tide", 'title: "Low: tide"'),
        ("title: Low tide", "title:Low tide", "title: Low tide"),
        ("keys: C4 up to D4", "keys: D4 up to C4", "keys: D4 down to C4"),
        ("tempo: 84", "tempo: 84\nalso_called: Ebb, Two", "tempo: 84\nalso_called: [Ebb, Two]"),
    ],
)  # fmt: skip
def test_a_suggestion_is_right_where_it_is_made(
    project: Path, good: str, wrong: str, suggested: str
) -> None:
    exercise = project / "handbook" / "exercises" / "low-tide.md"
    text = exercise.read_text(encoding="utf-8")
    exercise.write_text(text.replace(good, wrong, 1), encoding="utf-8")
    problems = check(project / "handbook")
    assert has_errors(problems)
    value = suggested.rpartition("\n")[2].split(": ", 1)[1]
    shown = "".join(f"{problem.message} {problem.hint}" for problem in problems)
    assert value in shown
    exercise.write_text(text.replace(good, suggested, 1), encoding="utf-8")
    assert not has_errors(check(project / "handbook"))


@pytest.mark.parametrize("value", ["9 of 5", "7x", "9,5"])
def test_no_number_is_suggested_that_the_field_refuses(project: Path, value: str) -> None:
    exercise = project / "handbook" / "exercises" / "low-tide.md"
    text = exercise.read_text(encoding="utf-8")
    exercise.write_text(text.replace("impact: 2", f"impact: {value}"), encoding="utf-8")
    (problem,) = check(project / "handbook")
    assert "alone" not in problem.hint and "point" not in problem.hint
