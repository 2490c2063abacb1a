"""Scores from notation, put in time, and the demo's."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from chorus_handbook import pipeline
from chorus_handbook.cache import Cache
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries.model import Notation
from chorus_handbook.music import READERS
from chorus_handbook.music.score import Score
from chorus_handbook.problems import Place
from chorus_handbook.sound.timed import Timed, in_time

HANDBOOK = Path(__file__).parents[2] / "handbook"


@pytest.fixture(scope="session")
def demo() -> pipeline.Handbook:
    """The demo handbook, checked but not drawn."""
    return pipeline.advance(pipeline.begin(HANDBOOK), pipeline.CHECKS)


@pytest.fixture(scope="session")
def store(tmp_path_factory: pytest.TempPathFactory) -> Cache:
    """A store, so that the instrument is made once."""
    return Cache(tmp_path_factory.mktemp("store"))


@pytest.fixture(scope="session")
def chorus(demo: pipeline.Handbook) -> Chorus:
    """The demo's voices: tenor and bass lie an octave below soprano and alto."""
    assert demo.setting.chorus
    return demo.setting.chorus


@pytest.fixture(scope="session")
def read(chorus: Chorus) -> Callable[..., Score]:
    """A score from lines of notation, `degrees` unless another kind is named."""

    def score(text: str, kind: str = "degrees") -> Score:
        notation = Notation(kind, text, Place("test.md"))  # type: ignore[arg-type]
        found, problems = READERS[kind](notation, chorus, tuple(chorus.voices))
        assert found and not problems, problems
        return found

    return score


@pytest.fixture(scope="session")
def timed(read: Callable[..., Score], chorus: Chorus) -> Callable[..., Timed]:
    """Lines of notation, put in time."""
    return lambda text, kind="degrees": in_time(read(text, kind), chorus)
