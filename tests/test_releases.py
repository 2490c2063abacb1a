"""Handbooks of earlier releases are read, and measured as they were (tests/cases/releases)."""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from pydantic import BaseModel

from chorus_handbook.chorus.file_format import FORMAT
from chorus_handbook.chorus.model import Chorus, Vocabulary
from chorus_handbook.entries.kinds import KINDS
from chorus_handbook.entries.model import FENCE_NOTATIONS
from chorus_handbook.music.facts_json import facts_as_json
from chorus_handbook.pipeline import Handbook, read
from chorus_handbook.views.model import SavedView
from chorus_handbook.views.saved import read_saved

RELEASES = Path(__file__).parent / "cases" / "releases"
FOLDERS = sorted(path for path in RELEASES.iterdir() if path.is_dir())
#: The release that is being made: its handbook has all there is.
NEWEST = FOLDERS[-1]
#: What the fields of a round and of a range are made of is written in other ways too.
NOT_WRITTEN = {"NoteRange"}


def measured(book: Handbook) -> dict[str, Any]:
    """What is measured of each exercise, with its ladder."""
    return {
        slug: {
            "facts": facts_as_json(exercise.facts) if exercise.facts else None,
            "ladder": [
                {str(rung.tonic): {name: step.state for name, step in rung.voices.items()}}
                for rung in (exercise.ladder.rungs if exercise.ladder else ())
            ],
            "chords": [chord.quality for chord in exercise.chords],
        }
        for slug, exercise in sorted(book.exercises.items())
    }


@pytest.fixture(params=FOLDERS, ids=lambda folder: folder.name)
def release(
    request: pytest.FixtureRequest, tmp_path: Path, handbook: Callable[..., tuple[int, str, str]]
) -> tuple[Path, Handbook]:
    """The handbook of a release, renewed."""
    project = shutil.copytree(request.param, tmp_path / "project")
    code, _, err = handbook("--project", project, "renew", "--yes")
    assert code == 0, err
    return request.param, read(project / "handbook")


def test_it_has_no_errors_and_measures_the_same(release: tuple[Path, Handbook]) -> None:
    folder, book = release
    assert not book.broken, book.problems
    path = folder / "facts.json"
    if os.environ.get("HANDBOOK_RECORD") and folder == NEWEST:
        path.write_text(json.dumps(measured(book), indent=1) + "\n", encoding="utf-8")
    assert measured(book) == json.loads(path.read_text(encoding="utf-8"))


def test_the_newest_is_in_the_present_format_and_needs_no_change() -> None:
    book = read(NEWEST / "handbook")
    assert book.config.chorus is not None and book.config.chorus.format == FORMAT
    assert {problem.code for problem in book.problems} <= {"answer-idle"}


def test_the_newest_has_every_field_kind_and_notation() -> None:
    book = read(NEWEST / "handbook")
    views, _ = read_saved(book.root, book.entries, book.config)
    fronts = [entry.front for entry in book.entries.entries]
    written: list[BaseModel] = [*fronts, *(text.front for text in book.texts)]
    written += [view.view for view in views]
    assert book.config.chorus is not None and book.config.vocabulary is not None
    written += [book.config.chorus, book.config.vocabulary]
    there = {field for model in written for field in fields_of(model)}
    kinds = {kind.fields for kind in KINDS} | {Chorus, Vocabulary, SavedView}
    assert {type(model) for model in written} == kinds
    wanted = {type(model) for model in written} | {model for model, _ in there}
    missing = [
        f"{model.__name__}.{name}"
        for model in wanted
        for name in model.model_fields
        if (model, name) not in there and model.__name__ not in NOT_WRITTEN
    ]
    assert missing == []
    notations = {s.notation.kind for s in book.entries.sources if s.notation}
    assert notations == {*FENCE_NOTATIONS, "score"}


def fields_of(value: object) -> Iterator[tuple[type[BaseModel], str]]:
    """Every field that is written in a model and in those inside it."""
    if isinstance(value, BaseModel):
        for name in value.model_fields_set:
            yield type(value), name
            yield from fields_of(getattr(value, name))
    elif isinstance(value, dict):
        for one in value.values():
            yield from fields_of(one)
    elif isinstance(value, list):
        for one in value:
            yield from fields_of(one)
