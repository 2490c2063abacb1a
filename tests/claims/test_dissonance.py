"""Dissonances of rounds, held against what music21 finds in the same chords."""

from __future__ import annotations

import re
from itertools import combinations
from pathlib import Path
from typing import Any

import pytest

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.claims.dissonance import check_dissonance
from chorus_handbook.claims.subject import Subject
from chorus_handbook.entries.model import Entry
from chorus_handbook.music import read_music
from chorus_handbook.problems import Problem
from rounds import CASES, Case, by_music21, front_of, read_round, source_of


def notices(entry: Entry, chorus: Chorus) -> list[Problem]:
    music, problems = read_music(entry.source, entry.front, chorus, Path("handbook"))
    assert problems == []
    return list(check_dissonance(Subject(entry, music.score, music.facts, chorus)))


def dissonant_bars(case: Case, bar: float, pickup: float) -> list[int]:
    """The bars that begin on a dissonance, by music21's names of intervals. The tonic chord is that
    of C, in minor with its own third."""
    from music21 import interval

    score = by_music21(case)
    triad = {"C", "E-" if "minor" in case.text else "E", "G"}
    found = []
    for chord in score.chordify().flatten().getElementsByClass("Chord"):
        first = -(-(float(chord.offset) - pickup) // bar)  # the first bar that begins in it
        number = int(first) + 1
        begins = pickup + first * bar
        if number < 1 or begins >= chord.offset + chord.quarterLength:
            continue
        pitches = sorted(chord.pitches, key=lambda pitch: pitch.midi)
        names = [
            (interval.Interval(low, high).semiSimpleName, low.midi == pitches[0].midi)
            for low, high in combinations(pitches, 2)
        ]
        bad = any(
            name[1:] in ("2", "7") or name in ("A4", "d5") or (name == "P4" and lowest)
            for name, lowest in names
        )
        if bad and not {pitch.name for pitch in pitches} <= triad:
            found.append(number)
    return found


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_the_bars_are_those_that_music21_finds(case: Case, chorus: Chorus) -> None:
    entry, music, _ = read_round(case, chorus)
    assert music.score
    expected = dissonant_bars(case, float(music.score.meter.bar), float(music.score.pickup))
    text = " ".join(problem.message for problem in notices(entry, chorus))
    named = re.findall(r"\b[Bb]ars? ((?:\d+(?:, | and )?)+)", text)
    assert [int(n) for group in named for n in re.findall(r"\d+", group)] == expected


def test_the_cases_have_both() -> None:
    bars = [bool(dissonant_bars(case, 4, 0)) for case in CASES if case.tiny.startswith("4/4")]
    assert True in bars and False in bars


def found(chorus: Chorus, text: str, **fields: Any) -> list[str]:
    stated = {"entries": ["soprano", "alto"], "after": "1 bar", "times": 1, **fields}
    entry = Entry(source_of(text), front_of(round=stated))
    return [problem.message for problem in notices(entry, chorus)]


@pytest.mark.parametrize(
    ("text", "interval"),
    [
        ("all: 2 - - - | 3 - - - |", "alto on D4"),
        ("all: 1 - - - | 7 - - - |", "soprano on B4 is a major seventh above alto on C4"),
        ("all: 4 - - - | 7 - - - |", "an augmented fourth above"),
        ("all: 2 - - - | 5 - - - |", "soprano on G4 is a fourth above alto on D4"),
        ("all: 5 - - - | 1' - - - |", ""),  # the tonic chord, on its fifth
        ("all: 1 - - - | 3 - - - |", ""),
        ("all: 1 - - - | 5 2 5 - |", ""),  # only the first beat counts
        ("all: 2 - - - | 0 3 3 - |", ""),
    ],
)
def test_a_first_beat(chorus: Chorus, text: str, interval: str) -> None:
    messages = found(chorus, text)
    assert len(messages) == bool(interval)
    assert all(interval in message for message in messages)


def test_the_octave_of_the_voice_counts(chorus: Chorus) -> None:
    fourth = "all: 2 - - - | 5 - - - |"
    assert found(chorus, fourth)
    assert not found(chorus, fourth, entries=["bass", "alto"])  # G3 below D4: a fifth


def test_only_rounds_are_looked_at(chorus: Chorus) -> None:
    entry = Entry(source_of("soprano: 1' 7 |\nalto: 7 1 |\n".replace(" |", " - - |")), front_of())
    assert notices(entry, chorus) == []
