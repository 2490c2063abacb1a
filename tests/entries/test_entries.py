"""A folder of exercises."""

from __future__ import annotations

from pathlib import Path

import pytest

from chorus_handbook.cache import Cache
from chorus_handbook.chorus import ChorusConfig
from chorus_handbook.entries.model import Entries
from chorus_handbook.pipeline import entries_of
from chorus_handbook.problems import Problem
from chorus_handbook.records import records_of

FIELDS = "title: {0}\nsummary: B\ngoals: [x]\nimpact: 2\nsounding: hum\nminutes: 1\n"
NOTES = "```degrees\nall: 1 2 3 4 |\n```\n"


def read_entries(root: Path) -> tuple[Entries, list[Problem]]:
    """Every exercise as it was written, without a chorus to measure it for."""
    records = tuple(records_of(root, ChorusConfig(), Cache(None)))
    return entries_of(records), [problem for record in records for problem in record.problems]


def write(root: Path, name: str, more: str = "", body: str = "Body\n") -> None:
    file = root / "exercises" / name
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_text(f"---\n{FIELDS.format(name)}{more}---\n{body}", encoding="utf-8")


def test_every_file_becomes_an_entry_in_order(tmp_path: Path) -> None:
    write(tmp_path, "b.md")
    write(tmp_path, "a.md")
    write(tmp_path, ".hidden.md")
    entries, problems = read_entries(tmp_path)
    assert problems == []
    assert [entry.slug for entry in entries.entries] == ["a", "b"]
    assert entries.slugs == {"a", "b"}


@pytest.mark.parametrize(
    ("name", "code", "words"),
    [
        ("Slack Water.md", "file-name", "slack-water.md"),
        ("9-lives.md", "file-name", "lives.md"),
        ("index.md", "file-name", "address"),
        ("more/c.md", "file-name", "exercises/"),
        ("A.md", "slug-twice", "another name"),
        ("more/a.md", "slug-twice", "another name"),
    ],
)
def test_file_names_are_addresses(tmp_path: Path, name: str, code: str, words: str) -> None:
    write(tmp_path, "a.md")
    write(tmp_path, name)
    entries, (problem,) = read_entries(tmp_path)
    assert [entry.slug for entry in entries.entries] == ["a"]
    assert problem.code == code and words in problem.message + problem.hint
    assert problem.place.path == f"{tmp_path.name}/exercises/{name}"


def test_notes_need_a_tempo_and_keys(tmp_path: Path) -> None:
    write(tmp_path, "a.md", body=NOTES)
    entries, problems = read_entries(tmp_path)
    assert [p.code for p in problems] == ["field-missing", "field-missing"]
    assert entries.entries == () and len(entries.sources) == 1


def test_a_file_with_broken_fields_keeps_its_notation(tmp_path: Path) -> None:
    write(tmp_path, "a.md", more="tempo: fast\nkeys: C4\n", body=NOTES)
    entries, problems = read_entries(tmp_path)
    assert [p.code for p in problems] == ["field-value"]
    assert entries.entries == () and entries.slugs == {"a"}
    assert entries.sources[0].notation
