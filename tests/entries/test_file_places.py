"""Every file below the handbook is known, published, told, or somebody else's rubbish."""

from __future__ import annotations

from pathlib import Path

import pytest

from chorus_handbook.entries.file_places import PUBLISHED
from chorus_handbook.pipeline import check

SCORE = '<?xml version="1.0"?>\n<score-partwise version="4.0"/>\n'


def reported(project: Path) -> list[tuple[str, str, str]]:
    """Path, code, and message and hint of every problem."""
    return [
        (p.place.path.removeprefix("handbook/"), p.code, f"{p.message} {p.hint}")
        for p in check(project / "handbook")
    ]


def put(project: Path, name: str, content: str) -> Path:
    path = project / "handbook" / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(content, encoding="utf-8")
    return path


@pytest.mark.parametrize(
    "name",
    [
        "slipway.md",
        "slipway.txt",
        "slipway.md.txt",
        "slipway",
        "SLIPWAY.MD",
        "more/slipway.md",
        "Exercises/slipway.md",
        "exercises/slipway.txt",
        "exercises/slipway.md.txt",
        "exercises/slipway",
        "scores/slipway.md.txt",
    ],
)
def test_an_exercise_in_the_wrong_place_is_one_problem(project: Path, name: str) -> None:
    text = (project / "handbook" / "exercises" / "low-tide.md").read_text("utf-8")
    put(project, name, text.replace("Low tide", "Slipway"))
    ((path, code, words),) = reported(project)
    assert (path, code) == (name, "file-place")
    assert "looks like an exercise" in words and "handbook/exercises/slipway.md" in words


def test_an_exercise_in_a_folder_of_its_own_is_one_problem(project: Path) -> None:
    text = (project / "handbook" / "exercises" / "low-tide.md").read_text("utf-8")
    put(project, "exercises/sub/slipway.md", text.replace("Low tide", "Slipway"))
    ((path, code, words),) = reported(project)
    assert (path, code) == ("exercises/sub/slipway.md", "file-name")
    assert "exercises/slipway.md" in words


@pytest.mark.parametrize(
    ("name", "content", "place"),
    [
        ("views.yaml", "[]", "handbook/views.yml"),
        ("Views.yml", "[]", "handbook/views.yml"),
        ("views.yml.txt", "[]", "handbook/views.yml"),
        ("views", "[]", "handbook/views.yml"),
        ("chorus.yaml", "name: X", "handbook/chorus.yml"),
        ("exercises/vocabulary.yml", "goals: {}", "handbook/vocabulary.yml"),
        ("low.musicxml", SCORE, "scores/low.musicxml"),
        ("exercises/low.xml", SCORE, "scores/low.xml"),
        ("piano.sf2", "RIFF", "sounds/piano.sf2"),
        ("CNAME", "harbour.example", "static/CNAME"),
        ("robots.txt", "User-agent: *", "static/robots.txt"),
        ("favicon.ico", "x", "static/favicon.ico"),
        (".nojekyll", "", "static/.nojekyll"),
        ("page.markdown", "# Page", "page.md"),
        ("PAGE.MD", "# Page", "PAGE.md"),
        ("low.abc", "X:1\nK:C\n", "handbook import"),
    ],
)
def test_a_file_that_would_not_count_is_an_error(
    project: Path, name: str, content: str, place: str
) -> None:
    put(project, name, content)
    ((path, code, words),) = reported(project)
    assert (path, code) == (name, "file-place")
    assert place in words


def test_a_folder_for_the_web_server_is_told(project: Path) -> None:
    put(project, ".well-known/security.txt", "Contact: x")
    ((path, code, words),) = reported(project)
    assert (path, code) == (".well-known", "file-place") and "static/.well-known" in words


@pytest.mark.parametrize(
    "name",
    ["plans.docx", "exercises/notes.txt", "quay.svg", "extra.css", "song.mp3", "todo", "a.xml"],
)
def test_a_file_that_nothing_reads_is_a_notice(project: Path, name: str) -> None:
    put(project, name, "Something")
    ((path, code, _),) = reported(project)
    assert (path, code) == (name, "file-unknown")


@pytest.mark.parametrize(
    "name",
    [
        ".slipway.md.swp",
        "exercises/.DS_Store",
        "exercises/slipway.md~",
        "exercises/#slipway.md#",
        "exercises/~$slipway.docx",
        "Thumbs.db",
        "scores/desktop.ini",
        ".git/config",
        ".gitignore",
        "exercises/.gitkeep",
        "__MACOSX/exercises/a.md.txt",
        *(f"quay{ending}" for ending in sorted(PUBLISHED)),
        "exercises/plan.PDF",
        "static/robots.txt",
        "more/page.md",
    ],
)
def test_what_belongs_or_was_left_behind_is_not_told(project: Path, name: str) -> None:
    put(project, name, "title: Something")
    assert reported(project) == []


def test_scores_and_sound_fonts_that_nobody_names_are_told(project: Path) -> None:
    put(project, "scores/low.musicxml", SCORE)
    put(project, "sounds/piano.sf2", "RIFF\0\0\0\0sfbk")
    assert [(path, code) for path, code, _ in reported(project)] == [
        ("scores/low.musicxml", "file-unknown"),
        ("sounds/piano.sf2", "file-unknown"),
    ]
    with (project / "handbook" / "chorus.yml").open("a", encoding="utf-8") as file:
        file.write("sound_font: {file: sounds/piano.sf2}\n")
    assert [path for path, _, _ in reported(project)] == ["scores/low.musicxml"]
    # While an exercise cannot be read, nobody knows which scores it names.
    low_tide = project / "handbook" / "exercises" / "low-tide.md"
    low_tide.write_text(low_tide.read_text("utf-8").replace("impact: 2", "impact: 9"), "utf-8")
    assert "file-unknown" not in {code for _, code, _ in reported(project)}


def test_links_out_of_the_handbook_are_told(project: Path) -> None:
    (project / "outside").mkdir()
    (project / "outside" / "quay.png").write_bytes(b"x")
    (project / "handbook" / "quay.png").symlink_to(project / "outside" / "quay.png")
    (project / "handbook" / "lost.png").symlink_to(project / "nothing.png")
    (project / "handbook" / "pictures").symlink_to(project / "outside")
    assert [(path, code) for path, code, _ in reported(project)] == [
        ("lost.png", "file-place"),
        ("pictures", "file-place"),
        ("quay.png", "file-place"),
    ]


def test_many_unknown_files_are_not_told_one_by_one(project: Path) -> None:
    for number in range(200):
        put(project, f"pictures/{number}.svg", "x")
    assert 0 < len(reported(project)) <= 20
