"""What a new site shares with the one that it will replace.

A file that both have is not written again but linked: it then has two names, one in each site, and
keeps the second when the old site goes. Nothing may therefore be written into a linked file. So
links are made last, when nothing is written any more, and never where something stands already.
Only files of the old site are linked, never those of the store, which must not change with a site.
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
    """A file that was to be shared is not to be had any more."""


@dataclass(slots=True)
class OldFiles:
    """The files of the old site in `folder`; `listed` are those that its build wrote, with times
    where they are known. `shared` are those that the new site has too, once it is finished, and
    `linked` counts those that are links."""

    folder: Path
    listed: Manifest
    shared: dict[str, SiteFile] = field(default_factory=dict)
    linked: int = 0
    _wanted: dict[str, Callable[[], bytes]] = field(default_factory=dict)

    def has(self, path: str, digest: str) -> bool:
        """Whether the old site has this content at this path, untouched since it was written."""
        file = self.listed.files.get(path)
        if file is None or file.sha256 != digest:
            return False
        return _untouched(self.folder / path, file)

    def want(self, path: str, load: Callable[[], bytes]) -> None:
        """Let the new site have this file of the old one; `load` gives its content where it can be
        neither linked nor found any more."""
        self._wanted[path] = load

    def share(self, site: Path) -> None:
        """Put all that is wanted into the new site, which is otherwise finished. Raises
        LostFileError and OSError."""
        folders: set[Path] = set()
        for path, load in self._wanted.items():
            place, file = site / path, self.listed.files[path]
            if os.path.lexists(place):  # written by something that has the last word
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
    """Link one file. Another build may have exchanged the old site in the meantime, so that what
    has been linked is looked at once more."""
    try:
        os.link(old, place)
    except OSError:  # another disk, a system without links, no permission, gone
        return False
    if _untouched(place, file):
        return True
    place.unlink()
    return False


def _untouched(place: Path, file: SiteFile) -> bool:
    """Whether a file has the size and the time with which it was written."""
    with suppress(OSError):
        found = place.lstat()
        plain = stat.S_ISREG(found.st_mode)
        return plain and (found.st_size, found.st_mtime_ns) == (file.size, file.mtime_ns)
    return False
