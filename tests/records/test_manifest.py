"""The list of a site's files: what it says, and what it never takes for ours."""

from __future__ import annotations

import hashlib
import json
import os
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chorus_handbook.pages import FOLDER
from chorus_handbook.records.manifest import (
    SITE_FILES,
    Manifest,
    ManifestError,
    SiteFile,
    read_manifest,
    write_manifest,
)


@pytest.fixture
def site(tmp_path: Path) -> Path:
    folder = tmp_path / "site"
    (folder / "exercises" / "low-tide").mkdir(parents=True)
    (folder / "index.html").write_text("home")
    (folder / "exercises" / "low-tide" / "index.html").write_text("low tide")
    (folder / ".git").mkdir()
    (folder / ".git" / "config").write_text("theirs")
    (folder / ".nojekyll").write_text("")
    return folder


def test_the_list_stands_beside_our_other_files() -> None:
    assert SITE_FILES.startswith(f"{FOLDER}/")


def test_it_names_every_file_with_size_and_sha256(site: Path) -> None:
    write_manifest(site)
    listed = json.loads((site / SITE_FILES).read_text())
    assert listed == {
        "version": 1,
        "files": {
            # hashlib is the independent computation here: FIPS 180-4
            name: {"size": len(text), "sha256": hashlib.sha256(text).hexdigest()}
            for name, text in {
                "exercises/low-tide/index.html": b"low tide",
                "index.html": b"home",
            }.items()
        },
    }
    write_manifest(site, {".nojekyll"})
    assert ".nojekyll" in json.loads((site / SITE_FILES).read_text())["files"]


def test_links_are_not_ours(site: Path) -> None:
    (site / "linked.html").symlink_to(site / "index.html")
    (site / "folder").symlink_to(site / "exercises")
    assert {*Manifest.of(site).files} == {"exercises/low-tide/index.html", "index.html"}


def test_the_same_files_give_the_same_bytes_and_come_back(site: Path) -> None:
    timed = Manifest.of(site)
    listed = timed.without_times()
    shuffled = Manifest(dict(reversed(listed.files.items())))
    assert timed.to_json() == listed.to_json() == shuffled.to_json()
    assert Manifest.from_json(listed.to_json()) == listed
    assert Manifest.from_json(timed.to_json(times=True)) == timed != listed
    assert Manifest.from_json(timed.to_json()) == listed == timed.without_times()
    assert write_manifest(site) == timed
    assert read_manifest(site) == listed


def test_an_unchanged_file_is_known_by_its_time_and_else_by_its_content(site: Path) -> None:
    page = site / "index.html"
    timed = Manifest.of(site)
    listed = timed.without_times()
    assert listed.has_unchanged("index.html", page) and timed.has_unchanged("index.html", page)
    time = page.stat().st_mtime_ns
    page.write_text("HOME")  # as long as it was
    os.utime(page, ns=(time, time + 1))
    assert not timed.has_unchanged("index.html", page)
    assert not listed.has_unchanged("index.html", page)
    page.write_text("home")
    os.utime(page, ns=(time, time + 2))  # a copy, or a checkout
    assert timed.has_unchanged("index.html", page)
    page.write_text("home and more")
    os.utime(page, ns=(time, time))
    assert not timed.has_unchanged("index.html", page)


@pytest.mark.parametrize("put", ["link", "folder", "pipe"])
def test_what_is_no_file_is_not_ours(site: Path, put: str) -> None:
    page = site / "index.html"
    listed = Manifest.of(site)
    page.rename(site / "aside")
    if put == "link":
        page.symlink_to(site / "aside")
    elif put == "folder":
        page.mkdir()
    else:
        os.mkfifo(page)
    assert not listed.has_unchanged("index.html", page)


def test_a_site_without_a_list_has_none(tmp_path: Path) -> None:
    assert read_manifest(tmp_path) is None
    assert read_manifest(tmp_path / "nowhere") is None
    (tmp_path / "assets").write_text("a file where a folder is looked for")
    assert read_manifest(tmp_path) is None


@pytest.mark.parametrize(
    "damage",
    [
        *(b"", b"[]", b"null", b"{", b"\xff", b'{"version": 1}', b'{"version": 2, "files": {}}'),
        *(b'{"version": 1, "files": []}', b'{"version": 1, "files": {"a": {"size": 1}}}'),
        *(b'{"version": 1, "files": {"a": 1}}', b"[" * 100_000),
        *(
            b'{"version": 1, "files": {"%s": {"size": 1, "sha256": "0"}}}' % path
            for path in (b"../a", b"/a", b"a//b", b"", b"a/../../b", b"./a")
        ),
    ],
)
def test_a_damaged_list_is_told_apart_from_none(tmp_path: Path, damage: bytes) -> None:
    file = tmp_path / SITE_FILES
    file.parent.mkdir(parents=True)
    file.write_bytes(damage)
    with pytest.raises(ManifestError):
        read_manifest(tmp_path)


names = st.text(st.characters(exclude_characters="/\0", exclude_categories=()), min_size=1)
paths = st.lists(names.filter(lambda name: name not in (".", "..")), min_size=1, max_size=3)


@given(st.dictionaries(paths.map("/".join), st.integers(0, 2**40)))
def test_any_names_come_back(sizes: dict[str, int]) -> None:
    listed = Manifest({path: SiteFile(size, "0" * 64) for path, size in sizes.items()})
    assert Manifest.from_json(listed.to_json()) == listed
