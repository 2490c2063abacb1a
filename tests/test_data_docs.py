"""docs/data.md lists every data file of a built site, with its fields and its version."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

TEXT = (Path(__file__).parent.parent / "docs" / "data.md").read_text(encoding="utf-8")
FILES = re.findall(r"^\| `([^`]+\.[^`]+)` \|", TEXT.partition("\n## ")[0], re.MULTILINE)
#: What is no data: pages, scripts, styles, pictures, letters and their licence.
NO_DATA = {".html", ".js", ".css", ".map", ".png", ".svg", ".woff2", ".txt"}
#: Where `tracks` in mkdocs.yml or `indexed` in chorus.yml asks for it; the demo does not.
ON_REQUEST = {"assets/handbook/SLUG/SLUG-VOICE.mp3", "sitemap.xml", "sitemap.xml.gz"}
SECTIONS = dict(re.findall(r"^## (\S+\.json)\n(.*?)(?=^## |\Z)", TEXT, re.MULTILINE | re.DOTALL))


def fields(name: str) -> set[str]:
    """The words in backquotes of a section's text and of the first column of its table."""
    lines = SECTIONS[name].splitlines()
    rows = [line.split("|")[1] for line in lines if line.startswith("|")]
    return set(re.findall(r"`(\w+)`", "\n".join(rows)))


def data(site: Path, name: str) -> Any:
    return json.loads((site / "assets" / "handbook" / name).read_text(encoding="utf-8"))


def test_the_list_is_what_a_site_holds(demo_site: Path) -> None:
    slugs = {path.stem for path in (demo_site.parent / "handbook" / "exercises").glob("*.md")}
    found = set()
    for path in demo_site.rglob("*"):
        if path.is_file() and path.suffix not in NO_DATA:
            parts = path.relative_to(demo_site).as_posix().split("/")
            named = ["SLUG" if part in slugs else part for part in parts]
            named[-1] = "SLUG.mid" if path.suffix == ".mid" else named[-1]
            found.add("/".join(named))
    assert found == set(FILES) - ON_REQUEST


@pytest.mark.parametrize(
    "name", ["exercises", "notes", "index", "planning", "site-files", "instrument"]
)
def test_the_versions_are_those_of_the_files(demo_site: Path, name: str) -> None:
    content = data(demo_site, "slipway/notes.json" if name == "notes" else f"{name}.json")
    assert next(iter(content)) == "version"
    assert f"`{name}.json` {content['version']}" in TEXT


def test_every_field_is_explained(demo_site: Path) -> None:
    exercises = data(demo_site, "exercises.json")["exercises"]
    assert fields("exercises.json") == {name for one in exercises for name in one}
    files = sorted((demo_site / "assets" / "handbook").glob("*/notes.json"))
    notes = [json.loads(file.read_text(encoding="utf-8")) for file in files]
    assert fields("notes.json") == {name for one in notes for name in one}
    of_notes = {
        field
        for one in notes
        for voice in one["voices"]
        for note in voice["notes"]
        for field in note
    }
    paragraph = SECTIONS["notes.json"].split("A note has")[1]
    assert set(re.findall(r"`(\w+)`", paragraph)) == of_notes | {"graces"}  # none in the demo


def test_the_small_files_have_the_fields_that_are_named(demo_site: Path) -> None:
    index = data(demo_site, "index.json")
    named = set(re.findall(r"`([\w.]+)`", SECTIONS["index.json"]))
    ladders = [one["ladder"] for one in index["exercises"] if "ladder" in one]
    assert named == {
        *(f"ladder.{name}" for ladder in ladders for name in ladder),
        *(name for name in index if name != "version"),
        *(name for voice in index["voices"].values() for name in voice),
        *index["words"],
        *index["log"],
        *(name for one in index["exercises"] for name in one),
    }
    planning = data(demo_site, "planning.json")
    assert fields("planning.json") == {
        *(name for name in planning if name != "version"),
        *(name for one in planning["exercises"].values() for name in one),
    }
    files = data(demo_site, "site-files.json")["files"]
    assert set(re.findall(r"`(\w+)`", SECTIONS["site-files.json"])) == {
        "files",
        *(name for one in files.values() for name in one),
    }
