"""What several folders of tests need: the demo site, built once, and a small project to break."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import settings

# A busy machine is no fault; and the same commit gives the same verdict wherever it is judged.
settings.register_profile("handbook", deadline=None)
settings.register_profile("ci", deadline=None, derandomize=True)
settings.load_profile("ci" if os.environ.get("CI") else "handbook")

PROJECT = Path(__file__).parent.parent

CHORUS = """\
name: Testing Chorus
voices:
  soprano: {label: Soprano, clef: treble, octave: 0, comfortable: C4 to F5, limits: A3 to A5}
  alto: {label: Alto, clef: treble, octave: 0, comfortable: G3 to C5, limits: E3 to E5}
  tenor: {label: Tenor, clef: treble-8, octave: -1, comfortable: C3 to F4, limits: A2 to A4}
  bass: {label: Bass, clef: bass, octave: -1, comfortable: F2 to C4, limits: D2 to E4}
groups:
  upper: [soprano, alto]
  lower: [tenor, bass]
"""
VOCABULARY = """\
goals:
  breath-flow: {label: Breath flow, about: Air that moves evenly.}
  resonance: {label: Resonance, about: Sound that carries.}
soundings:
  hum: {label: Hum, lowest_impact: 2}
  calling: {label: Calling, lowest_impact: 4, cautions: [strain]}
formations:
  circle: {label: In a circle, diagram: circle}
cautions:
  strain: {text: Stop if it strains.}
"""
EXERCISE = """\
---
title: Low tide
summary: A hum up and down three notes.
goals: [breath-flow]
impact: 2
sounding: hum
minutes: 2
tempo: 84
keys: C4 up to D4
---
Wakes the voice up.

## Say
Hum as if you agreed.

```degrees
words: mm ...
all: 1 2 3 2 | 1 - - 0 |
```

## How to run it
1. Hum it.
"""
CONFIG = (PROJECT / "mkdocs.yml").read_text(encoding="utf-8")


@pytest.fixture
def project(tmp_path: Path) -> Path:
    """A project of one exercise, to be changed and broken."""
    folder = tmp_path / "project"
    (folder / "handbook" / "exercises").mkdir(parents=True)
    (folder / "mkdocs.yml").write_text(CONFIG, encoding="utf-8")
    (folder / "handbook" / "chorus.yml").write_text(CHORUS, encoding="utf-8")
    (folder / "handbook" / "vocabulary.yml").write_text(VOCABULARY, encoding="utf-8")
    exercise = folder / "handbook" / "exercises" / "low-tide.md"
    exercise.write_text(EXERCISE, encoding="utf-8")
    return folder


@pytest.fixture(scope="session")
def demo_project(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the demo, so that tests leave nothing in the checkout."""
    folder = tmp_path_factory.mktemp("demo")
    shutil.copytree(PROJECT / "handbook", folder / "handbook")
    shutil.copy(PROJECT / "mkdocs.yml", folder)
    return folder


@pytest.fixture(scope="session")
def demo_site(demo_project: Path) -> Path:
    """The demo, built once."""
    from chorus_handbook.cli import main

    assert main(["--project", str(demo_project), "build"]) == 0
    return demo_project / "site"


@pytest.fixture
def handbook(capsys: pytest.CaptureFixture[str]) -> Callable[..., tuple[int, str, str]]:
    """Runs the command in this process: exit code, standard output, standard error."""
    from chorus_handbook.cli import main

    def run(*arguments: str | Path) -> tuple[int, str, str]:
        try:
            code = main([str(argument) for argument in arguments])
        except SystemExit as left:
            code = left.code if isinstance(left.code, int) else 1
        captured = capsys.readouterr()
        return code, captured.out, captured.err

    return run
