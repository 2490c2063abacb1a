"""Settings with which the site would be wrong are refused, by every way of building it."""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from mkdocs.config import load_config

from chorus_handbook.mkdocs_plugin.settings import REFUSED, refusals

Run = Callable[..., tuple[int, str, str]]
DOCS = Path(__file__).parents[2] / "docs" / "site-settings.md"

#: What is changed in mkdocs.yml, what into, and what is said of it.
WRONG = [
    ("site_name:", "use_directory_urls: false\nsite_name:", "use_directory_urls: false"),
    ("docs_dir: handbook", "docs_dir: other", "docs_dir: other"),
    ("name: material", "name: mkdocs", "theme: mkdocs"),
    ("name: material", "name: material\n  language: xx", "theme.language: xx"),
    ("    - navigation.tabs", "    - navigation.instant", "theme.features: navigation.instant"),
    (
        "    - navigation.tabs",
        "    - navigation.instant.progress",
        "theme.features: navigation.instant.progress",
    ),
    ("  - chorus-handbook", "  - offline\n  - chorus-handbook", "plugins: offline"),
    (
        "  - chorus-handbook",
        "  - material/offline\n  - chorus-handbook",
        "plugins: offline",
    ),
    ("  - chorus-handbook", "  - chorus-handbook\n  - info", "plugins: info"),
    ("  - chorus-handbook", "  - chorus-handbook\n  - blog", "plugins: blog"),
    ("  - chorus-handbook", "  - chorus-handbook\n  - projects", "plugins: projects"),
    ("site_name:", "markdown_extensions: [attr_list]\nsite_name:", "markdown_extensions: "),
    ("site_name:", "nav: [index.md]\nsite_name:", "nav: "),
    ("site_name:", "exclude_docs: exercises/\nsite_name:", "exclude_docs: "),
    ("site_name:", "draft_docs: exercises/\nsite_name:", "draft_docs: "),
    ("site_name:", "theme:\n  name: material\nsite_name:", "repeated: theme"),
    ("name: material", "name: material\n  favicon: our.png", "theme.favicon: our.png"),
]
#: What people add to a site, and may.
FINE = [
    ("site_name:", "site_url: https://example.org/choir/\nsite_name:"),
    ("site_name:", "hooks: [hook.py]\nsite_name:"),
    ("site_name:", "extra_css: [ours.css]\nsite_name:"),
    ("site_name:", "not_in_nav: x.md\nsite_name:"),
    ("site_name:", "strict: true\nsite_name:"),
    ("name: material", "name: material\n  language: de"),
    ("name: material", "name: material\n  custom_dir: theme"),
    ("name: material", "name: material\n  favicon: sign.png"),
    ("    - navigation.tabs", "    - navigation.footer"),
    ("  - chorus-handbook", "  - chorus-handbook\n  - tags"),
    ("  - chorus-handbook", "  - chorus-handbook\n  - privacy:\n      enabled: false"),
]


@pytest.fixture
def changed(project: Path) -> Callable[[str, str], Path]:
    def change(old: str, new: str) -> Path:
        for folder in ("other", "theme"):
            (project / folder).mkdir()
        (project / "hook.py").write_text("", encoding="utf-8")
        (project / "handbook" / "static").mkdir(exist_ok=True)
        (project / "handbook" / "static" / "sign.png").write_bytes(b"\x89PNG\r\n\x1a\n")
        file = project / "mkdocs.yml"
        text = file.read_text(encoding="utf-8")
        assert old in text
        file.write_text(text.replace(old, new, 1), encoding="utf-8")
        return project

    return change


@pytest.mark.parametrize(("old", "new", "message"), WRONG, ids=lambda text: text[:30])
def test_a_build_refuses_it_before_any_work(
    changed: Callable[[str, str], Path], handbook: Run, old: str, new: str, message: str
) -> None:
    project = changed(old, new)
    for command in (("build",), ("serve", "--address", "127.0.0.1:0")):
        code, out, err = handbook("--project", project, *command)
        line = err.splitlines()[0]
        assert (code, out) == (1, "")
        assert line.startswith(f"handbook {command[0]}: mkdocs.yml: {message}")
        assert re.search(r"\. (Delete|Write) [^.]+\.$", line), "what to do comes last"
    assert not (project / "site").exists()


@pytest.mark.parametrize(("old", "new", "message"), [WRONG[0], WRONG[6], WRONG[11]])
def test_mkdocs_refuses_it_too(
    changed: Callable[[str, str], Path], old: str, new: str, message: str
) -> None:
    project = changed(old, new)
    (project / "site").mkdir()
    (project / "site" / "old.html").write_text("old", encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-m", "mkdocs", "build"],
        cwd=project,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 1 and f"mkdocs.yml: {message}" in done.stdout + done.stderr
    assert "Traceback" not in done.stderr
    assert (project / "site" / "old.html").read_text() == "old"


@pytest.mark.parametrize(("old", "new"), FINE, ids=lambda text: text[:30])
def test_what_does_no_harm_is_left_alone(
    changed: Callable[[str, str], Path], old: str, new: str
) -> None:
    assert refusals(load_config(str(changed(old, new) / "mkdocs.yml"))) == []


def test_every_row_is_tried_and_explained() -> None:
    text = DOCS.read_text(encoding="utf-8")
    for row in REFUSED:
        assert any(message.startswith(f"{row.name}:") for _, _, message in WRONG)
        assert f"`{row.name}" in text, row.name
    for _, _, message in WRONG:
        assert message.partition(": ")[2].split(".progress")[0] in text
