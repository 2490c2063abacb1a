"""The floor of drawing: what readers are shown, and not what we render besides."""

from __future__ import annotations

import json
from pathlib import Path

from checked import checked
from chorus_handbook.bench.floors import raw_engraver
from chorus_handbook.bench.renders import renders

#: A score too wide for a phone, so that it is rendered more often than it is shown.
WIDE = "1.2.3.4 5.4.3.2 1.2.3.4 5.4.3.2 | " * 4


def test_the_raw_engraver_draws_what_is_shown_and_no_more(project: Path, tmp_path: Path) -> None:
    exercise = project / "handbook" / "exercises" / "low-tide.md"
    head, _, rest = exercise.read_text("utf-8").partition("```degrees\n")
    _, fence, tail = rest.partition("```")
    text = f"{head}```degrees\nwords: noo ...\nall: {WIDE}1 - - 0 |\n{fence}{tail}"
    exercise.write_text(text, "utf-8")

    asked = renders(project / "handbook")
    raw_engraver(asked, tmp_path)
    floor = json.loads((tmp_path / "scores.json").read_text("utf-8"))

    book = checked(project / "handbook")
    keys = len(book.facts["low-tide"].keys)
    drawings = 2 * 2 * keys  # wide and narrow, in treble clef and in bass clef
    assert len(floor) == drawings + 1  # and one thumbnail
    assert len(asked) > len(floor)
    assert [job["document"] for job in floor] == [r.document for r in asked if r.shown]
    assert sum(bool(render.page) for render in asked) == drawings
