"""The README keeps up with the commands and says what a newcomer needs."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from checked import Checked, checked
from chorus_handbook.commands import MODULES
from chorus_handbook.entries.model import FrontMatter

PROJECT = Path(__file__).parent.parent
README = (PROJECT / "README.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("command", MODULES)
def test_every_command_is_in_the_readme(command: str) -> None:
    assert f"`handbook {command}" in README


def test_the_readme_opens_with_the_job_in_one_paragraph() -> None:
    title, paragraph, *_ = README.split("\n\n")
    assert title == "# Chorus Handbook"
    assert 60 <= len(paragraph.split()) <= 120


def test_the_commands_of_the_readme_are_scripts_that_exist() -> None:
    for script in (".ci/site", ".ci/test"):
        assert f"bash {script}" in README and (PROJECT / script).is_file()


def test_the_example_of_the_readme_draws_no_problem(demo: Checked, tmp_path: Path) -> None:
    """Not even a notice, in the handbook that the README has a newcomer build."""
    (example,) = re.findall(r"^````markdown\n(.*?)^````$", README, re.M | re.S)
    root = tmp_path / "handbook"
    shutil.copytree(demo.root, root)
    (root / "exercises" / "slack-water.md").write_text(example, encoding="utf-8")
    book = checked(root, demo.cache)
    assert list(book.problems) == []
    assert "slack-water" in book.facts


@pytest.mark.parametrize("field", FrontMatter.model_fields)
def test_every_field_is_explained_to_authors(field: str) -> None:
    guide = (PROJECT / "docs" / "writing" / "front-matter.md").read_text(encoding="utf-8")
    assert f"`{field}`" in guide


def test_local_links_of_the_documents_lead_somewhere() -> None:

    for file in [PROJECT / "README.md", PROJECT / "DEVELOPERS.md", *PROJECT.glob("docs/**/*.md")]:
        text = file.read_text(encoding="utf-8")
        text = re.sub(r"```.*?```|`[^`\n]*`", "", text, flags=re.S)  # code shows links, has none
        for target in re.findall(r"\]\(([^)#\s]+)(?:#[^)]*)?\)", text):
            if "://" not in target:
                assert (file.parent / target).exists(), f"{file.name}: {target}"
