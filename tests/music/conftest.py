"""The shared demo voices, and texts read as an exercise would hold them."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from pathlib import Path

import pytest

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries.model import Notation
from chorus_handbook.music.degrees import read_degrees
from chorus_handbook.music.score import Score
from chorus_handbook.problems import Place, Problem
from four_parts import CHORUS

Reading = tuple[Score | None, list[Problem]]


@pytest.fixture(scope="session")
def grows_evenly(
    work: Callable[[Callable[[], object]], int],
) -> Callable[[Callable[[int], object]], bool]:
    """Whether ten times the text makes about ten times the work; a hundred times would be
    quadratic. What it is asked of reads a text of a size."""

    def ask(read: Callable[[int], object]) -> bool:
        return work(lambda: read(5_000)) < 15 * work(lambda: read(500))

    return ask


def _as_recorded(path: Path, reading: str) -> None:
    """Hold a reading against the case in which it is written down, below the line of =. With
    HANDBOOK_RECORD=1 the case is recorded again instead: read the difference by eye afterwards."""
    text, rule, below = path.read_text(encoding="utf-8").partition("=====\n")
    lines = below.splitlines(keepends=True)
    given = [line for line in lines if line.startswith(("#", "in ", "sung by "))]
    if os.environ.get("HANDBOOK_RECORD") == "1":
        path.write_text(f"{text}{rule}{''.join(given)}{reading}", encoding="utf-8")
        return
    expected = "".join(line for line in lines if line not in given)
    assert expected.strip()
    assert reading == expected


@pytest.fixture(scope="session")
def as_recorded() -> Callable[[Path, str], None]:
    return _as_recorded


@pytest.fixture(scope="session")
def chorus() -> Chorus:
    leader = {"label": "Leader", "clef": "bass", "octave": -1}
    return Chorus.model_validate(CHORUS | {"leader": leader})


@pytest.fixture(scope="session")
def read(chorus: Chorus) -> Callable[..., Reading]:
    """Reads a text that starts on line 1 of its file, for the whole chorus or the given voices."""

    def read_text(text: str, voices: Sequence[str] = ()) -> Reading:
        notation = Notation("degrees", text, Place("case.md"))
        return read_degrees(notation, chorus, tuple(voices) or tuple(chorus.voices))

    return read_text


@pytest.fixture(scope="session")
def score_of(read: Callable[..., Reading]) -> Callable[..., Score]:
    """Reads a text that has no problems."""

    def score_of_text(text: str, voices: Sequence[str] = ()) -> Score:
        score, problems = read(text, voices)
        assert problems == []
        assert score is not None
        return score

    return score_of_text


@pytest.fixture(scope="session")
def codes(read: Callable[..., Reading]) -> Callable[..., list[str]]:
    """The problems of a text as "line:column code"."""

    def codes_of(text: str, voices: Sequence[str] = ()) -> list[str]:
        return [f"{p.place.line}:{p.place.column} {p.code}" for p in read(text, voices)[1]]

    return codes_of
