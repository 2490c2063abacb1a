"""A build of what has not changed does nothing, and one of what has changed says why."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from chorus_handbook.commands import last_build
from chorus_handbook.commands.last_build import LastBuild
from chorus_handbook.mkdocs_plugin import run as run_module
from chorus_handbook.records.manifest import SITE_FILES

Run = Callable[..., tuple[int, str, str]]
Build = Callable[..., tuple[bool, str, str]]
Built = Callable[[], dict[str, bytes]]
NOTHING = "Nothing has changed since the last build. The site is in "


@pytest.fixture
def build(project: Path, handbook: Run, monkeypatch: pytest.MonkeyPatch) -> Build:
    """Builds, from the second time on: whether there was something to do, and what was said."""
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1700000000")
    exercise(project).write_text(
        exercise(project).read_text("utf-8").replace("minutes: 2", "minutes: 0.1"), "utf-8"
    )

    def run(*options: str | Path) -> tuple[bool, str, str]:
        code, out, err = handbook("--project", project, "build", *options)
        assert code == 0, err
        return NOTHING not in err, out, err

    assert run()[0]
    return run


def exercise(project: Path) -> Path:
    return project / "handbook" / "exercises" / "low-tide.md"


def add(file: Path, text: str) -> None:
    with file.open("a", encoding="utf-8") as opened:
        opened.write(text)


def files_of(site: Path) -> dict[str, bytes]:
    return {
        path.relative_to(site).as_posix(): path.read_bytes()
        for path in sorted(site.rglob("*"))
        if path.is_file()
    }


@pytest.fixture
def from_nothing(project: Path, handbook: Run) -> Built:
    """Builds elsewhere, with nothing to go by: the files of the site."""

    def run() -> dict[str, bytes]:
        other = project.parent / "from-nothing"
        shutil.rmtree(other, ignore_errors=True)
        leave = shutil.ignore_patterns("site", ".cache")
        shutil.copytree(project, other, ignore=leave, symlinks=True)
        code, _, err = handbook("--project", other, "build")
        assert code == 0, err
        return files_of(other / "site")

    return run


@pytest.mark.usefixtures("build")
def test_while_nothing_changes_nothing_is_built_and_nothing_heavy_is_loaded(
    project: Path,
) -> None:
    before = {path: path.stat() for path in sorted((project / "site").rglob("*"))}
    script = (
        "import sys\n"
        "from chorus_handbook.cli import main\n"
        "code = main()\n"
        "print(sorted({name.partition('.')[0] for name in sys.modules}), file=sys.stderr)\n"
        "print(sorted(n for n in sys.modules if n.startswith('chorus_h')), file=sys.stderr)\n"
        "sys.exit(code)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script, "--project", str(project), "build"],
        capture_output=True,
        text=True,
        check=True,
    )
    message, modules, ours = done.stderr.rsplit("\n", 3)[:3]
    assert message.splitlines()[-1].startswith(NOTHING)
    assert "notice[minutes-claim]" in done.stdout and "1 notice." in message
    heavy = {"mkdocs", "pydantic", "jinja2", "yaml", "markupsafe", "numpy", "verovio", "lxml"}
    assert {*json.loads(modules.replace("'", '"'))} & heavy == set()
    assert "chorus_handbook.pipeline" not in ours and "chorus_handbook.report" not in ours
    assert {path: path.stat() for path in sorted((project / "site").rglob("*"))} == before


def test_the_same_is_said_as_in_the_build(project: Path, build: Build) -> None:
    add(project / "mkdocs.yml", "\nsurprise: 1\n")
    did, *first = build()
    again, *second = build()
    assert (did, again) == (True, False)
    assert "notice[minutes-claim]" in first[0] and first[0] == second[0]
    for line in ("mkdocs.yml: ", "1 notice."):
        assert [text for text in second[1].splitlines() if text.startswith(line)]


@pytest.mark.parametrize(
    ("change", "why"),
    [
        (lambda p: add(exercise(p), "\nMore.\n"), "handbook/exercises/low-tide.md has changed"),
        (lambda p: add(p / "handbook/notes.md", "# Notes\n\nOurs.\n"), "handbook/notes.md is new"),
        (lambda p: add(p / "handbook/static/CNAME", "a.example\n"), "handbook/static/CNAME is new"),
        (lambda p: add(p / "mkdocs.yml", "copyright: We\n"), "mkdocs.yml has changed"),
    ],
)
def test_every_change_builds_and_is_said(
    project: Path, build: Build, change: Callable[[Path], None], why: str, from_nothing: Built
) -> None:
    (project / "handbook" / "static").mkdir()
    change(project)
    did, out, _ = build("--why")
    assert did and out.splitlines()[0] == why
    assert files_of(project / "site") == from_nothing()
    assert not build("--why")[0]


def test_what_is_made_again_is_counted(project: Path, build: Build) -> None:
    other = exercise(project).with_name("ebb.md")
    text = exercise(project).read_text("utf-8")
    other.write_text(text.replace("Low tide", "Ebb").replace("1 2 3 2", "3 2 1 2"), "utf-8")
    before = max(path.stat().st_mtime_ns for path in (project / "site").rglob("*"))
    _, out, _ = build("--why")
    assert out.splitlines()[0] == "handbook/exercises/ebb.md is new"
    assert (
        "Made again: 1 record; 3 drawings of 1 exercise; the notes of 1 exercise; "
        "0 practice tracks; 7 of 13 pages." in out
    )
    listed = json.loads((project / "site" / SITE_FILES).read_text())["files"]
    written = {path for path in listed if (project / "site" / path).stat().st_mtime_ns > before}
    assert (
        f"Of {len(listed)} files, {len(listed) - len(written)} are shared with the old site, and "
        f"{len(written)} were written." in out
    )
    assert "exercises/ebb/index.html" in written and "voice-care/index.html" not in written


def test_an_option_and_a_date_count(
    project: Path, build: Build, monkeypatch: pytest.MonkeyPatch
) -> None:
    exercise(project).write_text(
        exercise(project).read_text("utf-8").replace("minutes: 0.1", "minutes: 2"), "utf-8"
    )
    assert build()[0] and build("--strict")[0] and not build("--strict")[0]
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1600000000")
    did, out, _ = build("--strict", "--why")
    assert did and "the date of the newest change differs\n" in out
    assert build("--strict", "--site-dir", project / "elsewhere")[0]
    assert not build("--strict", "--site-dir", project / "elsewhere")[0]


def test_another_site_in_its_place_is_built_again(
    project: Path, build: Build, from_nothing: Built
) -> None:
    """Of two builds of one folder, the last one's site stands there, not the one remembered."""
    original = exercise(project).read_bytes()
    add(exercise(project), "\nMore.\n")
    assert build("--site-dir", project / "site")[0]
    exercise(project).write_bytes(original)
    did, out, _ = build("--why")
    assert did and "The handbook has not changed, but files of the site were changed" in out
    assert files_of(project / "site") == from_nothing()


