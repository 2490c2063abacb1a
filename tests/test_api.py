"""What other programs may import is documented, typed and light, and does what docs/api.md says."""

from __future__ import annotations

import contextlib
import dataclasses
import io
import re
import shutil
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any, assert_type

import pytest
from pydantic import BaseModel

import chorus_handbook
from chorus_handbook import (
    Chorus,
    Exercise,
    Facts,
    FrontMatter,
    Handbook,
    Ladder,
    Place,
    Problem,
    Rung,
    Text,
    Vocabulary,
    Voice,
    VoiceFacts,
    load,
)

PROJECT = Path(__file__).parent.parent
DOCS = (PROJECT / "docs" / "api.md").read_text(encoding="utf-8")
NAMES = dict(re.findall(r"^\| `(\w+)` \|[^|]*\|([^|]*)\|$", DOCS, re.MULTILINE))
PROGRAM = re.compile(r"^```python\n(.*?)^```\n+(?:```text\n(.*?)^```)?", re.MULTILINE | re.DOTALL)
PUBLIC = set(chorus_handbook._HOMES)


@pytest.fixture(scope="module")
def book(demo_site: Path) -> Handbook:
    return load(demo_site.parent, cache=demo_site.parent / ".cache" / "handbook")


def test_the_documented_names_are_the_public_ones() -> None:
    assert set(NAMES) == PUBLIC <= set(dir(chorus_handbook))


@pytest.mark.parametrize("name", sorted(PUBLIC))
def test_every_documented_attribute_is_there(name: str) -> None:
    kind = getattr(chorus_handbook, name)
    attributes = re.findall(r"`(\w+)`", re.sub(r"\([^)]*\)", "", NAMES[name]))
    assert bool(attributes) is (name != "load")
    known = {*dir(kind), *getattr(kind, "model_fields", {})}
    if dataclasses.is_dataclass(kind):
        known |= {field.name for field in dataclasses.fields(kind)}
    assert set(attributes) <= known
    assert isinstance(kind, type) or name == "load"


def use(book: Handbook) -> None:
    """Every public name with its type, for the type checkers; and for pytest, which runs it."""
    assert_type(book, Handbook)
    assert_type(book.exercises, Mapping[str, Exercise])
    assert_type(book.problems, tuple[Problem, ...])
    assert_type(book.broken, bool)
    assert_type(book.root, Path)
    assert_type(book.texts, tuple[Text[Any], ...])
    chorus, vocabulary = book.config.chorus, book.config.vocabulary
    assert chorus is not None and vocabulary is not None
    assert_type(chorus, Chorus)
    assert_type(vocabulary, Vocabulary)
    assert_type(chorus.voices, dict[str, Voice])
    exercise = book.exercises["slipway"]
    assert_type(exercise.front, FrontMatter)
    assert_type(exercise.front.goals, list[str])
    assert_type(exercise.front.level, int | None)
    facts, ladder = exercise.facts, exercise.ladder
    assert facts is not None and ladder is not None
    assert_type(facts, Facts)
    assert_type(facts.voices, tuple[VoiceFacts, ...])
    assert_type(facts.length_seconds, float)
    assert_type(ladder, Ladder)
    assert_type(ladder.rungs, tuple[Rung, ...])
    assert_type(ladder.last_for_all, int | None)
    for problem in book.problems:
        assert_type(problem.place, Place)
        assert_type(problem.place.line, int)


def test_everything_is_of_its_type(book: Handbook) -> None:
    use(book)
    assert isinstance(book, Handbook) and isinstance(book.config.chorus, Chorus)
    assert isinstance(book.config.vocabulary, Vocabulary)
    assert {type(voice) for voice in book.config.chorus.voices.values()} == {Voice}
    assert {type(text) for text in book.texts} == {Text}
    exercise = book.exercises["slipway"]
    assert isinstance(exercise, Exercise) and isinstance(exercise.front, FrontMatter)
    assert isinstance(exercise.facts, Facts) and isinstance(exercise.ladder, Ladder)
    assert {type(voice) for voice in exercise.facts.voices} == {VoiceFacts}
    assert {type(rung) for rung in exercise.ladder.rungs} == {Rung}


