"""Pages that authors write whole."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from chorus_handbook.cache import Cache
from chorus_handbook.chorus import ChorusConfig
from chorus_handbook.entries.model import Text
from chorus_handbook.problems import Problem
from chorus_handbook.records import records_of


def read_pages(root: Path) -> tuple[list[Text[Any]], list[Problem]]:
    """Every page of a handbook, without its settings."""
    records = [r for r in records_of(root, ChorusConfig(), Cache(None)) if r.kind == "page"]
    texts = [record.content for record in records if isinstance(record.content, Text)]
    return texts, [problem for record in records for problem in record.problems]


@pytest.mark.parametrize(
    ("text", "title", "first"),
    [
        ("---\ntitle: Care\n---\nBody", "Care", "Body"),
        ("# Care\n\nBody", "Care", "Body"),
        ("---\ntitle: Care\n---\n# Care\n\nBody", "Care", "Body"),
        ("Body", "Voice care", "Body"),
        ("---\ntitle: Care\n---\n# Other\n\nBody", "Care", "Other"),
    ],
)
def test_a_page_has_one_title(tmp_path: Path, text: str, title: str, first: str) -> None:
    (tmp_path / "voice-care.md").write_text(text, encoding="utf-8")
    pages, problems = read_pages(tmp_path)
    assert problems == []
    (page,) = pages
    assert (page.page, page.title) == ("voice-care.md", title)
    section = page.source.body.sections[0]
    assert section.heading == first or section.html == f"<p>{first}</p>"


def test_a_page_whose_fields_are_wrong_can_be_shown_without_them(tmp_path: Path) -> None:
    (tmp_path / "a.md").write_text("---\ntitel: B\n---\n# Care\n\nBody", encoding="utf-8")
    (page,), (problem,) = read_pages(tmp_path)
    assert (page.title, problem.code, problem.place.line) == ("Care", "field-unknown", 2)


def test_a_page_without_fields_is_not_asked_for_those_of_an_exercise(tmp_path: Path) -> None:
    (tmp_path / "a.md").write_text("---\n---\nBody", encoding="utf-8")
    _, (problem,) = read_pages(tmp_path)
    assert problem.hint == 'Write one field on each line, or delete the two lines "---".'


def test_exercises_and_hidden_files_are_no_pages(tmp_path: Path) -> None:
    for name in ("exercises/a.md", "warmups/b.md", ".notes/c.md", "more/d.md"):
        (tmp_path / name).parent.mkdir()
        (tmp_path / name).write_text("Body")
    pages, _ = read_pages(tmp_path)
    assert [page.page for page in pages] == ["more/d.md"]


@pytest.mark.parametrize(
    ("name", "text", "code"),
    [
        ("goals/a.md", "Body", "file-name"),
        ("a.md", "x <script>y</script>", "html-unsafe"),
        ("a.md", "[x](javascript:y)", "link-unsafe"),
        ("a.md", "---\ntitel: A\n---\n", "field-unknown"),
        ("a.md", "---\ntitle: A\n", "front-matter"),
        ("a.md", "[" * 9000, "markdown-depth"),
    ],
)
def test_what_is_wrong_is_a_problem(tmp_path: Path, name: str, text: str, code: str) -> None:
    (tmp_path / name).parent.mkdir(exist_ok=True)
    (tmp_path / name).write_text(text, encoding="utf-8")
    _, problems = read_pages(tmp_path)
    assert code in {problem.code for problem in problems}


@pytest.mark.parametrize(
    ("names", "refused"),
    [
        (["README.md"], "README.md"),  # MkDocs publishes it as the folder's first page
        (["more/README.md"], "more/README.md"),
        (["a.md", "a/index.md"], "a.md"),
        (["exercises.md"], "exercises.md"),
        (["404.html.md"], "404.html.md"),
        (["sitemap.xml.md"], "sitemap.xml.md"),
        (["index.md", "a.md", "a/b.md", "b/index.md"], None),
    ],
)
def test_no_page_takes_the_place_of_another(
    tmp_path: Path, names: list[str], refused: str | None
) -> None:
    for name in names:
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text("Body", encoding="utf-8")
    _, problems = read_pages(tmp_path)
    expected = [("file-name", f"{tmp_path.name}/{refused}", 1)] if refused else []
    assert [(p.code, p.place.path, p.place.line) for p in problems] == expected