@pytest.mark.parametrize("damage", ["gone", "page gone", "touched", "list gone"])
def test_a_site_that_is_not_as_it_was_built_is_built_again(
    project: Path, build: Build, damage: str
) -> None:
    site = project / "site"
    expected = files_of(site)
    page = site / "exercises" / "low-tide" / "index.html"
    if damage == "gone":
        shutil.rmtree(site)
    elif damage == "page gone":
        page.unlink()
    elif damage == "touched":
        os.utime(page, (1, 1))
    else:
        shutil.rmtree(site)
        site.mkdir()
    assert build()[0] == (damage != "touched")  # then it is read, and found to be the same
    assert files_of(site) == expected


@pytest.mark.usefixtures("build")
def test_a_file_that_nobody_built_still_stops_a_build(project: Path, handbook: Run) -> None:
    (project / "site" / "mine.txt").write_text("mine")
    code, _, err = handbook("--project", project, "build")
    assert code == 1 and "  mine.txt\n" in err and NOTHING not in err
    (project / "site" / "mine.txt").unlink()
    page = project / "site" / "exercises" / "low-tide" / "index.html"
    time = page.stat().st_mtime_ns
    page.write_bytes(page.read_bytes().replace(b"Low tide", b"LOW TIDE"))
    os.utime(page, ns=(time - 10**9, time - 10**9))  # as by a clock that runs backwards
    code, _, err = handbook("--project", project, "build")
    assert code == 1 and "/low-tide/index.html (changed since it was built)\n" in err


