"""The figure of suggestions from many exercises: how the many are made, and the line it prints."""

from __future__ import annotations

import re
from pathlib import Path
from random import Random

import pytest

from checked import Checked
from chorus_handbook.bench import suggesting
from chorus_handbook.commands.project import Project
from suggested_stocks import drawn


def test_many_exercises_are_those_there_are_and_copies_that_differ() -> None:
    own = drawn(4, Random(1))
    found = [*suggesting.many(own, 10)]
    assert len({one.slug for one in found}) == 10
    assert [one for one in found if one.slug in {one.slug for one in own}] == own
    copies = [one.item for one in found if one.slug.startswith(own[0].slug)]
    assert len({one.length for one in copies}) == len({one.slug for one in copies}) == 3
    assert all(one.written.exercise == one.slug for one in found)


def test_the_line_states_ratio_seconds_and_proof(
    demo: Checked,
    demo_project: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    assert not demo.broken  # its records are made by now
    monkeypatch.setattr(suggesting, "FEW", 20)
    monkeypatch.setattr(suggesting, "MANY", 90)
    suggesting.report_suggesting(Project(demo_project))
    line = capsys.readouterr().out
    figures = r"\d+\.\d; \d+\.\d s CPU, (proven|gap \d+\.\d %)"
    assert re.fullmatch(
        rf"a suggestion from 90 exercises / from 20   {figures}  \(goal: .*\)\n", line
    )
