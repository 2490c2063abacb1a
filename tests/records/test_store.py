"""Records kept one by one: the same as made, loaded while nothing changes, never a wrong one."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from chorus_handbook import dependencies
from chorus_handbook.cache import Cache
from chorus_handbook.entries.kinds import KINDS
from chorus_handbook.pipeline import read
from chorus_handbook.records import AnyRecord, making, store

DEMO = Path(__file__).parents[2] / "handbook"
Made = Callable[[], list[str]]


def written(record: AnyRecord) -> bytes:
    return store.written(record, next(kind for kind in KINDS if kind.name == record.kind))


def test_what_is_loaded_is_what_was_made(tmp_path: Path) -> None:
    cache = Cache(tmp_path)
    made, loaded = read(DEMO, cache), read(DEMO, cache)
    assert loaded == made
    # An int and a float are equal, and are written differently: compare as written, too.
    records = {}
    for folder in (tmp_path, tmp_path / "other"):
        found = store.records_of(DEMO, made.config, Cache(folder))
        records[folder] = [written(record) for record in found]
    assert len({tuple(written) for written in records.values()}) == 1


@pytest.fixture
def made(project: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Made:
    """Reads the project; the exercises whose records were made, not loaded."""
    slugs: list[str] = []
    make = making.make_record

    def noting(*arguments: object) -> object:
        slugs.append(arguments[0].slug)  # type: ignore[attr-defined]
        return make(*arguments)  # type: ignore[arg-type]

    monkeypatch.setattr(making, "make_record", noting)

    def run() -> list[str]:
        slugs.clear()
        read(project / "handbook", Cache(tmp_path / "store"))
        return list(slugs)

    exercises = project / "handbook" / "exercises"
    text = (exercises / "low-tide.md").read_text(encoding="utf-8")
    (exercises / "high-tide.md").write_text(text.replace("Low tide", "High tide"), "utf-8")
    assert run() == ["high-tide", "low-tide"]
    return run


def test_while_nothing_changes_nothing_is_made(made: Made) -> None:
    assert made() == []


def test_one_edit_makes_one_record(made: Made, project: Path) -> None:
    file = project / "handbook" / "exercises" / "low-tide.md"
    file.write_text(file.read_text("utf-8").replace("Hum it", "Sing it"), "utf-8")
    assert made() == ["low-tide"]
    assert made() == []


@pytest.mark.parametrize("name", ["chorus.yml", "vocabulary.yml"])
def test_what_all_depend_on_makes_all_again(made: Made, project: Path, name: str) -> None:
    file = project / "handbook" / name
    text = file.read_text("utf-8")
    file.write_text(text.replace("Stop if", "Stop when").replace("Testing", "Tested"), "utf-8")
    assert made() == ["high-tide", "low-tide"]


def test_another_program_makes_all_again(made: Made, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(store, "program_hash", lambda: "another")
    assert made() == ["high-tide", "low-tide"]


def test_every_distribution_counts(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = dependencies.program_hash.__wrapped__()
    (tmp_path / "anything_at_all-1.0.dist-info").mkdir()
    monkeypatch.syspath_prepend(tmp_path)
    assert dependencies.program_hash.__wrapped__() != before


@pytest.mark.parametrize(
    "damage", [b"", b"x", b"\n", b"\n{}", b"\n[]\n", b"\nnull", b'\n{"slug": 1}']
)
def test_a_damaged_record_is_made_again(
    made: Made, damage: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    get = Cache.get
    monkeypatch.setattr(Cache, "get", lambda self, key: damage if get(self, key) else None)
    assert made() == ["high-tide", "low-tide"]


def test_swapped_records_are_made_again(made: Made, tmp_path: Path) -> None:
    one, other = (path for path in (tmp_path / "store").rglob("*/*"))
    first, second = one.read_bytes(), other.read_bytes()
    one.write_bytes(second)
    other.write_bytes(first)
    assert made() == ["high-tide", "low-tide"]


def test_another_score_makes_its_exercise_again(tmp_path: Path) -> None:
    root = tmp_path / "handbook"
    shutil.copytree(DEMO, root)
    cache = Cache(tmp_path / "store")
    before = read(root, cache).exercises["paired-oars"]
    score = root / "scores" / "paired-oars.musicxml"
    text = score.read_text("utf-8")
    score.write_text(text.replace("<step>E</step>", "<step>F</step>"), "utf-8")
    assert read(root, cache).exercises["paired-oars"].drawings != before.drawings
    score.unlink()
    assert "paired-oars" not in {
        slug for slug, exercise in read(root, cache).exercises.items() if exercise.facts
    }


@pytest.mark.parametrize(
    "environment", [{"TZ": "Pacific/Kiritimati"}, {"LC_ALL": "C", "PYTHONHASHSEED": "7"}]
)
def test_time_zone_locale_and_hash_seed_change_nothing(
    environment: dict[str, str], project: Path
) -> None:
    script = (
        "import sys\n"
        "from pathlib import Path\n"
        "from chorus_handbook.cache import Cache\n"
        "from chorus_handbook.entries.kinds import KINDS\n"
        "from chorus_handbook.pipeline import read\n"
        "from chorus_handbook.records import store\n"
        "root = Path(sys.argv[1])\n"
        "book = read(root)\n"
        "for record in store.records_of(root, book.config, Cache(None)):\n"
        "    kind = next(kind for kind in KINDS if kind.name == record.kind)\n"
        "    sys.stdout.buffer.write(store.written(record, kind))\n"
    )
    command = [sys.executable, "-c", script, str(project / "handbook")]
    outputs = {
        subprocess.run(command, capture_output=True, check=True, env={**os.environ, **more}).stdout
        for more in ({}, environment)
    }
    assert len(outputs) == 1
