"""The stage as a whole: the score and the facts of an exercise."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, Literal

import pytest

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries.model import FrontMatter, Notation, Source
from chorus_handbook.music import Music, read_music
from chorus_handbook.problems import Place

#: A handbook without score files.
ROOT = Path("handbook")

FRONT: dict[str, Any] = {
    "title": "Slack water",
    "summary": "A slope on a lip trill.",
    "goals": ["breath-flow"],
    "impact": 2,
    "sounding": "lip-trill",
    "minutes": 3,
    "tempo": 60,
    "keys": "C4 up to D4",
}
LINE = "all: 1 2 3 - |"

Kind = Literal["degrees", "abc", "score"]
Stock = Callable[..., tuple[Source, FrontMatter | None]]


@pytest.fixture
def stock() -> Stock:
    """One exercise: its notation, whether its front matter is valid, its fields."""

    def one(
        text: str | None, kind: Kind = "degrees", *, valid: bool = True, **fields: object
    ) -> tuple[Source, FrontMatter | None]:
        path = "handbook/exercises/slack-water.md"
        notation = text and Notation(kind, text, Place(path, 20))
        places: Mapping[tuple[str | int, ...], Place] = {}
        source = Source("slack-water", path, notation or None, places)
        front = {name: value for name, value in (FRONT | fields).items() if value is not None}
        return source, FrontMatter.model_validate(front) if valid else None

    return one


def test_an_exercise_is_read_and_measured(stock: Stock, chorus: Chorus) -> None:
    music, problems = read_music(*stock(LINE, passes=2, lead_in=3), chorus, ROOT)
    assert problems == []
    assert [part.voice for part in music.score.parts] == list(chorus.voices)
    facts = music.facts
    assert [str(tonic) for tonic in facts.keys] == ["C4", "Db4", "D4"]
    assert (facts.slug, facts.tempo) == ("slack-water", 60)
    assert facts.length_seconds == 3 * 2 * 4 + 2 * 3
    assert music.draft is None


def test_an_exercise_without_notation_has_no_score(stock: Stock, chorus: Chorus) -> None:
    music, problems = read_music(*stock(None), chorus, ROOT)
    assert (music, problems) == (Music(), [])


def test_notation_is_read_where_the_front_matter_is_broken(stock: Stock, chorus: Chorus) -> None:
    music, _ = read_music(*stock(LINE, valid=False), chorus, ROOT)
    assert len(music.score.parts) == 4
    assert music.facts is None


@pytest.mark.parametrize("missing", ["tempo", "keys"])
def test_without_tempo_or_keys_nothing_is_measured(
    stock: Stock, chorus: Chorus, missing: str
) -> None:
    music, problems = read_music(*stock(LINE, **{missing: None}), chorus, ROOT)
    assert problems == []
    assert music.score is not None
    assert music.facts is None


@pytest.mark.parametrize(
    ("voices", "singing"),
    [
        ("all", ["soprano", "alto", "tenor", "bass"]),
        ("bass", ["bass"]),
        ("lower", ["tenor", "bass"]),
        (["bass", "alto"], ["alto", "bass"]),
        (["upper", "tenor"], ["soprano", "alto", "tenor"]),
        (["nobody", "alto"], ["alto"]),  # reported elsewhere
        (["nobody"], ["soprano", "alto", "tenor", "bass"]),
        ([], ["soprano", "alto", "tenor", "bass"]),
    ],
)
def test_all_stands_for_the_voices_of_the_front_matter(
    stock: Stock, chorus: Chorus, voices: object, singing: list[str]
) -> None:
    music, problems = read_music(*stock(LINE, voices=voices), chorus, ROOT)
    assert problems == []
    assert [part.voice for part in music.score.parts] == singing


def test_misfits_do_not_keep_the_facts_from_being_measured(stock: Stock, chorus: Chorus) -> None:
    text = "soprano: 1 2 3 | 4 - - - |\nwords: too few\nalto: 1 - - - |"
    music, problems = read_music(*stock(text), chorus, ROOT)
    assert problems == []
    assert music.facts.seconds_per_pass == 7


def test_a_text_with_problems_gives_a_draft(stock: Stock, chorus: Chorus) -> None:
    music, problems = read_music(
        *stock("soprano: 12 3 4 |\nalto: 1 - - - |\ntenr: 1"), chorus, ROOT
    )
    assert [(p.place.line, p.place.column, p.code) for p in problems] == [
        (20, 10, "notation-token"),
        (22, 1, "notation-voice"),
    ]
    assert (music.score, music.facts) == (None, None)
    assert len(music.draft.blocks[0].lines) == 3


def test_a_score_file_that_is_not_there_is_told_where_it_is_named(
    stock: Stock, chorus: Chorus
) -> None:
    music, problems = read_music(*stock("scores/slack-water.musicxml", "score"), chorus, ROOT)
    (problem,) = problems
    assert (problem.code, problem.severity) == ("file-missing", "error")
    assert problem.place == Place("handbook/exercises/slack-water.md", 20)
    assert music == Music()


def test_the_stage_needs_no_heavy_library() -> None:
    heavy = "{'music21', 'verovio', 'numpy', 'mkdocs', 'fontTools'}"
    code = f"import sys, chorus_handbook.music; sys.exit(bool({heavy} & set(sys.modules)))"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