@pytest.mark.parametrize(
    "config",
    [
        "extra:\n  note: !ENV [NOTE, none]\n",
        "hooks: [own.py]\n",
    ],
)
def test_what_depends_on_other_things_is_built_each_time(
    project: Path, build: Build, config: str
) -> None:
    (project / "own.py").write_text("def on_post_page(output, **_):\n    return output\n")
    text = (project / "mkdocs.yml").read_text("utf-8")
    key = config.partition(":")[0]
    if f"\n{key}:\n" in text:
        text = text.replace(f"\n{key}:\n", f"\n{config}")
        (project / "mkdocs.yml").write_text(text, "utf-8")
    else:
        add(project / "mkdocs.yml", config)
    assert build()[0]
    did, out, _ = build("--why")
    assert did and "The handbook has not changed, but something else may have." in out


def test_a_file_that_is_changed_and_changed_back_during_a_build_counts(
    project: Path, build: Build, monkeypatch: pytest.MonkeyPatch, from_nothing: Built
) -> None:
    """The build has seen the change; the next one must not think that it has seen the file."""
    file, page_text = project / "handbook" / "notes.md", "# Notes\n\nOurs.\n"
    file.write_text(page_text, "utf-8")
    start_build, build_site = last_build.start_build, run_module.build_site

    def change_after(*arguments: Any, **options: Any) -> Any:
        found = start_build(*arguments, **options)
        file.write_text(page_text.replace("Ours", "Yours"), "utf-8")
        return found

    def change_back(*arguments: Any, **options: Any) -> Any:
        built = build_site(*arguments, **options)
        file.write_text(page_text, "utf-8")
        return built

    monkeypatch.setattr("chorus_handbook.commands.build.start_build", change_after)
    monkeypatch.setattr(run_module, "build_site", change_back)
    assert build()[0]
    monkeypatch.undo()
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1700000000")
    assert b"Yours" in (project / "site" / "notes" / "index.html").read_bytes()
    assert build()[0]
    assert files_of(project / "site") == from_nothing()


def _other_version(stored: bytes) -> bytes:
    return json.dumps({**json.loads(stored), "colour": "blue"}).encode()


def _other_types(stored: bytes) -> bytes:
    return json.dumps({**json.loads(stored), "whole": "yes"}).encode()


def test_what_cannot_be_what_a_build_left_is_of_no_use(
    build: Build, monkeypatch: pytest.MonkeyPatch
) -> None:
    found: list[bytes] = []
    from_json = LastBuild.from_json
    monkeypatch.setattr(LastBuild, "from_json", lambda data: found.append(data) or from_json(data))
    assert not build()[0]
    assert from_json(found[0]) is not None
    stored = found[0]
    for damaged in (
        *(b"", stored[:-20], b"[]", b"null", b"[" * 100_000),
        *(b'{"inputs": null}', b'{"inputs": {"files": []}}'),
        *(_other_version(stored), _other_types(stored)),
    ):
        assert from_json(damaged) is None, damaged[:40]


def every_entry(project: Path) -> list[Path]:
    store = project / ".cache" / "handbook"
    return sorted(path for path in store.rglob("*") if path.is_file())


def _truncate(entries: list[Path]) -> None:
    for entry in entries:
        entry.write_bytes(entry.read_bytes()[:-1])


def _empty(entries: list[Path]) -> None:
    for entry in entries:
        entry.write_bytes(b"")


def _swap(entries: list[Path]) -> None:
    contents = [entry.read_bytes() for entry in entries]
    for entry, content in zip(entries, contents[1:] + contents[:1], strict=True):
        entry.write_bytes(content)


def _make_folders(entries: list[Path]) -> None:
    for entry in entries:
        entry.unlink()
        entry.mkdir()


def _remove(entries: list[Path]) -> None:
    for entry in entries:
        entry.unlink()


@pytest.mark.parametrize("damage", [_truncate, _empty, _swap, _make_folders, _remove])
def test_a_damaged_store_is_made_again(
    project: Path, build: Build, damage: Callable[[list[Path]], None]
) -> None:
    expected = files_of(project / "site")
    damage(every_entry(project))
    assert build()[0]
    assert files_of(project / "site") == expected
    shutil.rmtree(project / "site")
    damage(every_entry(project))
    assert build()[0]
    assert files_of(project / "site") == expected


