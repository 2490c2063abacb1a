"""How much voice an exercise takes, against published values, small steps, and music21."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from music21 import pitch

from checked import Checked
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries.model import Notation
from chorus_handbook.music.degrees import read_degrees
from chorus_handbook.pitch import Pitch, hertz
from chorus_handbook.problems import Place
from chorus_handbook.voices import compute_ladder
from chorus_handbook.voices.load import Load, glide_cycles, loads_as_text, loads_of

MAIN = "from chorus_handbook.cli import main; main()"
ALTO = {"label": "Alto", "clef": "treble", "comfortable": "G3 to A5", "limits": "E3 to C6"}


@pytest.fixture
def choir() -> Chorus:
    return Chorus.model_validate({"name": "Test", "voices": {"alto": ALTO}})


def of(
    choir: Chorus, text: str, *keys: str, tempo: float = 60, passes: int = 1, octave: bool = False
) -> Load:
    score, problems = read_degrees(Notation("degrees", text, Place("a.md")), choir, ("alto",))
    assert score and not problems
    tonics = [Pitch.parse(key) for key in keys]
    ladder = compute_ladder(score, tonics, choir, may_change_octave=octave)
    return loads_of(score, ladder, choir, tempo=tempo, passes=passes)["alto"]


def test_a_minute_on_a4_is_26400_cycles(choir: Chorus) -> None:
    """440 Hz (ISO 16:1975) for 60 s; the cycle dose is the sum of F0 over voiced time (Titze, Svec,
    Popolo 2003, JSLHR 46:919)."""
    found = of(choir, "meter: 6/4\nall: 1 - - - - - |", "A4", passes=10)
    assert (found.seconds, found.cycles) == (60, pytest.approx(26400))


@pytest.mark.parametrize(("start", "end"), [(60, 72), (72, 60), (57.5, 58), (64, 64)])
def test_a_glide_is_the_sum_of_its_small_steps(start: float, end: float) -> None:
    steps = 20_000
    sums = sum(hertz(start + (end - start) * (n + 0.5) / steps) for n in range(steps)) * 3 / steps
    assert glide_cycles(start, end, 3) == pytest.approx(sums, rel=1e-8)


def test_a_glide_counts_from_where_it_leaves(choir: Chorus) -> None:
    found = of(choir, "all: 1 -~ - - | 1' - - - |", "A3")
    assert found.cycles == pytest.approx(220 + glide_cycles(57, 69, 3) + 4 * 440)
    assert found.seconds == 8


def test_holds_count_twice_and_rests_not_at_all(choir: Chorus) -> None:
    assert of(choir, "all: 1 0 1^ 0 |", "A4").seconds == 3
    assert of(choir, "all: 1 x x 0 |", "A4").seconds == 1


def test_keys_that_a_voice_leaves_out_do_not_count(choir: Chorus) -> None:
    assert of(choir, "all: 1 0 0 0 |", "A5", "C6", "D6", passes=2) == Load(
        2, 4, pytest.approx(2 * (880 + hertz(84))), near=(0, 2, 0)
    )
    moved = of(choir, "all: 1 0 0 0 |", "A5", "A6", octave=True)
    assert moved.cycles == pytest.approx(880 + 880)  # an octave lower than written


def test_time_near_the_limits(choir: Chorus) -> None:
    """The alto is comfortable up to A5 and goes up to C6: of each key, the notes above A5."""
    assert of(choir, "all: 1 2 3 0 |", "F5", "G5", "A5", passes=2).near == (0, 2, 0)  # out in A
    assert of(choir, "all: 1 0 0 0 |", "G3", "F3", "D3").near == (0, 1, 0)  # out in D
    glide = of(choir, "all: 1 -~ - - | 1, - - - |", "B5")
    assert glide.near == (pytest.approx(1 + 3 * 2 / 12),)  # from B5 down to A5 of an octave
    assert of(choir, "all: 1^ 0 0 0 |", "B5").near == (2,)


def test_waiting_is_while_others_sing() -> None:
    voices = {"alto": ALTO, "bass": {**ALTO, "label": "Bass"}}
    two = Chorus.model_validate({"name": "Test", "voices": voices})
    text = "alto: 1 1 0 0 |\nbass: 0 1 1 0 |"
    notation = Notation("degrees", text, Place("a.md"))
    score, problems = read_degrees(notation, two, ("alto", "bass"))
    assert score and not problems
    ladder = compute_ladder(score, [Pitch.parse("C4")], two)
    found = loads_of(score, ladder, two, tempo=60, passes=2)
    assert {name: (one.seconds, one.waits) for name, one in found.items()} == {
        "alto": (4, 2),
        "bass": (4, 2),
    }


def test_demo_loads_are_what_music21_comes_to(demo: Checked) -> None:
    """Frequencies by music21, for exercises without glides, holds and repeats of octave changes."""
    compared, chorus = 0, demo.config.chorus
    assert chorus
    for entry in demo.entries.entries:
        score, ladder = demo.scores.get(entry.slug), demo.ladders.get(entry.slug)
        if not score or not ladder or score.fermatas or entry.front.step_out == "octave":
            continue
        facts = demo.facts[entry.slug]
        found = loads_of(score, ladder, chorus, tempo=facts.tempo, passes=entry.front.passes)
        for part in score.parts:
            if part.voice not in found or any(n.glide_at is not None for n in part.sung):
                continue
            total = 0.0
            for rung in ladder.rungs:
                if rung.voices[part.voice].state == "out":
                    continue
                for note in part.sung:
                    assert note.degree
                    tonic = rung.tonic.moved(7 * part.octave, 12 * part.octave)
                    name = str(note.degree.in_key(tonic, score.mode)).replace("b", "-")
                    beats = float(note.duration / score.meter.beat)
                    total += pitch.Pitch(name).frequency * beats * 60 / facts.tempo
            assert found[part.voice].cycles == pytest.approx(total * entry.front.passes)
            compared += 1
    assert compared > 60


def test_measure_prints_it_with_what_it_is_not(demo_project: Path) -> None:
    def measured(*options: str) -> str:
        command = [sys.executable, "-c", MAIN, "measure", "slipway", *options]
        return subprocess.run(
            command, capture_output=True, text=True, cwd=demo_project, check=True
        ).stdout

    assert "Neither says what is safe." in measured()
    rows = json.loads(measured("--format", "json"))["load"]
    assert rows and all(row["cycles"] > 0 and row["voiced_seconds"] > 0 for row in rows)
    assert loads_as_text({}) == ""
