"""Whatever can be read can be heard: golden cases of the notations, and lines drawn by chance."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries.model import FrontMatter, Notation
from chorus_handbook.music import reader_of
from chorus_handbook.music.keys import spell_keys
from chorus_handbook.music.score import Degree, Score
from chorus_handbook.problems import Place
from chorus_handbook.sound.midi import MidiPiece, midi_file
from chorus_handbook.sound.notes_json import notes_data, notes_json
from chorus_handbook.sound.schedule import PlaybackOptions, run_seconds, schedule
from chorus_handbook.sound.timed import in_time
from chorus_handbook.sound.tuning import tune

READINGS = Path(__file__).parents[1] / "cases"
#: The texts of all cases of notation, by name: "abc-slurs".
CASES = {
    f"{path.parent.name}-{path.stem}": path.read_text(encoding="utf-8").partition("\n=====\n")[0]
    for path in sorted(READINGS.glob("abc/*.txt"))
} | {
    f"degrees-{path.stem}": "\n".join(json.loads(path.read_text(encoding="utf-8"))["text"])
    for path in sorted(READINGS.glob("degrees/*.json"))
    if path.stem != "chorus"
}
FRONT = FrontMatter.model_validate(
    {
        "title": "Any",
        "summary": "Any.",
        "goals": ["any"],
        "impact": 2,
        "sounding": "any",
        "minutes": 1,
        "tempo": 84,
        "keys": "C4 up to E4 and back",
        "passes": 2,
    }
)


def hear(score: Score, chorus: Chorus) -> None:
    """Everything that is made of a score, and what must hold of it."""
    timed = in_time(score, chorus)
    path = FRONT.key_path
    assert path
    keys = spell_keys(score, path)
    for tuned in (
        tune(timed),
        tune(timed, "bass"),
        *(tune(timed, voice.name) for voice in timed.voices),
        tune(timed, roots=[(0, Degree(0)), (timed.ticks, Degree(4, 1))]),
    ):
        for note in timed.sung:
            assert len(tuned.cents[note.id]) == len(note.semitones)
            assert all(math.isfinite(c) and abs(c) < 100 for c in tuned.cents[note.id])
    for voice in timed.voices:
        for note, after in pairwise(voice.notes):
            assert note.at < note.end <= after.at
        for note in voice.notes:
            assert 0 <= note.at < note.end <= timed.length
            assert 0 < note.level <= 1
            assert tuple(d.semitones(timed.mode) for d in note.degrees) == note.semitones
    data = notes_data("any", FRONT, keys, timed, tune(timed))
    assert notes_json(data)
    options = PlaybackOptions(chord_first=True, just=True, tempo=1.3)
    end = run_seconds(data, options)
    assert all(0 <= event.at <= end for event in schedule(data, options))
    assert midi_file(MidiPiece("Any", timed, score.meter, 84, keys[0]))[:4] == b"MThd"


def read_case(name: str, chorus: Chorus) -> Score | None:
    kind = name.partition("-")[0]
    notation = Notation(kind, CASES[name], Place("any.md"))  # type: ignore[arg-type]
    return reader_of(kind)(notation, chorus, tuple(chorus.voices))[0]  # type: ignore[arg-type]


@pytest.mark.parametrize("name", CASES)
def test_what_can_be_read_can_be_heard(name: str, chorus: Chorus) -> None:
    score = read_case(name, chorus)
    if score and score.parts:
        hear(score, chorus)


def test_most_cases_can_be_heard(chorus: Chorus) -> None:
    heard = sum(bool(score and score.parts) for score in (read_case(n, chorus) for n in CASES))
    assert heard > len(CASES) / 2


SHARE = st.sampled_from("1 2 3 4 5 6 7 1' 5, #4 b7 b3 #1 x 0 1^ 5? -".split())
BEAT = st.lists(SHARE, min_size=1, max_size=4).map(".".join)
LINE = st.lists(BEAT | st.sampled_from(["v", "v?", "pp", "ff", "<", ">"]), min_size=1, max_size=9)


@given(
    lines=st.lists(LINE, min_size=1, max_size=4),
    mode=st.sampled_from(["major", "minor", "dorian", "phrygian", "lydian", "mixolydian"]),
)
def test_lines_drawn_by_chance_can_be_heard(
    chorus: Chorus, lines: list[list[str]], mode: str
) -> None:
    voices = zip(chorus.voices, lines, strict=False)
    text = f"mode: {mode}\nmeter: free\n"
    text += "\n".join(f"{voice}: 1 {' '.join(line)}" for voice, line in voices)
    score, _ = reader_of("degrees")(
        Notation("degrees", text, Place("any.md")), chorus, tuple(chorus.voices)
    )
    assume(score is not None and score.parts)
    assert score
    hear(score, chorus)


def test_the_longest_tune_is_soon_put_in_time(
    chorus: Chorus, work: Callable[[Callable[[], object]], int]
) -> None:
    """Four voices that never move together, a thousand notes and more each: quicker than a reader
    of it would notice."""

    def line(beat: str) -> str:
        return " | ".join([" ".join([beat] * 4)] * 49)

    shares = {"soprano": "1.2.3.4.5", "alto": "1.2.3.4.5.6.7", "tenor": "1.2.3", "bass": "1.2"}
    text = "\n".join(f"{voice}: {line(beat)}" for voice, beat in shares.items())
    score, problems = reader_of("degrees")(
        Notation("degrees", text, Place("any.md")), chorus, tuple(chorus.voices)
    )
    assert score and not problems

    def prepare() -> None:
        timed = in_time(score, chorus)
        assert len(timed.sung) > 3_000
        for to in ("tonic", "bass", "alto"):
            tune(timed, to)

    assert work(prepare) < 6_000_000