def test_a_store_that_cannot_be_written_to_is_only_slow(project: Path, build: Build) -> None:
    expected = files_of(project / "site")
    shutil.rmtree(project / ".cache")
    (project / ".cache").write_text("a file where the store would be")
    for _ in range(2):
        assert build()[0]
        assert files_of(project / "site") == expected


@pytest.mark.parametrize("what", ["renamed", "a folder", "swapped"])
def test_files_that_change_places_between_builds(
    project: Path, build: Build, what: str, from_nothing: Built
) -> None:
    """Also where nothing but the name tells them apart."""
    first = exercise(project)
    second = first.with_name("ebb.md")
    second.write_text(first.read_text("utf-8").replace("Low tide", "Ebb"), "utf-8")
    assert build()[0]
    if what == "renamed":
        first.rename(first.with_name("neap.md"))
    elif what == "a folder":
        second.unlink()
        picture = project / "handbook" / "ebb.png"
        picture.mkdir()
        (picture / "inner.png").write_bytes(b"picture")
    else:
        text, time = first.read_bytes(), first.stat().st_mtime_ns
        first.write_bytes(second.read_bytes())
        second.write_bytes(text)
        for file in (first, second):
            os.utime(file, ns=(time, time))
    assert build()[0]
    assert files_of(project / "site") == from_nothing()


def test_what_a_build_shares_with_the_old_site_is_linked_and_never_written_into(
    project: Path, build: Build, from_nothing: Built
) -> None:
    site, linked = project / "site", project / "linked"
    expected = files_of(site)
    shutil.copytree(site, linked, copy_function=os.link)  # as a backup may do
    (project / "handbook" / "static").mkdir()
    (project / "handbook" / "static" / "robots.txt").write_text("# ours\n")
    assert build()[0]
    add(exercise(project), "\nMore.\n")
    assert build()[0]
    assert files_of(linked) == expected
    notes = "assets/handbook/low-tide/notes.json"
    assert (site / notes).samefile(linked / notes)
    assert not (site / "index.html").samefile(linked / "exercises" / "index.html")
    entries = {entry.stat().st_ino for entry in every_entry(project)}
    assert not {path.stat().st_ino for path in site.rglob("*")} & entries
    assert files_of(site) == from_nothing()


@pytest.mark.parametrize("number", [1, 18])  # not permitted, another disk
def test_where_nothing_can_be_linked_it_is_written(
    project: Path, build: Build, monkeypatch: pytest.MonkeyPatch, number: int, from_nothing: Built
) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise OSError(number, "refused")

    monkeypatch.setattr("chorus_handbook.records.old_files.os.link", refuse)
    add(exercise(project), "\nMore.\n")
    did, out, _ = build("--why")
    assert did and " 0 are shared with the old site" in out
    assert files_of(project / "site") == from_nothing()


@pytest.mark.parametrize("meanwhile", ["another site", "no site", "no store either"])
def test_a_site_that_goes_while_its_files_are_wanted(
    project: Path,
    build: Build,
    handbook: Run,
    monkeypatch: pytest.MonkeyPatch,
    meanwhile: str,
    from_nothing: Built,
) -> None:
    """As by another build at the same time."""
    from chorus_handbook.records.old_files import OldFiles

    add(project / "handbook" / "notes.md", "# Notes\n\nOurs.\n")
    assert build()[0]
    site, share = project / "site", OldFiles.share

    def lose(self: OldFiles, new: Path) -> None:
        if meanwhile == "another site":
            for page in site.rglob("*.html"):
                content = page.read_bytes()
                page.unlink()
                page.write_bytes(content.replace(b"Low", b"LOW"))
        else:
            site.rename(project / "gone")
        if meanwhile == "no store either":
            shutil.rmtree(project / ".cache")
        share(self, new)

    monkeypatch.setattr(OldFiles, "share", lose)
    (project / "handbook" / "static").mkdir()
    (project / "handbook" / "static" / "robots.txt").write_text("# ours\n")
    code, _, err = handbook("--project", project, "build")
    monkeypatch.setattr(OldFiles, "share", share)
    if meanwhile == "no store either":
        assert code == 1 and "Build again" in err and not site.exists()
    elif meanwhile == "another site":  # whose changed files are told
        assert code == 1 and "(changed since it was built)" in err
    else:
        assert code == 0
        assert files_of(site) == from_nothing()
