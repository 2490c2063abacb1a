"""Where parts stand in the store: everything that changes them is in their names, nothing else."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from chorus_handbook import dependencies
from chorus_handbook.pipeline import read
from chorus_handbook.records import Exercise, names

Named = Callable[[], Exercise]


@pytest.fixture
def named(project: Path) -> Named:
    """Reads the project's one exercise, with the names of its parts."""

    def exercise() -> Exercise:
        (found,) = read(project / "handbook").exercises.values()
        return found

    return exercise


def change(project: Path, name: str, old: str, new: str) -> None:
    file = project / "handbook" / name
    text = file.read_text(encoding="utf-8")
    assert old in text
    file.write_text(text.replace(old, new), encoding="utf-8")


EXERCISE, CHORUS, VOCABULARY = "exercises/low-tide.md", "chorus.yml", "vocabulary.yml"


@pytest.mark.parametrize(
    ("name", "old", "new", "drawn_anew", "heard_anew"),
    [
        (EXERCISE, "all: 1 2 3 2", "all: 1 2 3 3", True, True),
        (EXERCISE, "words: mm", "words: noo", True, True),
        (EXERCISE, "title: Low tide", "title: Lower tide", True, True),
        (EXERCISE, "keys: C4 up to D4", "keys: C4 up to Eb4", True, True),
        (EXERCISE, "tempo: 84", "tempo: 85", False, True),
        (EXERCISE, "minutes: 2", "minutes: 2\npasses: 2", False, True),
        (EXERCISE, "minutes: 2", "minutes: 2\ntune_to: bass", False, True),
        (EXERCISE, "summary: A hum", "summary: One hum", False, False),
        (EXERCISE, "## Say\n", "More.\n\n## Say\n", False, False),
        (EXERCISE, "1. Hum it.", "1. Hum it well.", False, False),
        (CHORUS, "label: Alto", "label: Contralto", True, True),
        (CHORUS, "clef: bass", "clef: treble", True, True),
        (VOCABULARY, "label: Breath flow", "label: Flow of breath", False, False),
        (VOCABULARY, "Stop if it strains.", "Stop where it strains.", False, False),
    ],
)
def test_a_part_is_made_again_only_where_it_changes(
    named: Named,
    project: Path,
    name: str,
    old: str,
    new: str,
    drawn_anew: bool,
    heard_anew: bool,
) -> None:
    before = named()
    change(project, name, old, new)
    after = named()
    assert (after.drawings != before.drawings) == drawn_anew
    assert (after.sound != before.sound) == heard_anew


def test_what_the_chorus_is_heard_on_changes_no_drawing(named: Named, project: Path) -> None:
    before = named().drawings
    chorus = project / "handbook" / CHORUS
    chorus.write_text(chorus.read_text("utf-8") + "sound_font: {file: sounds/our.sf2}\n", "utf-8")
    assert named().drawings == before


@pytest.mark.parametrize("part", ["DRAWINGS", "SOUND"])
def test_nothing_of_another_engraver_or_library_is_used(
    part: str, named: Named, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = named()
    own = getattr(dependencies, part)
    other = dependencies.CachedPart(own.name, own.code, ("a-library-that-is-not-here",))
    monkeypatch.setattr(names, part, other)
    after = named()
    assert (after.drawings != before.drawings) == (part == "DRAWINGS")
    assert (after.sound != before.sound) == (part == "SOUND")
