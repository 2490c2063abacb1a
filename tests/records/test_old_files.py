"""What a new site shares with the old one: links, made last, and of untouched files only."""

from __future__ import annotations

import os
from hashlib import sha256
from pathlib import Path

import pytest

from chorus_handbook.records.manifest import Manifest
from chorus_handbook.records.old_files import LostFileError, OldFiles

TEXT = b"page"
DIGEST = sha256(TEXT).hexdigest()


@pytest.fixture
def old(tmp_path: Path) -> OldFiles:
    site = tmp_path / "site"
    (site / "deep" / "er").mkdir(parents=True)
    (site / "deep" / "er" / "page").write_bytes(TEXT)
    (tmp_path / "new").mkdir()
    return OldFiles(site, Manifest.of(site))


def share(old: OldFiles, store: bytes = TEXT) -> Path:
    """The file in the new site."""
    new = old.folder.parent / "new"
    old.request("deep/er/page", lambda: store)
    old.share(new)
    return new / "deep" / "er" / "page"


def test_an_untouched_file_is_linked_and_need_not_be_read_again(old: OldFiles) -> None:
    assert old.has("deep/er/page", DIGEST)
    assert not old.has("deep/er/page", "0" * 64) and not old.has("other", DIGEST)
    page = share(old, b"not asked for")
    assert page.samefile(old.folder / "deep/er/page") and old.linked == 1
    new = old.folder.parent / "new"
    assert Manifest.of(new, known=old.shared) == Manifest.of(new) == old.listed


def test_what_has_been_written_already_stays_and_the_old_site_too(old: OldFiles) -> None:
    page = old.folder.parent / "new" / "deep" / "er" / "page"
    page.parent.mkdir(parents=True)
    page.write_bytes(b"later")
    assert share(old).read_bytes() == b"later"
    assert (old.folder / "deep/er/page").read_bytes() == TEXT and not old.shared


@pytest.mark.parametrize("change", ["time", "size", "link", "folder", "gone", "parent gone"])
def test_a_file_that_was_touched_is_not_linked_but_written(old: OldFiles, change: str) -> None:
    page = old.folder / "deep" / "er" / "page"
    time = page.stat().st_mtime_ns
    if change == "time":  # also by a clock that runs backwards
        page.write_bytes(b"PAGE")
        os.utime(page, ns=(time - 1, time - 1))
    elif change == "size":
        page.write_bytes(b"pages")
        os.utime(page, ns=(time, time))
    else:
        page.rename(old.folder / "aside")
        if change == "link":
            page.symlink_to(old.folder / "aside")
        elif change == "folder":
            page.mkdir()
        elif change == "parent gone":
            page.parent.rmdir()
            page.parent.write_bytes(b"a file now")
    assert not old.has("deep/er/page", DIGEST)
    new = share(old)
    assert new.read_bytes() == TEXT and not new.is_symlink() and new.stat().st_nlink == 1
    assert not old.shared


def test_without_times_nothing_is_trusted(old: OldFiles) -> None:
    assert not OldFiles(old.folder, old.listed.without_times()).has("deep/er/page", DIGEST)


def test_what_is_nowhere_to_be_had_is_told(old: OldFiles) -> None:
    (old.folder / "deep" / "er" / "page").unlink()
    with pytest.raises(LostFileError, match="deep/er/page"):
        share(old, b"should be a field here")
