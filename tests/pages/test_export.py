"""exercises.json: what other programs read of who can sing which key, and how much it takes."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema

from chorus_handbook import pipeline
from chorus_handbook.pages.export import exercises_json, exercises_schema


def test_ladder_and_load_are_those_of_measure(project: Path) -> None:
    book = pipeline.read(project / "handbook")
    data = json.loads(exercises_json(book.exercises))
    schema = json.loads(exercises_schema())
    jsonschema.validate(data, schema)
    (found,) = [one for one in data["exercises"] if one["slug"] == "low-tide"]
    assert [rung["key"] for rung in found["ladder"]] == ["C4", "Db4", "D4"]
    assert [rung["tonic_midi"] for rung in found["ladder"]] == [60, 61, 62]
    assert found["ladder"][0]["voices"] == dict.fromkeys(
        ("soprano", "alto", "tenor", "bass"), "comfortable"
    )
    # 1 2 3 2 | 1 - - 0: seven beats at 84 in each of three keys
    alto = next(row for row in found["load"] if row["voice"] == "alto")
    assert alto["keys"] == 3 and alto["voiced_seconds"] == round(3 * 7 * 60 / 84, 3)
    bass = next(row for row in found["load"] if row["voice"] == "bass")
    assert abs(alto["cycles"] - 2 * bass["cycles"]) <= 1  # an octave apart


def test_level_and_known_are_there_whether_stated_or_measured(project: Path) -> None:
    book = pipeline.read(project / "handbook")
    (found,) = json.loads(exercises_json(book.exercises))["exercises"]
    assert "level" not in found["front"] and "known" not in found["front"]
    assert found["level"] == found["facts"]["level"] == 1
    assert found["known"] == found["facts"]["known_minutes"] == 0.75  # 23 s of sound, 20 of talk


def test_chords_have_a_name_in_no_key_and_a_symbol_in_the_first(project: Path) -> None:
    exercise = project / "handbook" / "exercises" / "low-tide.md"
    notes = "soprano: 1 - 7, - |\nalto: 3 - 2 - |\ntenor: 5 - 4 - |\nbass: 1 - 5, - |"
    exercise.write_text(
        exercise.read_text("utf-8").replace("all: 1 2 3 2 | 1 - - 0 |", notes), "utf-8"
    )
    book = pipeline.read(project / "handbook")
    data = json.loads(exercises_json(book.exercises))
    jsonschema.validate(data, json.loads(exercises_schema()))
    first, second = data["exercises"][0]["chords"]
    assert first["symbol"] == "C" and first["numeral"] == "I"
    assert second == {
        "at": 2,
        "beats": 2,
        "bar": 1,
        "last_bar": 1,
        "root": [4, 7],
        "quality": "7",
        "bass": [4, 7],
        "symbol": "G7",
        "numeral": "V⁷",
    }
