"""Links between the pages of a handbook."""

from __future__ import annotations

from pathlib import Path

import pytest

from chorus_handbook.pipeline import check


@pytest.mark.parametrize(
    ("link", "found"),
    [
        ("[x](low-tide.md)", ""),
        ("[x](../goals/resonance.md)", ""),
        ("[x](index.md)", ""),
        ("[x](../index.md)", ""),
        ("[x](#how-to-run-it)", ""),
        ("[x](https://harbour.example/)", ""),
        ("![A quay](quay.png)", ""),
        ("[x](low-tied.md)", 'Did you mean "low-tide.md"?'),
        ("[x](../exercises/low-tied.md)", 'Did you mean "low-tide.md"?'),
        ("[x](../goals/courage.md)", "leads nowhere"),
        ("![A quay](quai.png)", "leads nowhere"),
        ("[x](../chorus.yml)", "not published"),
    ],
)
def test_links_lead_somewhere(project: Path, link: str, found: str) -> None:
    exercise = project / "handbook" / "exercises" / "low-tide.md"
    (exercise.parent / "quay.png").write_bytes(b"\x89PNG")
    text = exercise.read_text(encoding="utf-8").replace("1. Hum it.", f"1. Hum it. {link}")
    exercise.write_text(text, encoding="utf-8")
    problems = check(project / "handbook")
    if not found:
        assert problems == []
    else:
        (problem,) = problems
        assert problem.code == "link-broken" and found in problem.message
        assert (problem.place.line, problem.place.column) == (22, 12 + link.index("](") + 2)
