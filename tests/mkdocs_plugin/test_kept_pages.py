"""Finished pages kept from build to build: whatever happens between two builds, the site is byte
for byte that of a build from nothing."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, rule

from chorus_handbook import pipeline
from chorus_handbook.cache import Cache
from chorus_handbook.cli import main
from chorus_handbook.mkdocs_plugin import kept_pages, plugin
from chorus_handbook.mkdocs_plugin.run import build_site, requested_site

KEPT, NOTHING = "kept.yml", "nothing.yml"
TITLES = ("Low tide", "Spring tide", "Neap tide", "Slack water", "Ebb & flow", "“Flood”")
LINES = ("all: 1 2 3 2 | 1 - - 0 |", "all: 3 2 1 2 | 3 - - 0 |", "soprano: 5 4 3 2 | 1 - - - |")
EXERCISE = """---
title: {title}
summary: {summary}
goals: [{goals}]
impact: 2
sounding: hum
minutes: 2
tempo: 84
keys: C4 up to C#4
{more}---
## Say
{text}

```degrees
{line}
```
"""


def tree(folder: Path) -> dict[str, bytes]:
    """Every file of a site, by its path."""
    files = (path for path in sorted(folder.rglob("*")) if path.is_file())
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in files}


class Project:
    """A project that is built on what was kept, or from nothing; and by the command, in place of
    the site before."""

    def __init__(self, folder: Path, source: Path) -> None:
        shutil.copytree(source / "handbook", folder / "handbook")
        self.folder = folder
        self.root = folder / "handbook"
        self.configure((source / "mkdocs.yml").read_text("utf-8"))

    def configure(self, config: str) -> None:
        """Take this for mkdocs.yml, with one store to keep and one to throw away."""
        self.config = config
        for name, store in ((KEPT, "kept"), (NOTHING, "thrown-away")):
            own = f"- chorus-handbook:\n      cache_dir: {store}"
            text = config.replace("- chorus-handbook", own) + "\nsite_dir: published\n"
            (self.folder / name).write_text(text, "utf-8")

    def build(self, config: str, store: str) -> dict[str, bytes] | None:
        """The site; None where the handbook has errors."""
        cache = Cache(self.folder / store)
        book = pipeline.build(self.root, cache)
        if book.broken:
            return None
        out = self.folder / "site"
        build_site(requested_site(self.folder / config), out, book, strict=False)
        found = tree(out)
        shutil.rmtree(out)
        return found

    def kept(self) -> dict[str, bytes] | None:
        return self.build(KEPT, "kept")

    def command(self) -> dict[str, bytes] | None:
        """What `handbook build` publishes in place of the last site; None where there are
        errors."""
        shutil.copy(self.folder / KEPT, self.folder / "mkdocs.yml")
        code = main(["--project", str(self.folder), "build"])
        return None if code else tree(self.folder / "published")

    def from_nothing(self) -> dict[str, bytes] | None:
        shutil.rmtree(self.folder / "thrown-away", ignore_errors=True)
        return self.build(NOTHING, "thrown-away")


@pytest.fixture
def built(project: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Project:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1700000000")
    (tmp_path / "here").mkdir()
    return Project(tmp_path / "here", project)


@pytest.fixture
def rendered(built: Project, monkeypatch: pytest.MonkeyPatch) -> Callable[[], list[str]]:
    """Builds; the pages that were rendered, not kept."""
    paths: list[str] = []
    save = kept_pages.KeptPages.save

    def noting(self: Any, plan: Any, *more: Any) -> None:
        paths.append(plan.path)
        save(self, plan, *more)

    monkeypatch.setattr(plugin.KeptPages, "save", noting)

    def run() -> list[str]:
        paths.clear()
        assert built.kept() is not None
        return sorted(paths)

    assert len(run()) == 12
    return run


def test_an_unchanged_site_renders_nothing(rendered: Callable[[], list[str]]) -> None:
    assert rendered() == []


def test_an_edit_renders_its_page_and_the_lists_it_stands_in(
    rendered: Callable[[], list[str]], built: Project
) -> None:
    file = built.root / "exercises" / "low-tide.md"
    file.write_text(file.read_text("utf-8").replace("summary: A hum", "summary: One hum"), "utf-8")
    assert rendered() == ["exercises/index.md", "exercises/low-tide.md", "goals/breath-flow.md"]


def test_an_edit_of_the_text_renders_its_page_only(
    rendered: Callable[[], list[str]], built: Project
) -> None:
    file = built.root / "exercises" / "low-tide.md"
    file.write_text(file.read_text("utf-8").replace("Hum as if", "Please hum as if"), "utf-8")
    assert rendered() == ["exercises/low-tide.md"]


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("site_name: Tidewater Chorus", "site_name: Seawater Chorus"),
        ("    - navigation.tabs\n", ""),
        ("generator: false", "generator: true"),
        ("font: false", "font: false\n  language: de"),
    ],
)
def test_another_frame_renders_every_page(
    rendered: Callable[[], list[str]], built: Project, old: str, new: str
) -> None:
    assert old in built.config
    built.configure(built.config.replace(old, new))
    assert len(rendered()) == 12
    assert built.kept() == built.from_nothing()


@pytest.mark.parametrize(
    ("config", "what"),
    [
        ("plugins:\n  - tags\n", "the plugin material/tags"),
        ("hooks: [own.py]\nplugins:\n", "the hook"),
        ("theme:\n  custom_dir: own\n", "templates of your own"),
    ],
)
def test_what_may_put_anything_into_pages_is_told_and_nothing_is_kept(
    built: Project, config: str, what: str, caplog: pytest.LogCaptureFixture
) -> None:
    (built.folder / "own").mkdir()
    (built.folder / "own.py").write_text("def on_post_page(output, **_):\n    return output\n")
    key = config.split(":", maxsplit=1)[0] if not config.startswith("hooks") else "plugins"
    built.configure(built.config.replace(f"{key}:\n", config))
    with caplog.at_level("INFO", "mkdocs"):
        first = built.kept()
        assert built.kept() == first
    told = [record.message for record in caplog.records if "made again" in record.message]
    assert len(told) == 2 and what in told[0]


@pytest.mark.parametrize("what", ["page", "html"])
@pytest.mark.parametrize("damage", [b"", b"[]", b"x\n<html>", b"[]\n\xff", b"0\n{}", b"\xff\n[]"])
def test_a_damaged_page_is_rendered_again(
    built: Project, damage: bytes, what: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    expected = built.kept()
    key, get = Cache.key, Cache.get
    keys: set[str] = set()

    def noting(*parts: str | bytes) -> str:
        made = key(*parts)
        if parts[0] == what:
            keys.add(made)
        return made

    monkeypatch.setattr(Cache, "key", noting)
    monkeypatch.setattr(Cache, "get", lambda self, k: damage if k in keys else get(self, k))
    assert built.kept() == expected
    assert keys


slugs = st.sampled_from(["low-tide", "ebb", "neap", "slack"])


class Author(RuleBasedStateMachine):
    """Edits, renames and deletes, changes menu, vocabulary and configuration, and builds."""

    source: Path

    @initialize()
    def begin(self) -> None:
        self._holder = tempfile.TemporaryDirectory()
        self.project = Project(Path(self._holder.name) / "p", self.source)
        self.project.kept()

    @rule(
        slug=slugs,
        title=st.sampled_from(TITLES),
        summary=st.sampled_from(["A hum.", 'Sing "ah" & <b>']),
        goals=st.sampled_from(["breath-flow", "resonance", "resonance, breath-flow"]),
        more=st.sampled_from(["", "related: [low-tide]\n", "leads_to: [ebb]\n", "cue: tide\n"]),
        text=st.sampled_from(["Hum.", "Hum *well*.", "See [it](low-tide.md)."]),
        line=st.sampled_from(LINES),
    )
    def write(self, slug: str, **parts: str) -> None:
        text = EXERCISE.format(**parts)
        (self.project.root / "exercises" / f"{slug}.md").write_text(text, "utf-8")

    @rule(slug=slugs)
    def delete(self, slug: str) -> None:
        (self.project.root / "exercises" / f"{slug}.md").unlink(missing_ok=True)

    @rule(slug=slugs, other=slugs)
    def rename(self, slug: str, other: str) -> None:
        file = self.project.root / "exercises" / f"{slug}.md"
        if file.exists():
            file.rename(file.with_name(f"{other}.md"))

    @rule(label=st.sampled_from(["Breath flow", "Flow of breath"]))
    def call_a_goal(self, label: str) -> None:
        file = self.project.root / "vocabulary.yml"
        lines = file.read_text("utf-8").split("\n")
        lines[1] = f"  breath-flow: {{label: {label}, about: Air that moves evenly.}}"
        file.write_text("\n".join(lines), "utf-8")

    @rule(text=st.sampled_from(["", "# Notes\n\nOurs.\n", "# Notes\n\nTheirs.\n", "# Words\n"]))
    def write_a_page(self, text: str) -> None:
        file = self.project.root / "notes.md"
        if text:
            file.write_text(text, "utf-8")
        else:
            file.unlink(missing_ok=True)

    @rule(impact=st.sampled_from(["2", "1-2"]), title=st.sampled_from(["Low", "Easy <i>"]))
    def save_a_list(self, impact: str, title: str) -> None:
        view = f"- {{slug: low, title: {title}, intro: x, where: {{impact: {impact}}}}}\n"
        (self.project.root / "views.yml").write_text(view, "utf-8")

    @rule(name=st.sampled_from(["Tidewater Chorus", "Seawater Chorus"]))
    def call_the_site(self, name: str) -> None:
        lines = self.project.config.split("\n")
        self.project.configure("\n".join([f"site_name: {name}", *lines[1:]]))

    @rule()
    def build(self) -> None:
        expected = self.project.from_nothing()
        assert self.project.kept() == expected
        assert self.project.command() == expected

    @rule(damage=st.sampled_from(["site", "page", "store"]))
    def lose(self, damage: str) -> None:
        """What may be deleted at any time."""
        published = self.project.folder / "published"
        if damage == "page":
            (published / "exercises" / "index.html").unlink(missing_ok=True)
        else:
            gone = published if damage == "site" else self.project.folder / ".cache"
            shutil.rmtree(gone, ignore_errors=True)

    def teardown(self) -> None:
        if hasattr(self, "project"):
            self.build()
            self._holder.cleanup()


def test_whatever_an_author_does(project: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1700000000")
    monkeypatch.setattr(Author, "source", project, raising=False)
    Author.TestCase.settings = settings(
        max_examples=4,
        stateful_step_count=12,
        deadline=None,
        suppress_health_check=list(HealthCheck),
    )
    Author.TestCase().runTest()
