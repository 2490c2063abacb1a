"""What sounds when, in the browser against Python: every exercise of the demo in many options.
They must agree. The golden cases that both read are in `schedule.test.mjs` and in
`sound/test_schedule.py`."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path
from typing import Any

import pytest

from chorus_handbook.sound.schedule import PlaybackOptions, run_seconds, schedule

Evaluate = Callable[[str, str, object], Any]
RULE = """(rule, {options, files}) => files.map(notes => {
    const events = rule.schedule(notes, options);
    const seconds = rule.runTicks(notes, options) * rule.secondsATick(notes, options);
    return {events, seconds};
})"""
SETTINGS = (
    {},
    {"tempo": 0.5, "just": True, "chord_first": True},
    {"tempo": 1.5, "first": 0, "last": 0, "passes": 3, "count_in": False},
)


def rounded(events: list[dict[str, Any]]) -> list[dict[str, Any]]:
    def near(value: Any) -> Any:
        if isinstance(value, dict):  # Python has an empty value where JavaScript has none
            fields = {name: one for name, one in value.items() if one == 0 or one}
            return {name: near(one) for name, one in sorted(fields.items()) if one is not False}
        if isinstance(value, (list, tuple)):
            return [near(one) for one in value]
        return round(float(value), 6) if isinstance(value, (int, float)) else value

    return [near(event) for event in events]


@pytest.mark.parametrize("options", SETTINGS, ids=str)
def test_every_demo_exercise_comes_to_the_same(
    evaluate: Evaluate, demo_site: Path, options: dict[str, Any]
) -> None:
    files = sorted((demo_site / "assets/handbook").glob("*/notes.json"))
    assert len(files) > 35
    given = [json.loads(file.read_text("utf-8")) for file in files]
    made = evaluate("schedule.js", RULE, {"options": options, "files": given})
    for file, notes, found in zip(files, given, made, strict=True):
        expected = [asdict(event) for event in schedule(notes, PlaybackOptions(**options))]
        assert rounded(found["events"]) == rounded(expected), file
        assert found["seconds"] == pytest.approx(run_seconds(notes, PlaybackOptions(**options)))


def test_a_long_run_does_not_drift(evaluate: Evaluate, demo_site: Path) -> None:
    """Two thousand passes: the last note begins where whole ticks put it."""
    notes = json.loads((demo_site / "assets/handbook/up-the-mast/notes.json").read_text("utf-8"))
    options = {"last": 0, "passes": 2000, "count_in": False, "tempo": 0.7}
    (found,) = evaluate("schedule.js", RULE, {"options": options, "files": [notes]})
    last = max(note["at"] for voice in notes["voices"] for note in voice["notes"])
    ticks = 1999 * notes["length"] + last
    exact = ticks * 60 / (notes["tempo"] * 0.7 * notes["ticks_per_beat"])
    assert found["events"][-1]["at"] == pytest.approx(exact, abs=1e-7)
