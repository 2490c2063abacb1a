"""Shares files between a new site and the old site that it replaces.

A file that is the same in both is not written again but hard-linked, and stays when the old site is
deleted. Writing into a linked file would change both sites, so links are made last, when nothing
else is written any more, and never over an existing file. Only files of the old site are linked,
never files of the cache, which must not change when somebody edits a site.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from hashlib import sha256
from pathlib import Path

from chorus_handbook.records.manifest import Manifest, SiteFile


class LostFileError(Exception):
    """A file of the old site that was to be linked into the new one has changed or vanished, and
    cannot be made again."""


@dataclass(slots=True)
class OldFiles:
    """The files of the old site.

    folder: where the old site is.
    listed: the files that its build wrote, with their modification times where these are known.
    shared: after `share`, the files that were linked into the new site.
    linked: their number.
    """

    folder: Path
    listed: Manifest
    shared: dict[str, SiteFile] = field(default_factory=dict)
    linked: int = 0
    _requested: dict[str, Callable[[], bytes]] = field(default_factory=dict)

    def has(self, path: str, digest: str) -> bool:
        """Whether the old site has a file with this SHA-256 at this path, unchanged since it was
        built."""
        file = self.listed.files.get(path)
        if file is None or file.sha256 != digest:
            return False
        return _untouched(self.folder / path, file)

    def request(self, path: str, load: Callable[[], bytes]) -> None:
        """Request a file of the old site for the new one. `load` gives its content in case it
        cannot be linked."""
        self._requested[path] = load

    def share(self, site: Path) -> None:
        """Put all requested files into the new site: link them, or write them where that fails.
        Call it when everything else is written. Raises LostFileError and OSError."""
        folders: set[Path] = set()
        for path, load in self._requested.items():
            place, file = site / path, self.listed.files[path]
            if os.path.lexists(place):  # a hook or plugin has written its own
                continue
            if place.parent not in folders:
                place.parent.mkdir(parents=True, exist_ok=True)
                folders.add(place.parent)
            if _link(self.folder / path, place, file):
                self.shared[path] = file
                self.linked += 1
                continue
            content = load()
            if sha256(content).hexdigest() != file.sha256:
                raise LostFileError(path)
            place.write_bytes(content)


def _link(old: Path, place: Path, file: SiteFile) -> bool:
    """Link one file of the old site into the new one; returns whether that worked. The link is
    checked afterwards, because another build may have replaced the old site since `has` was
    called."""
    try:
        os.link(old, place)
    except OSError:  # another disk, a system without links, no permission, gone
        return False
    if _untouched(place, file):
        return True
    place.unlink()
    return False


def _untouched(place: Path, file: SiteFile) -> bool:
    """Whether the file at `place` still has the size and the modification time with which it was
    built."""
    with suppress(OSError):
        found = place.lstat()
        plain = stat.S_ISREG(found.st_mode)
        return plain and (found.st_size, found.st_mtime_ns) == (file.size, file.mtime_ns)
    return False
