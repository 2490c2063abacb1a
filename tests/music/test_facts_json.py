"""The facts as other programs and readers at a terminal get them."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest

from chorus_handbook.music.facts import Facts
from chorus_handbook.music.facts_json import facts_as_json, facts_as_text
from chorus_handbook.music.measure import measure
from chorus_handbook.music.score import Score
from chorus_handbook.pitch import Pitch


@pytest.fixture
def facts(score_of: Callable[..., Score]) -> Facts:
    score = score_of(
        "mode: minor\nwords: noo ...\nsoprano: 1 5 4 #7, | 1 - - -^ |\nleader: x x 1 - | 0 ...\n"
        "bass: 1 - 0 5, | 1 0 - - |"
    )
    keys = (Pitch.parse("Bb3"), Pitch.parse("B3"))
    return measure("case", score, tempo=72, keys=keys, passes=2, lead_in=4)


def test_the_json_has_these_names_and_values(facts: Facts) -> None:
    found = facts_as_json(facts)
    assert json.loads(json.dumps(found)) == found
    voices = found.pop("voices")
    assert found == {
        "slug": "case",
        "tempo": 72,
        "meter": "4/4",
        "mode": "minor",
        "keys": ["Bb3", "B3"],
        "seconds_per_pass": 7.5,
        "length_seconds": 33.333,
        "parts": 2,
        "ambitus_semitones": 8,
        "largest_interval": 7,
        "largest_interval_name": "P5",
        "largest_leap": 7,
        "step_share": 0.333,
        "longest_phrase_seconds": 7.5,
        "level": 2,
        "difficulty": {"parts": 2, "key": 1, "leaps": 2, "rhythm": 1, "length": 1},
        "known_minutes": 1.0,
    }
    assert [voice["voice"] for voice in voices] == ["leader", "soprano", "bass"]
    assert voices[1] == {
        "voice": "soprano",
        "lowest_midi": 57,
        "highest_midi": 65,
        "lowest": "A3",
        "highest": "F4",
        "ambitus_semitones": 8,
        "notes": 5,
        "syllables": 1,
        "spoken_beats": 0.0,
        "intervals": {"1": 1, "2": 1, "6": 1, "7": 1},
        "largest_interval": 7,
        "largest_leap": 7,
        "step_share": 0.5,
        "longest_phrase_seconds": 7.5,
        "voiced_seconds": 7.5,
    }
    assert voices[0]["spoken_beats"] == 2


def test_a_voice_that_only_speaks_has_no_pitches(score_of: Callable[..., Score]) -> None:
    score = score_of("all: x x x - |")
    facts = measure("case", score, tempo=60, keys=(Pitch.parse("C4"),), passes=1, lead_in=4)
    voice = facts_as_json(facts)["voices"][0]
    pitched = ("lowest_midi", "highest_midi", "lowest", "highest", "step_share")
    assert [voice[name] for name in pitched] == [None] * 5
    assert "speaks" in facts_as_text(facts)
    assert "no melodic intervals" in facts_as_text(facts)


def test_the_text_is_a_table_for_the_terminal(facts: Facts) -> None:
    assert facts_as_text(facts) == (
        "case\n"
        "  keys      Bb3, B3 (2 keys), minor\n"
        "  time      4/4, 72 beats a minute\n"
        "  length    7.5 s a pass, 33.3 s in all\n"
        "  parts     2 at once\n"
        "  motion    33% steps; largest interval P5\n"
        "  level     2 (a few tries): parts 2, key 1, leaps 2, rhythm 1, length 1\n"
        "  known     1 min, once it is known\n"
        "  phrase    7.5 s at the longest\n"
        "\n"
        "  voice    lowest  highest  span  notes  syllables  largest  phrase\n"
        "  leader   Bb2     Bb2      P1    1      1                   3.3 s\n"
        "  soprano  A3      F4       m6    5      1          P5       7.5 s\n"
        "  bass     F2      Bb2      P4    3      1          P4       1.7 s"
    )
