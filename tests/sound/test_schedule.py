"""Whole runs: golden cases that the browser's rule is held to as well, worked out by hand and read
through; and the demo's runs against what was measured of them."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import asdict
from pathlib import Path
from typing import Any

import pytest

from checked import Checked
from chorus_handbook.sound.schedule import Event, PlaybackOptions, run_seconds, schedule

CASES = sorted((Path(__file__).parents[1] / "cases" / "schedule").glob("*.json"))


@pytest.fixture(scope="module")
def notes(demo: Checked) -> Mapping[str, dict[str, Any]]:
    return {slug: json.loads(heard.notes) for slug, heard in demo.heard.items()}


def plain(event: Event) -> dict[str, Any]:
    """An event as the cases have it: without what it has not."""
    left_out = ("spoken", "one", "glides", "swell", "joined")
    return {name: value for name, value in asdict(event).items() if value or name not in left_out}


def nearly(value: Any) -> Any:
    """The same, with numbers that may err by a billionth."""
    if isinstance(value, dict):
        return {name: nearly(item) for name, item in value.items()}
    if isinstance(value, list):
        return type(value)(map(nearly, value))
    return pytest.approx(value, abs=1e-9) if isinstance(value, float) else value


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_case(path: Path) -> None:
    case = json.loads(path.read_text(encoding="utf-8"))
    found = [plain(event) for event in schedule(case["notes"], PlaybackOptions(**case["options"]))]
    assert len(found) == len(case["events"])
    for event, expected in zip(found, case["events"], strict=True):
        assert json.loads(json.dumps(event)) == nearly(expected)


def test_there_are_cases() -> None:
    assert len(CASES) >= 8


def test_a_run_lasts_as_long_as_was_measured(
    demo: Checked, notes: Mapping[str, dict[str, Any]]
) -> None:
    for slug, data in notes.items():
        measured = demo.facts[slug].length_seconds
        assert run_seconds(data, PlaybackOptions(count_in=False)) == pytest.approx(measured)
        counted = measured + data["count_in"] * 60 / data["tempo"]
        assert run_seconds(data, PlaybackOptions()) == pytest.approx(counted)


def test_nothing_sounds_after_the_end_of_a_run(notes: Mapping[str, dict[str, Any]]) -> None:
    for data in notes.values():
        options = PlaybackOptions(tempo=0.7, chord_first=True, passes=2)
        events = schedule(data, options)
        end = run_seconds(data, options)
        assert max(event.at + event.length for event in events) <= end + 1e-9
        assert [event.at for event in events] == sorted(event.at for event in events)


def test_the_last_of_a_thousand_passes_is_on_time(notes: Mapping[str, dict[str, Any]]) -> None:
    data = notes["stones-at-low-water"]
    once, often = (schedule(data, PlaybackOptions(passes=n, last=0)) for n in (1, 1000))
    seconds = data["length"] / data["ticks_per_beat"] * 60 / data["tempo"]
    assert often[-1].at - once[-1].at == pytest.approx(999 * seconds, abs=1e-6)


@pytest.mark.parametrize("tempo", [0.5, 1.5])
def test_tempo_changes_no_pitch(notes: Mapping[str, dict[str, Any]], tempo: float) -> None:
    data = notes["high-water"]
    usual, changed = schedule(data, PlaybackOptions()), schedule(data, PlaybackOptions(tempo=tempo))
    assert [event.midi for event in usual] == [event.midi for event in changed]
    assert [event.at / tempo for event in usual] == pytest.approx([e.at for e in changed])
