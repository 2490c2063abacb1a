"""The old site or the new one, never half."""

from __future__ import annotations

from pathlib import Path

import pytest

from chorus_handbook.commands import staging
from chorus_handbook.commands.staging import exchange


def folder_with(path: Path, text: str) -> Path:
    path.mkdir(parents=True)
    (path / "page").write_text(text)
    return path


@pytest.mark.parametrize("one_step", [True, False])
def test_folders_change_places(
    tmp_path: Path, one_step: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    if not one_step:
        monkeypatch.setattr(staging, "_in_one_step", lambda *_: False)
    new, old = folder_with(tmp_path / "a" / "new", "new"), folder_with(tmp_path / "site", "old")
    aside = tmp_path / "a" / "old"
    exchange(new, old, aside)
    assert (old / "page").read_text() == "new"
    there, gone = (new, aside) if one_step else (aside, new)
    assert (there / "page").read_text() == "old" and not gone.exists()


def test_the_first_site_is_simply_moved(tmp_path: Path) -> None:
    exchange(folder_with(tmp_path / "a", "new"), tmp_path / "site", tmp_path / "b")
    assert (tmp_path / "site" / "page").read_text() == "new"


def test_a_failed_second_move_puts_the_old_site_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    new, old = folder_with(tmp_path / "a", "new"), folder_with(tmp_path / "site", "old")
    monkeypatch.setattr(staging, "_in_one_step", lambda *_: False)
    rename = Path.rename

    def failing(self: Path, target: Path) -> Path:
        if self == new:
            raise OSError("no room")
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", failing)
    with pytest.raises(OSError, match="no room"):
        exchange(new, old, tmp_path / "b")
    assert (old / "page").read_text() == "old"


@pytest.mark.parametrize("refusals", [1, 3, 9])
def test_a_folder_that_is_in_use_for_a_moment_is_tried_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, refusals: int
) -> None:
    """As on Windows, where a folder cannot be renamed while any file in it is open; with more
    refusals than tries the old site stands."""
    new, old = folder_with(tmp_path / "a", "new"), folder_with(tmp_path / "site", "old")
    monkeypatch.setattr(staging, "_in_one_step", lambda *_: False)
    monkeypatch.setattr(staging, "_RENAME_PAUSES", (0, 0, 0, 0))
    rename, left = Path.rename, iter(range(refusals))

    def refused(self: Path, target: Path) -> Path:
        if self == new and next(left, None) is not None:
            raise PermissionError("a file in it is open")
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", refused)
    if refusals > 5:
        with pytest.raises(PermissionError):
            exchange(new, old, tmp_path / "b")
    else:
        exchange(new, old, tmp_path / "b")
    assert (old / "page").read_text() == ("old" if refusals > 5 else "new")