def test_a_second_type_checker_agrees(tmp_path: Path) -> None:
    """ty, which shares no code with mypy, reads `use` above and the examples of the docs."""
    shutil.copy(__file__, tmp_path / "use.py")
    examples = "\n".join(code for code, _ in PROGRAM.findall(DOCS))
    # What may be None is left to the reader there, for the sake of a short example.
    (tmp_path / "examples.py").write_text(
        examples.replace(
            'book = load("handbook")\n',
            'book = load("handbook")\nassert book.config.chorus is not None\n',
        ),
        encoding="utf-8",
    )
    assert ty(tmp_path) == ""
    wrong = tmp_path / "examples.py"
    wrong.write_text(wrong.read_text("utf-8") + "book.exercise\nload(7)\n", encoding="utf-8")
    codes = re.findall(r"error\[([a-z-]+)\]", ty(tmp_path))
    assert len(codes) == 2 and "attribute" in codes[0] and "argument" in codes[1]


def ty(folder: Path) -> str:
    """What ty finds wrong in the files of a folder; empty if nothing."""
    command = [Path(sys.executable).with_name("ty"), "check", "--python", sys.prefix, "."]
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False)
    return done.stdout + done.stderr if done.returncode else ""


def test_the_examples_print_what_the_docs_show(
    demo_site: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(demo_site.parent)
    known: dict[str, Any] = {}
    cached = 'load("handbook", cache=".cache/handbook")'
    shown = 0
    for code, expected in PROGRAM.findall(DOCS):
        printed = io.StringIO()
        with contextlib.redirect_stdout(printed):
            exec(code.replace('load("handbook")', cached), known)
        assert not expected or printed.getvalue() == expected
        assert expected or printed.getvalue() or "problem" in code
        shown += bool(expected)
    assert shown >= 2


def test_importing_it_costs_nothing() -> None:
    script = (
        "import sys; before = set(sys.modules); import chorus_handbook\n"
        "from chorus_handbook import load\n"
        "print(*sorted(m for m in set(sys.modules) - before if '.' not in m))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    )
    ours = {"chorus_handbook", "__future__", "importlib", "typing"}
    light = {"contextlib", "functools", "collections", "operator", "keyword", "reprlib", "types"}
    assert {m for m in done.stdout.split() if not m.startswith("_")} <= ours | light | {
        *("re", "enum", "copyreg", "warnings", "pathlib", "fnmatch", "ntpath", "urllib", "errno"),
        *("ipaddress", "math", "itertools"),
    }


def test_a_folder_by_text_or_path_or_what_is_in_it(project: Path) -> None:
    for root in (project, str(project), project / "handbook"):
        assert [*load(root).exercises] == ["low-tide"]
    assert not (project / ".cache").exists()
    load(project, cache=str(project / "kept"))
    assert (project / "kept").is_dir()


def test_no_handbook_is_an_error(tmp_path: Path) -> None:
    for root in (tmp_path, tmp_path / "nowhere"):
        with pytest.raises(FileNotFoundError, match="no "):
            load(root)
    with pytest.raises(FileNotFoundError, match='nowhere"; correct its name'):
        load(tmp_path / "nowhere")


def test_what_is_wrong_is_told_and_not_raised(project: Path) -> None:
    path = project / "handbook" / "exercises" / "low-tide.md"
    path.write_text(path.read_text("utf-8").replace("impact: 2", "impact: 9"), encoding="utf-8")
    book = load(project)
    assert book.broken and not book.exercises
    assert [problem.code for problem in book.problems] == ["field-value"]


def test_a_name_that_is_not_there() -> None:
    with pytest.raises(AttributeError, match="no attribute 'unload'"):
        chorus_handbook.unload  # noqa: B018
    assert issubclass(FrontMatter, BaseModel)
