"""The stage as a whole: what authors write becomes what is heard."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from checked import checked
from chorus_handbook.cache import Cache

CHORD = """\
```degrees
soprano: 5 - 6 - | 5 - - - |
alto: 3 - 4 - | 3 - - - |
bass: 1 - 4, - | 1 - - -^ |
```
"""


def heard(project: Path, store: Cache, field: str = "", notation: str = CHORD) -> dict[str, Any]:
    exercise = project / "handbook" / "exercises" / "low-tide.md"
    text = exercise.read_text(encoding="utf-8").replace("tempo: 84\n", f"tempo: 84\n{field}")
    begin, _, rest = text.partition("```degrees")
    exercise.write_text(begin + notation + rest.partition("```\n")[2], encoding="utf-8")
    book = checked(project / "handbook", store)
    assert not book.broken, book.problems
    data: dict[str, Any] = json.loads(book.heard["low-tide"].notes)
    return data


def cents(data: dict[str, Any], voice: str) -> list[float]:
    notes = next(v["notes"] for v in data["voices"] if v["name"] == voice)
    return [note["cents"][0] for note in notes]


def test_by_itself_it_is_tuned_to_the_tonic(project: Path, store: Cache) -> None:
    data = heard(project, store)
    assert data["tuning"]["to"] == "tonic" and "the tonic" in data["tuning"]["told"]
    assert cents(data, "soprano") == [1.96, -15.64, 1.96]
    assert data["chords"] == [[0, 96], [96, 96], [192, 240]]


def test_it_can_be_tuned_to_a_voice(project: Path, store: Cache) -> None:
    data = heard(project, store, "tune_to: bass\n")
    assert cents(data, "bass") == [0, 0, 0]
    assert cents(data, "soprano") == [1.96, -13.69, 1.96]


def test_roots_are_counted_in_written_beats(project: Path, store: Cache) -> None:
    """The hold lengthens what sounds, not what is counted."""
    held = CHORD.replace("bass: 1 - 4,", "bass: 1 -^ 4,")
    data = heard(project, store, 'roots: "1 - 4 b6 | b6 -"\n', held)
    assert data["tuning"]["to"] == "roots"
    assert cents(data, "alto")[:2] == [-13.69, -1.96]
    # Over b6 (8/5) the 5 is a major seventh, 15/8: twice 3/2.
    assert cents(data, "soprano") == [1.96, -15.64, 1.96]


def test_what_a_run_is_made_of_is_that_of_the_file(project: Path, store: Cache) -> None:
    data = heard(project, store, "passes: 2\nlead_in: 6\n")
    assert (data["tempo"], data["passes"], data["lead_in"], data["count_in"]) == (84, 2, 6, 4)
    assert [key["midi"] for key in data["keys"]] == [60, 61, 62]
    assert data["lead_chord"] == [[0, 4, 7]] * 3 or data["lead_chord"] == [[-12, -8, -5]] * 3
