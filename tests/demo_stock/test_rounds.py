"""Every round of the demo: what sounds together is what music21 makes of its line."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from music21 import note

from checked import Checked
from chorus_handbook.entries.model import Entry
from chorus_handbook.music.measure import sounding_pitch
from chorus_handbook.music.score import Note
from rounds import Case, sung_by_music21

EXERCISES = Path(__file__).parents[2] / "handbook" / "exercises"
ROUNDS = sorted(
    path.stem for path in EXERCISES.glob("*.md") if "\nround:" in path.read_text("utf-8")
)


@pytest.mark.parametrize("slug", ROUNDS)
def test_what_sounds_together_is_what_music21_makes_of_the_line(
    demo: Checked, stock: dict[str, Entry], slug: str
) -> None:
    score, tonic = demo.scores[slug], demo.facts[slug].keys[0]
    stated, chorus = stock[slug].front.round, demo.config.chorus
    assert stated and chorus
    line = []
    for event in score.written.parts[0].events:
        one = note.Rest()
        if isinstance(event, Note):
            assert event.degree
            pitch = event.degree.in_key(tonic, score.mode)  # as written, in octave 0
            one = note.Note(str(pitch).replace("b", "-"))
        one.quarterLength = event.duration
        line.append(one)
    count, unit = stated.distance
    quarters = count * (score.meter.bar if unit == "bar" else score.meter.beat)
    groups = {"+".join(names): "+".join(names).split("+") for names in stated.names}
    groups |= {name: list(voices) for name, voices in chorus.groups.items()}
    entries = ["+".join(names) for names in stated.names]
    case = Case(slug, "", "", entries, "", quarters, stated.times, stated.end, groups=groups)
    theirs = sung_by_music21(line, case)
    assert float(score.length) == pytest.approx(theirs.highestTime, abs=float(score.meter.bar))
    compared = 0
    for chord in theirs.chordify().flatten().notes:
        at = Fraction(chord.offset)
        ours = {
            sounding_pitch(one, part, tonic, score.mode).midi
            for part in score.parts
            for one in part.sung
            if one.onset <= at < one.end
        }
        assert ours == {pitch.midi for pitch in chord.pitches}, at
        compared += len(ours) > 1
    assert compared > 10


def test_there_are_rounds() -> None:
    assert ROUNDS
