"""The load of each voice in a plan, against sums over the timed notes that the site publishes."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from checked import Checked
from chorus_handbook.warmups.load import VoiceLoad, load_of, plan_load, total_load
from chorus_handbook.warmups.running_order import MINUTE, SECOND
from tonights import stock_of, tonight

VOICES = ("soprano", "alto", "tenor", "bass")


def from_notes(notes: dict[str, Any], demo: Checked) -> dict[str, tuple[float, float, float]]:
    """For each voice: seconds sung, seconds outside of what chorus.yml calls comfortable, and
    seconds in which others sing. By onsets, lengths and pitches of notes.json alone, on a grid of
    ticks, and with no other use of what is under test than which voice steps out of which key."""
    assert demo.config.chorus
    second = 60 / notes["tempo"] / notes["ticks_per_beat"]
    ladder = demo.book.exercises[notes["slug"]].ladder
    assert ladder
    found = {}
    voices = {
        voice["name"]: [note for note in voice["notes"] if note["semitones"]]
        for voice in notes["voices"]
    }
    voices = {name: own for name, own in voices.items() if own and name != "leader"}
    for name, own in voices.items():
        comfort = demo.config.chorus.voices[name].comfortable
        sung = near = waits = 0.0
        for rung, key in zip(ladder.rungs, notes["keys"], strict=True):
            present = {other: line for other, line in voices.items() if other not in rung.out}
            ticks = {t for line in present.values() for n in line for t in ticks_of(n)}
            mine = {t for n in own for t in ticks_of(n)} if name in present else set()
            sung += second * len(mine)
            waits += second * len(ticks - mine)
            for note in own if name in present else ():
                pitches = [key["midi"] + semitones for semitones in note["semitones"]]
                outside = min(pitches) < comfort.low or max(pitches) > comfort.high
                near += second * note["length"] * outside
        found[name] = (sung * notes["passes"], near * notes["passes"], waits * notes["passes"])
    return found


def ticks_of(note: dict[str, Any]) -> range:
    return range(note["at"], note["at"] + note["length"])


def test_loads_are_the_sums_of_the_timed_notes(demo: Checked, demo_site: Path) -> None:
    """Within half a second a key, to which times are rounded, and 3 %: the note before a breath
    sounds a little shorter than it is written. Exercises in which somebody glides or
    changes octave are left out here: `voices/test_load.py` has them."""
    stock, compared = stock_of(demo), 0
    for slug, exercise in demo.book.exercises.items():
        file = demo_site / "assets" / "handbook" / slug / "notes.json"
        if not file.exists() or exercise.front.step_out == "octave" or exercise.front.impact < 2:
            continue
        notes = json.loads(file.read_text("utf-8"))
        glides = any("glide" in note for voice in notes["voices"] for note in voice["notes"])
        if glides or not exercise.ladder or not exercise.ladder.rungs:
            continue
        plan = tonight(demo, [slug], stock=stock)
        loads = load_of(plan.items[0], stock[slug], plan.order(plan.items).items[0])
        keys = len(exercise.ladder.rungs)
        for name, (sung, near, waits) in from_notes(notes, demo).items():
            found = loads[name]
            assert found.singing / SECOND == pytest.approx(
                sung, abs=0.26 * keys + 0.5 + sung / 33
            ), slug
            assert found.near / SECOND == pytest.approx(near, abs=0.5 + sung / 33), slug
            assert found.waiting / SECOND == pytest.approx(
                waits, abs=0.51 * keys + 0.5 + sung / 33
            ), slug
            compared += 1
    assert compared > 100


def test_who_sings_little_waits(demo: Checked) -> None:
    """An exercise for some voices only: the others wait for as long as it is sung."""
    whole = stock_of(demo)["eddies"]
    upper = {name: whole.voices[name] for name in ("soprano", "alto")}
    singing = {name: whole.singing[name] for name in upper}
    stock = {"eddies": replace(whole, voices=upper, singing=singing, octaves={}, near={})}
    plan = tonight(demo, ["eddies"], stock=stock)
    loads = plan_load(plan.items, stock, plan.order(plan.items).items, VOICES)
    assert [*loads] == [*VOICES]
    assert loads["bass"] == loads["tenor"] == VoiceLoad(0, 0, loads["alto"].singing)
    assert loads["alto"].waiting == 0 < loads["alto"].singing
    away = tonight(demo, ["eddies"], stock=stock, present=["upper"])
    assert {*plan_load(away.items, stock, away.order(away.items).items, VOICES)} == {*upper}


def test_silence_and_speech(demo: Checked) -> None:
    stock = stock_of(demo)
    silent = tonight(demo, ["at-the-mooring"], stock=stock)
    loads = plan_load(silent.items, stock, silent.order(silent.items).items, VOICES)
    assert set(loads.values()) == {VoiceLoad()}
    spoken = next(slug for slug, one in stock.items() if one.impact >= 2 and not one.tonics)
    plan = tonight(demo, [spoken], stock=stock)
    (item,) = plan.order(plan.items).items
    loads = plan_load(plan.items, stock, [item], VOICES)
    assert set(loads.values()) == {VoiceLoad(item.length // 2)}


def test_an_item_that_is_given_more_time_is_sung_more(demo: Checked) -> None:
    stock = stock_of(demo)
    known = stock["eddies"].known
    short, long = (
        tonight(demo, [{"exercise": "eddies", "minutes": factor * known / MINUTE}], stock=stock)
        for factor in (1, 3)
    )
    one, three = (
        plan_load(plan.items, stock, plan.order(plan.items).items, VOICES) for plan in (short, long)
    )
    assert all(three[voice].singing == 3 * one[voice].singing > 0 for voice in VOICES)
    assert total_load([one, one, one])["alto"].singing == three["alto"].singing
