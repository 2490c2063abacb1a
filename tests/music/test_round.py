"""Rounds, held against music21, which puts each together from the line by itself."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from pydantic import ValidationError

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries.model import Source
from chorus_handbook.entries.round import Round
from chorus_handbook.music import Music, read_music
from chorus_handbook.music.measure import sounding_pitch
from chorus_handbook.music.round import voices_of
from chorus_handbook.pitch import Pitch
from chorus_handbook.problems import Problem
from rounds import ALL, CASES, Case, by_music21, front_of, read_round, source_of

LINE = "all: 1 2 3 - | 5 4 3 - |"
HOME = {"entries": ["soprano", "alto"], "after": "1 bar"}


def sung(chorus: Chorus, text: str = LINE, **fields: Any) -> tuple[Music, list[Problem]]:
    return read_music(source_of(text), front_of(round={**HOME, **fields}), chorus, Path("handbook"))


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_every_voice_sings_what_music21_makes_of_the_line(case: Case, chorus: Chorus) -> None:
    _, music, problems = read_round(case, chorus)
    assert problems == []
    score = music.score
    assert score is not None
    tonic = Pitch.parse("C4")
    ours = {
        (part.voice, n.onset, n.duration, sounding_pitch(n, part, tonic, score.mode).midi)
        for part in score.parts
        for n in part.sung
    }
    theirs = {
        (part.id, Fraction(note.offset), Fraction(note.quarterLength), note.pitch.midi)
        for part in by_music21(case).parts
        for note in part.notes
    }
    assert ours == theirs
    assert all(part.events[0].onset == 0 for part in score.parts)
    assert all(part.events[-1].end == score.length for part in score.parts)
    for part in score.parts:  # without gaps
        ends = [event.end for event in part.events]
        assert [event.onset for event in part.events[1:]] == ends[:-1]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_what_is_measured_is_the_whole_round(case: Case, chorus: Chorus) -> None:
    _, music, _ = read_round(case, chorus)
    assert music.facts and music.score
    theirs = by_music21(case)
    per_quarter = 1 / float(music.score.meter.beat)  # seconds, at 60 beats a minute
    voiced = {
        part.id: sum(float(note.quarterLength) for note in part.notes) * per_quarter
        for part in theirs.parts
    }
    assert {v.voice: pytest.approx(v.voiced_seconds) for v in music.facts.voices} == voiced
    lasts = max(float(part.highestTime) for part in theirs.parts) * per_quarter
    rest = 1 if "0 |" in case.text else 0  # a last rest is no sound to music21
    assert music.facts.length_seconds == pytest.approx(lasts, abs=rest)
    first_voices = [case.groups.get(name, [name])[0] for name in case.entries]
    lines = [part for part in theirs.parts if part.id in first_voices]
    sounding = [
        sum(
            any(n.offset <= note.offset < n.offset + n.quarterLength for n in p.notes)
            for p in lines
        )
        for part in lines
        for note in part.notes
    ]
    assert music.facts.parts == max(sounding)


def test_the_line_is_kept_as_it_was_written(chorus: Chorus) -> None:
    music, _ = sung(chorus)
    assert music.score and music.score.line
    line = music.score.written
    assert line.length == 8 and line.blocks[0].lines
    assert [(entry.voices, entry.onset) for entry in line.entries] == [
        (("soprano",), 0),
        (("alto",), 4),
    ]
    for part, written in zip(music.score.parts, line.parts, strict=True):
        assert [note.drawn for note in part.notes] == [note.id for note in written.notes] * 2
    ids = [note.id for part in music.score.parts for note in part.notes]
    assert len(ids) == len({*ids})


def test_each_stops_by_itself_or_all_together(chorus: Chorus) -> None:
    each, _ = sung(chorus, times=3)
    together, _ = sung(chorus, times=3, end="together")
    assert each.score and together.score
    assert (each.score.length, together.score.length) == (28, 24)
    last = {part.voice: part.notes[-1].end for part in each.score.parts}
    assert last == {"soprano": 24, "alto": 28}
    assert {part.notes[-1].end for part in together.score.parts} == {24}


def test_a_fermata_is_held_only_where_the_round_ends(chorus: Chorus) -> None:
    text = "all: 1 2 3 -^ | 5 4 3 -^ |"
    together, _ = sung(chorus, text, end="together")
    assert together.score
    assert [(s.onset, s.duration) for s in together.score.fermatas] == [(15, 1)]
    each, _ = sung(chorus, text)
    assert each.score
    assert [(s.onset, s.duration) for s in each.score.fermatas] == [(19, 1)]


def test_each_time_takes_the_next_verse(chorus: Chorus) -> None:
    text = f"{LINE}\nwords: la la la la la la\nwords: lo lo lo lo lo lo"
    music, problems = sung(chorus, text, times=3)
    assert problems == [] and music.score
    soprano = [n.syllables[0].text for n in music.score.parts[0].notes if n.syllables[0]]
    assert soprano == ["la"] * 6 + ["lo"] * 6 + ["la"] * 6


def test_signs_are_sung_each_time(chorus: Chorus) -> None:
    music, problems = sung(chorus, "all: p 1 < 2 3 f - | 5~ 4 3 - v |", end="together")
    assert problems == [] and music.score
    soprano, alto = music.score.parts
    assert [(d.onset, d.sign, d.end) for d in soprano.dynamics] == [
        (0, "p", None),
        (1, "<", 3),
        (3, "f", None),
        (8, "p", None),
        (9, "<", 11),
        (11, "f", None),
    ]
    assert [d.onset for d in alto.dynamics] == [4, 5, 7, 12, 13, 15]
    assert [note.onset for note in soprano.notes if note.glide_at is not None] == [4, 12]
    assert [note.onset for note in alto.notes if note.breath] == [10]


def test_the_level_is_that_of_the_line(chorus: Chorus) -> None:
    long = "all: 1 3 2 5 | 4 6 1 2 | 7, 1 5 3 | 1 - - - |"
    for text, parts, length in ((LINE, 2, 1), (long, 3, 2)):
        for times in (1, 4):  # singing it again teaches nothing new
            music, _ = sung(chorus, text, entries=ALL, times=times)
            assert music.facts
            found = music.facts.difficulty
            assert (found.parts, found.length, found.key) == (parts, length, 1)
    foreign, _ = sung(chorus, "all: 1 #1 2 - | 3 2 1 - |", entries=ALL)
    assert foreign.facts and foreign.facts.difficulty.key == 2  # in one line, by step


def test_who_enters_is_who_sings(chorus: Chorus) -> None:
    music, problems = sung(chorus, entries=["lower", "soprano"])
    assert problems == [] and music.score
    assert [part.voice for part in music.score.parts] == ["soprano", "tenor", "bass"]
    assert music.score.parts[1].shares == ("tenor", "bass")
    assert voices_of(front_of(round=HOME).round, chorus) == ("soprano", "alto")


BAD: dict[str, tuple[dict[str, Any], str, str]] = {
    "nobody": ({"entries": ["soprano", "altoo"]}, LINE, 'Did you mean "alto"?'),
    "all twice": ({"entries": ["all", "soprano"]}, LINE, 'no voice or group "all"'),
    "the leader": ({"entries": ["leader", "soprano"]}, LINE, '"leader" in chorus.yml'),
    "twice": (
        {"entries": ["upper", "alto"]},
        LINE,
        'Another item of "entries" already contains "alto"',
    ),
    "too late": ({"after": "4 bars"}, LINE, "finish before the next one enters"),
    "never": (
        {"entries": ALL, "after": "6 beats", "end": "together"},
        LINE,
        '"bass" would enter when all have stopped',
    ),
    "free": ({}, "meter: free\nall: 1 2 3 | 4 5 |", "nobody would know when to enter"),
    "several": ({}, "soprano: 1 2 3 - |\nalto: 1 2 3 - |", "There are several lines of music"),
    "a leader's": ({}, "leader: 1 2 3 - |\nall: 1 2 3 - |", "There are several lines of music"),
    "other voices": (
        {},
        "bass: 1 2 3 - | 1 - - - |",
        'The line of music is for "bass", but the entries',
    ),
    "no seam": ({}, "pickup: 1\nall: 1 | 1 2 3 - | 5 4 3 - |", "it cannot be repeated"),
    "endless": ({"times": 20, "entries": ALL}, LINE * 12, "more than 200 bars"),
}


@pytest.mark.parametrize("name", BAD)
def test_what_does_not_fit_is_a_problem(name: str, chorus: Chorus) -> None:
    fields, text, words = BAD[name]
    music, problems = sung(chorus, text.replace("|all:", "|"), **fields)
    assert music.score is None and music.facts is None
    (problem,) = problems
    assert problem.code in ("round", "word-unknown", "notation-size")
    assert words in problem.message and problem.hint


def test_passes_stand_in_no_round(chorus: Chorus) -> None:
    source = source_of(LINE)
    source = Source(
        source.slug, source.path, source.notation, {("passes",): source.place_of().at(9, 9)}
    )
    _, (problem,) = read_music(source, front_of(round=HOME, passes=2), chorus, Path("handbook"))
    assert (problem.code, problem.place.line) == ("round", 9)


def test_a_round_needs_notes(chorus: Chorus) -> None:
    source = Source("round", "handbook/exercises/round.md", None, {})
    music, (problem,) = read_music(source, front_of(round=HOME), chorus, Path("handbook"))
    assert music == Music() and problem.code == "round"


def test_unreadable_notes_hide_no_wrong_entry(chorus: Chorus) -> None:
    music, problems = sung(chorus, "all: 1 2 3 9 |", entries=["soprano", "altoo"])
    assert music.score is None
    assert [problem.code for problem in sorted(problems)] == ["word-unknown", "notation-token"]


@pytest.mark.parametrize("entries", ["soprano", ["soprano"], []])
def test_one_voice_alone_makes_no_round(entries: object) -> None:
    with pytest.raises(ValidationError, match="a round needs at least 2 entries"):
        Round.model_validate({"entries": entries, "after": "2 bars"})
