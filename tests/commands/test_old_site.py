"""What a build finds where its site shall go: nothing of anybody else's is ever replaced."""

from __future__ import annotations

import json
import os
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from chorus_handbook.cache import Cache
from chorus_handbook.commands.old_site import find_foreign, read_old_site, remember
from chorus_handbook.commands.project import WrongUsageError
from chorus_handbook.records.manifest import SITE_FILES, Manifest, write_manifest

Run = Callable[..., tuple[int, str, str]]


def edit(project: Path) -> None:
    """So that there is something to build."""
    exercise = project / "handbook" / "exercises" / "low-tide.md"
    exercise.write_text(exercise.read_text("utf-8").replace("Hum as", "Hum, as"), "utf-8")


@pytest.fixture
def site(tmp_path: Path) -> Path:
    """A folder as a build leaves it."""
    folder = tmp_path / "site"
    (folder / "exercises").mkdir(parents=True)
    (folder / "index.html").write_text("home")
    (folder / "exercises" / "index.html").write_text("list")
    (folder / ".nojekyll").write_text("")
    write_manifest(folder, {".nojekyll"})
    return folder


def foreign(site: Path, new: dict[str, str] | None = None) -> dict[str, str]:
    """What a build would lose, with the reason; `new` are files of the new site."""
    listed = read_old_site(site, Cache(None))
    assert listed is not None

    def in_new(path: str, file: Path) -> bool | None:
        return file.read_text() == new[path] if new and path in new else None

    return {one.path: one.why for one in find_foreign(site, listed, in_new)}


def test_a_site_as_it_was_written_may_be_replaced(site: Path) -> None:
    assert foreign(site) == {}
    (site / "index.html").unlink()
    os.utime(site / "exercises" / "index.html", (1, 1))
    assert foreign(site) == {}


def test_every_other_file_is_named(site: Path) -> None:
    (site / "CNAME").write_text("example.org")
    (site / "exercises" / "notes.txt").write_text("mine")
    (site / "photos" / "a").mkdir(parents=True)
    (site / "index.html").write_text("HOME")
    (site / "linked").symlink_to(site / "index.html")
    (site / "folder").symlink_to(site / "exercises")
    os.mkfifo(site / "pipe")
    assert foreign(site) == {
        "CNAME": "unlisted",
        "exercises/notes.txt": "unlisted",
        "folder": "unlisted",
        "index.html": "changed",
        "linked": "unlisted",
        "photos/a/": "unlisted",
        "pipe": "unlisted",
    }


def test_what_the_new_site_has_too_is_not_lost(site: Path) -> None:
    (site / "CNAME").write_text("example.org")
    (site / "index.html").write_text("HOME")
    assert foreign(site, {"CNAME": "example.org", "index.html": "HOME"}) == {}
    assert foreign(site, {"CNAME": "example.com"}) == {"CNAME": "unlisted", "index.html": "changed"}


def test_hidden_files_at_the_top_are_carried_over_and_others_are_not(site: Path) -> None:
    (site / ".git").mkdir()
    (site / ".git" / "config").write_text("x")
    (site / ".well-known").mkdir()
    (site / ".well-known" / "token").write_text("x")
    (site / ".nojekyll").write_text("changed")
    assert foreign(site) == {}
    assert foreign(site, {".nojekyll": "", ".well-known/token": "y"}) == {
        ".nojekyll": "differs",
        ".well-known/token": "differs",
    }
    (site / "exercises" / ".DS_Store").write_text("how a folder was looked at")
    (site / "exercises" / ".htaccess").write_text("x")
    assert foreign(site) == {"exercises/.htaccess": "unlisted"}


def test_a_changed_file_shows_in_spite_of_the_cache(site: Path, tmp_path: Path) -> None:
    cache = Cache(tmp_path / "cache")
    remember(site, Manifest.of(site, {".nojekyll"}), cache)
    listed = read_old_site(site, cache)
    assert listed is not None and all(file.mtime_ns for file in listed.files.values())
    (site / "index.html").write_text("HOME")
    assert [one.path for one in find_foreign(site, listed, lambda *_: None)] == ["index.html"]
    write_manifest(site)  # as if another build had been here
    listed = read_old_site(site, cache)
    assert listed is not None and not any(file.mtime_ns for file in listed.files.values())


