"""The handbook through MkDocs itself: `mkdocs build` and `mkdocs serve`, without our command."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import jsonschema
import pytest
from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo
from mkdocs.config import load_config
from mkdocs.structure.files import File

from chorus_handbook import catalogue
from chorus_handbook.bench.reload import free_port
from chorus_handbook.mkdocs_plugin import handbook_page, plugin
from chorus_handbook.records.manifest import SITE_FILES


def mkdocs(project: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "mkdocs", *arguments],
        cwd=project,
        capture_output=True,
        text=True,
        check=False,
    )


def break_impact(project: Path) -> None:
    exercise = project / "handbook" / "exercises" / "low-tide.md"
    text = exercise.read_text(encoding="utf-8")
    exercise.write_text(text.replace("impact: 2", "impact: 7"), encoding="utf-8")


def test_mkdocs_build_works_without_our_command(project: Path) -> None:
    done = mkdocs(project, "build", "--strict")
    assert done.returncode == 0, done.stderr
    page = (project / "site" / "exercises" / "low-tide" / "index.html").read_text(encoding="utf-8")
    assert "<h1>Low tide</h1>" in page and "hb-figure" in page


def test_mkdocs_build_makes_tracks_too(project: Path) -> None:
    config = project / "mkdocs.yml"
    text = config.read_text(encoding="utf-8")
    config.write_text(text.replace("- chorus-handbook", "- chorus-handbook:\n      tracks: true"))
    assert mkdocs(project, "build").returncode == 0
    made = sorted(path.name for path in (project / "site").rglob("*.mp3"))
    assert made == [f"low-tide-{voice}.mp3" for voice in ("alto", "bass", "soprano", "tenor")]


def test_mkdocs_build_refuses_errors_before_it_empties_the_old_site(project: Path) -> None:
    assert mkdocs(project, "build").returncode == 0
    page = project / "site" / "exercises" / "low-tide" / "index.html"
    before = page.read_bytes()
    break_impact(project)
    done = mkdocs(project, "build")
    assert done.returncode == 1
    message = done.stdout + done.stderr
    assert "handbook/exercises/low-tide.md:5:9: error[field-value]" in message
    assert "Traceback" not in message
    assert page.read_bytes() == before


def test_authors_files_are_not_published(project: Path) -> None:
    scores = project / "handbook" / "scores"
    scores.mkdir()
    (scores / "a.musicxml").write_text("<score/>")
    (project / "handbook" / "notes.txt").write_text("private")
    (project / "handbook" / "picture.png").write_bytes(b"\x89PNG")
    (project / "secret.png").write_bytes(b"\x89PNG")
    link = project / "handbook" / "linked.png"
    link.symlink_to(project / "secret.png")
    done = mkdocs(project, "build")
    assert done.returncode == 1 and "handbook/linked.png:1:1: error[file-place]" in done.stdout
    assert not (project / "site").exists()
    # Should a link get past that, it is not published all the same.
    root = link.parent.resolve()
    assert not handbook_page._published(File("linked.png", str(root), "site", True), root)
    assert handbook_page._published(File("picture.png", str(root), "site", True), root)
    link.unlink()
    assert mkdocs(project, "build").returncode == 0
    published = {p.relative_to(project / "site").as_posix() for p in (project / "site").rglob("*")}
    assert "picture.png" in published
    assert not published & {"chorus.yml", "notes.txt", "scores/a.musicxml"}
    assert not [p for p in published if p.endswith((".md", ".yml"))]


def test_the_data_for_other_programs_fits_its_schema(demo_site: Path) -> None:
    folder = demo_site / "assets" / "handbook"
    data = json.loads((folder / "exercises.json").read_text(encoding="utf-8"))
    schema = json.loads((folder / data["schema"]).read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(data, schema)
    assert [row["slug"] for row in data["exercises"]] == sorted(
        p.parent.name for p in (demo_site / "exercises").glob("*/index.html")
    )
    measured = {row["slug"]: row["facts"] for row in data["exercises"]}
    assert measured["dropping-anchor"]["voices"][0]["highest"] == "C5"


@contextmanager
def serving(project: Path) -> Iterator[str]:
    port = free_port()
    process = subprocess.Popen(
        [sys.executable, "-m", "mkdocs", "serve", "--dev-addr", f"127.0.0.1:{port}"],
        cwd=project,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        env={**os.environ, "PYTHONDONTWRITEBYTECODE": "1"},
    )
    try:
        yield f"http://127.0.0.1:{port}/"
    finally:
        process.terminate()
        process.wait(timeout=30)


def wait_for(url: str, text: str) -> str:
    """The page at `url` once it holds the text. Should it never, the runner ends the test."""
    while True:
        try:
            with urllib.request.urlopen(url, timeout=10) as answer:
                page = answer.read().decode()
        except OSError:
            page = ""
        if text in page:
            return page
        time.sleep(0.1)


def test_serve_shows_an_error_in_the_page_and_goes_on(project: Path) -> None:
    exercise = project / "handbook" / "exercises" / "low-tide.md"
    good = exercise.read_text(encoding="utf-8")
    (project / "handbook" / "static" / ".well-known").mkdir(parents=True)
    (project / "handbook" / "static" / ".well-known" / "security.txt").write_text("Contact: us")
    with serving(project) as url:
        assert wait_for(url + ".well-known/security.txt", "Contact: us")
        wait_for(url + "exercises/low-tide/", "<h1>Low tide</h1>")
        break_impact(project)
        page = wait_for(url, "hb-problems")
        assert "low-tide.md:5:9" in page and "1 error." in page
        exercise.write_text(good.replace("Low tide", "High tide"), encoding="utf-8")
        page = wait_for(url + "exercises/low-tide/", "<h1>High tide</h1>")
        assert "hb-problems" not in page
        (project / "handbook" / "chorus.yml").write_text("name: [", encoding="utf-8")
        page = wait_for(url, "hb-problems")
        assert "chorus.yml:1" in page


def test_only_the_theme_and_the_site_itself_are_asked_for(demo_site: Path) -> None:
    for file in demo_site.rglob("*.html"):
        text = file.read_text(encoding="utf-8")
        sources = re.findall(r'(?:src|href)="((?:https?:)?//[^"]+)"', text)
        loaded = [s for s in sources if not re.search(rf'<a [^>]*href="{re.escape(s)}"', text)]
        assert loaded == [], file


def test_static_files_stand_at_the_top_of_the_site(project: Path) -> None:
    static = project / "handbook" / "static"
    (static / ".well-known").mkdir(parents=True)
    files = {
        "CNAME": b"handbook.example.org\n",
        ".nojekyll": b"",
        ".well-known/security.txt": b"Contact: mailto:chorus@example.org\n",
        "favicon.png": b"\x89PNG\r\n\x1a\n",
    }
    for name, content in files.items():
        (static / name).write_bytes(content)
    done = mkdocs(project, "build", "--strict")
    assert done.returncode == 0, done.stderr
    site = project / "site"
    for name, content in files.items():
        assert (site / name).read_bytes() == content
    assert not (site / "static").exists()
    listed = json.loads((site / SITE_FILES).read_text())["files"]
    assert files.keys() <= listed.keys()


def test_mkdocs_build_lists_its_files_and_not_those_it_kept(project: Path) -> None:
    site = project / "site"
    (site / ".git").mkdir(parents=True)
    (site / ".git" / "config").write_text("[core]")
    assert mkdocs(project, "build").returncode == 0
    listed = json.loads((site / SITE_FILES).read_text())["files"]
    found = {p.relative_to(site).as_posix() for p in site.rglob("*") if p.is_file()}
    assert {*listed} == found - {SITE_FILES, ".git/config"}


@pytest.mark.parametrize(
    ("language", "in_config", "expected"),
    [("de", "", "de"), ("de", "fr", "fr"), ("en-XA", "", "en"), ("en", "", "en")],
)
def test_the_theme_speaks_the_handbooks_language(
    project: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    language: str,
    in_config: str,
    expected: str,
) -> None:
    """Unless mkdocs.yml chooses another, or the theme has no file for it."""
    for tag in ("de", "en-XA"):
        (tmp_path / "locale" / tag).mkdir(parents=True)
        with (tmp_path / "locale" / tag / "messages.mo").open("wb") as file:
            write_mo(file, Catalog(locale="de"))
    monkeypatch.setattr(catalogue, "FOLDER", tmp_path / "locale")
    chorus = project / "handbook" / "chorus.yml"
    chorus.write_text(f"{chorus.read_text('utf-8')}language: {language}\n", encoding="utf-8")
    config = load_config(str(project / "mkdocs.yml"))
    if in_config:
        config.theme["language"] = in_config
    ours = config.plugins["chorus-handbook"]
    assert isinstance(ours, plugin.ChorusHandbookPlugin)
    try:
        assert ours.on_config(config).theme["language"] == expected
    finally:
        catalogue.use(catalogue.ENGLISH)
