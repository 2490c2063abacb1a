"""The whole benchmark on the smallest stock: every measurement is taken and every line printed."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from chorus_handbook.bench import builds, growth
from chorus_handbook.bench.__main__ import main
from chorus_handbook.bench.processes import Cost

#: A label and its two ratios, of CPU and wall-clock time.
RATIOS = re.compile(r"(?m)^(\S.*?) +\d+\.\d\d +\d+\.\d\d")


def test_builds_are_measured_and_the_report_is_written(project: Path) -> None:
    page = project / "ratios.md"
    main([str(project), "--exercises", "1", "--times", "1", "--write", str(page)])
    text = page.read_text("utf-8")
    assert "1 exercises with notation, 13 keys each" in text
    assert [label.split(" / ")[0] for label in RATIOS.findall(text)] == [
        "cold build, one process",
        "cold build, two processes",
        "nothing changed",
        "the same by mkdocs build",
        "notes of one exercise edited",
        "text of one exercise edited",
        "check alone",
    ]
    assert "two cold builds byte-equal: yes" in text
    assert re.search(r"each for itself +\d+\n", text)


def test_growth_is_measured_for_each_size(project: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The processes are those of the report above, so their costs are made up here."""
    for module in (builds, growth):
        monkeypatch.setattr(module, "run", lambda *_: Cost(1.0, 2.0, 3_000_000))
    page = project / "growth.md"
    main([str(project), "--growth", "1", "--write", str(page)])
    (row,) = re.findall(r"(?m)^ +1(?: +\d+\.\d{3}){7}$", page.read_text("utf-8"))
    assert all(float(figure) > 0 for figure in row.split())