def test_an_unchanged_site_is_not_read_again(
    site: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    cache = Cache(tmp_path / "cache")
    remember(site, Manifest.of(site, {".nojekyll"}), cache)
    listed = read_old_site(site, cache)
    monkeypatch.setattr("chorus_handbook.records.manifest.digest", None)
    assert listed is not None and find_foreign(site, listed, lambda *_: None) == []


@pytest.mark.parametrize("names", [[], [".git"], [".git", ".gitattributes", ".nojekyll"]])
def test_a_folder_for_a_first_site(tmp_path: Path, names: list[str]) -> None:
    for name in names:
        (tmp_path / name).mkdir()
    assert read_old_site(tmp_path, Cache(None)) == Manifest({})
    assert read_old_site(tmp_path / "new", Cache(None)) is None


@pytest.mark.parametrize(
    ("files", "message"),
    [
        (["letter.txt"], "files that no build wrote"),
        (["sitemap.xml"], "files that no build wrote"),
        ([".bashrc"], "files that no build wrote"),
        (["index.html", "assets/handbook/exercises.json"], "by an earlier version"),
        ([SITE_FILES], "is damaged or was written by a later version"),
    ],
)
def test_a_folder_that_is_no_site_of_ours(tmp_path: Path, files: list[str], message: str) -> None:
    for name in files:
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_text("[]")
    with pytest.raises(WrongUsageError, match=message):
        read_old_site(tmp_path, Cache(None))


# -- the command --------------------------------------------------------------------------


def everything(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }


@pytest.fixture
def published(project: Path, handbook: Run) -> Path:
    """The site of the project, built."""
    assert handbook("--project", project, "build")[0] == 0
    return project / "site"


def test_what_no_build_wrote_stops_a_build_before_it_begins(
    project: Path, published: Path, handbook: Run
) -> None:
    (published / "CNAME").write_text("handbook.example.org\n")
    (published / "photos").mkdir()
    (published / "photos" / "pier.jpg").write_bytes(b"\xff\xd8")
    (published / "notes.txt").write_text("mine")
    (published / "index.html").write_text("changed")
    (published / "a\nb").write_text("")
    before = everything(published)
    code, out, err = handbook("--project", project, "build")
    assert (code, out) == (1, "")
    assert err.splitlines() == [
        f"handbook build: {published} contains files that no build wrote, and that a new site "
        "would replace:",
        "  CNAME",
        "    Move it to handbook/static/: every build then puts it into the site.",
        "  a�b",
        "    Move it to a place outside the site.",
        "  index.html (changed since it was built)",
        "    Make the change in the handbook, then delete this file: the build writes it again.",
        "  notes.txt",
        "    Move it to a place outside the site.",
        "  photos/pier.jpg",
        "    Move it to handbook/photos/pier.jpg: every build then puts it into the site.",
        "Nothing was published; if there is a site, it is unchanged.",
    ]
    assert everything(published) == before


def test_a_build_does_what_it_said_would_help(
    project: Path, published: Path, handbook: Run
) -> None:
    (project / "handbook" / "static").mkdir()
    (project / "handbook" / "photos").mkdir()
    for folder in (published, project / "handbook"):  # copied, not moved, is enough
        (folder / "photos").mkdir(exist_ok=True)
        (folder / "photos" / "pier.jpg").write_bytes(b"\xff\xd8")
    (published / "CNAME").write_text("handbook.example.org\n")
    (project / "handbook" / "static" / "CNAME").write_text("handbook.example.org\n")
    (published / ".git").mkdir()
    (published / ".git" / "config").write_text("[core]")
    code, _, err = handbook("--project", project, "build")
    assert code == 0, err
    found = everything(published)
    assert found["CNAME"] == b"handbook.example.org\n"
    assert found[".git/config"] == b"[core]"
    assert "photos/pier.jpg" in found


def test_what_comes_while_a_build_runs_stops_it_too(
    project: Path, published: Path, handbook: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    from chorus_handbook.mkdocs_plugin import run as run_module

    build_site = run_module.build_site

    def slowly(*arguments: Any, **options: Any) -> run_module.BuildResult:
        built = build_site(*arguments, **options)
        (published / "late.txt").write_text("late")
        return built

    edit(project)

    monkeypatch.setattr(run_module, "build_site", slowly)
    code, _, err = handbook("--project", project, "build")
    assert code == 1 and "  late.txt\n" in err
    assert everything(published)["late.txt"] == b"late"
    assert [path for path in project.iterdir() if path.name.startswith(".site-")] == []


def test_many_files_are_counted(project: Path, published: Path, handbook: Run) -> None:
    for number in range(200):
        (published / f"{number:03}.txt").write_text("x")
    code, _, err = handbook("--project", project, "build")
    assert code == 1 and "  and 190 more\n" in err and len(err.splitlines()) < 30


def test_the_site_of_an_earlier_version_is_taken_over_by_renaming(
    project: Path, published: Path, handbook: Run
) -> None:
    (published / SITE_FILES).unlink()
    before = everything(published)
    code, _, err = handbook("--project", project, "build")
    assert code == 2 and "an earlier version" in err and "Rename the folder" in err
    assert everything(published) == before
    published.rename(project / "site-old")
    assert handbook("--project", project, "build")[0] == 0


def test_a_link_to_the_site_stays_a_link(project: Path, handbook: Run) -> None:
    (project / "disk").mkdir()
    (project / "site").symlink_to(project / "disk")
    for _ in range(2):
        assert handbook("--project", project, "build")[0] == 0
        assert (project / "site").is_symlink() and (project / "disk" / "index.html").is_file()


@pytest.mark.parametrize("to", ["nowhere", "site"])
def test_a_link_that_leads_nowhere_is_refused(project: Path, handbook: Run, to: str) -> None:
    (project / "site").symlink_to(project / to)
    code, _, err = handbook("--project", project, "build")
    assert code == 2 and "leads nowhere" in err
    assert not (project / "nowhere").exists()


@pytest.fixture
def disk() -> Iterator[Callable[[Path], None]]:
    """Mounts a disk of its own at a folder."""
    mounted: list[Path] = []

    def mount(folder: Path) -> None:
        folder.mkdir(exist_ok=True)
        command = ["mount", "-t", "tmpfs", "tmpfs", str(folder)]
        if os.geteuid() or subprocess.run(command, capture_output=True, check=False).returncode:
            pytest.skip("nothing can be mounted here")
        mounted.append(folder)

    yield mount
    for folder in mounted:
        subprocess.run(["umount", str(folder)], check=True)


def test_another_disk_in_the_site_is_left_alone(
    project: Path, published: Path, handbook: Run, disk: Callable[[Path], None]
) -> None:
    disk(published / "search")  # over a folder of ours
    (published / "search" / "mine").write_text("mine")
    code, _, err = handbook("--project", project, "build")
    assert code == 1 and "  search/ (another disk)\n" in err
    assert (published / "search" / "mine").read_text() == "mine"


def test_a_site_that_is_a_disk_is_refused(
    project: Path, handbook: Run, disk: Callable[[Path], None]
) -> None:
    disk(project / "site")
    code, _, err = handbook("--project", project, "build")
    assert code == 2 and f"--site-dir {project / 'site' / 'handbook'}" in err
    assert handbook("--project", project, "build", "--site-dir", project / "site/handbook")[0] == 0


def test_a_site_whose_parent_is_a_file(project: Path, handbook: Run) -> None:
    code, _, err = handbook(
        "--project", project, "build", "--site-dir", project / "mkdocs.yml" / "site"
    )
    assert code == 1 and "mkdocs.yml: This is a file, not a folder\n" in err
    assert "Nothing was published" in err


def test_a_parent_that_may_not_be_written(
    project: Path, published: Path, handbook: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object, **options: object) -> str:
        raise PermissionError(13, "Permission denied", str(options["dir"]))

    edit(project)
    monkeypatch.setattr("tempfile.mkdtemp", refuse)
    before = everything(published)
    code, _, err = handbook("--project", project, "build")
    assert code == 1
    assert err.splitlines()[-2:] == [
        f"handbook build: {project}: Permission denied (a new site is built beside the old one)",
        "Nothing was published; if there is a site, it is unchanged.",
    ]
    assert everything(published) == before


def test_a_parent_that_may_not_be_written_is_told_before_the_work(
    project: Path, handbook: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("os.access", lambda path, _: Path(path) != project)
    code, out, err = handbook("--project", project, "build", "--site-dir", project / "a" / "b")
    assert (code, out) == (1, "")
    assert err.splitlines() == [
        f"handbook build: {project}: Permission denied (a new site is built beside the old one)",
        "Nothing was published; if there is a site, it is unchanged.",
    ]
    assert not (project / "a").exists()


def test_the_list_of_a_site_is_complete(published: Path) -> None:
    listed = json.loads((published / SITE_FILES).read_text())["files"]
    assert {*listed, SITE_FILES} == {*everything(published)}
