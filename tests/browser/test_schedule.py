"""What sounds when, in the browser against Python: the shared cases, and every exercise of the demo
in many settings. They must agree."""

from __future__ import annotations

import json
from dataclasses import asdict
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page

from chorus_handbook.sound.schedule import Settings, run_seconds, schedule

CASES = Path(__file__).parent.parent / "cases" / "schedule"
RULE = """async ({notes, settings}) => {
    const rule = await import('/assets/handbook/schedule.js');
    const events = rule.schedule(notes, settings);
    const seconds = rule.runTicks(notes, settings) * rule.secondsATick(notes, settings);
    return {events, seconds};
}"""
SETTINGS = (
    {},
    {"tempo": 0.5, "just": True, "chord_first": True},
    {"tempo": 1.5, "first": 0, "last": 0, "passes": 3, "count_in": False},
)


@pytest.fixture
def page(desktop: Page, site_url: str) -> Page:
    desktop.goto(site_url + "voice-care/")
    return desktop


def rounded(events: list[dict[str, Any]]) -> list[dict[str, Any]]:
    def near(value: Any) -> Any:
        if isinstance(value, dict):  # Python has an empty value where JavaScript has none
            told = {name: one for name, one in value.items() if one == 0 or one}
            return {name: near(one) for name, one in sorted(told.items()) if one is not False}
        if isinstance(value, (list, tuple)):
            return [near(one) for one in value]
        return round(float(value), 6) if isinstance(value, (int, float)) else value

    return [near(event) for event in events]


@pytest.mark.parametrize("case", sorted(CASES.glob("*.json")), ids=lambda path: path.stem)
def test_the_browser_agrees_with_the_golden_cases(page: Page, case: Path) -> None:
    golden = json.loads(case.read_text("utf-8"))
    found = page.evaluate(RULE, golden)
    assert rounded(found["events"]) == rounded(golden["events"]), golden["about"]


@pytest.mark.parametrize("settings", SETTINGS, ids=str)
def test_every_demo_exercise_comes_to_the_same(
    page: Page, demo_site: Path, settings: dict[str, Any]
) -> None:
    files = sorted((demo_site / "assets/handbook").glob("*/notes.json"))
    assert len(files) > 35
    for file in files:
        notes = json.loads(file.read_text("utf-8"))
        found = page.evaluate(RULE, {"notes": notes, "settings": settings})
        expected = [asdict(event) for event in schedule(notes, Settings(**settings))]
        assert rounded(found["events"]) == rounded(expected), file
        assert found["seconds"] == pytest.approx(run_seconds(notes, Settings(**settings)))


def test_a_long_run_does_not_drift(page: Page, demo_site: Path) -> None:
    """Two thousand passes: the last note begins where whole ticks put it."""
    notes = json.loads((demo_site / "assets/handbook/up-the-mast/notes.json").read_text("utf-8"))
    settings = {"last": 0, "passes": 2000, "count_in": False, "tempo": 0.7}
    found = page.evaluate(RULE, {"notes": notes, "settings": settings})["events"]
    last = max(note["at"] for voice in notes["voices"] for note in voice["notes"])
    ticks = 1999 * notes["length"] + last
    exact = ticks * 60 / (notes["tempo"] * 0.7 * notes["ticks_per_beat"])
    assert found[-1]["at"] == pytest.approx(exact, abs=1e-7)
