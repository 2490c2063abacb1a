"""The list of every file that a build wrote: the marker of our own sites.

It stands in the site at `SITE_FILES`; `docs/writing/publishing.md` has the format. A build replaces
only files that the list of the old site names and that are still as they were written. A copy in
the project's cache has modification times too, so that an unchanged file need not be read to be
known again.
"""

from __future__ import annotations

import hashlib
import json
import os
import stat
from collections.abc import Container, Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path, PurePosixPath

#: Where the list stands, below the site. It does not list itself.
SITE_FILES = "assets/handbook/site-files.json"
#: Rises when a field changes its meaning or goes.
VERSION = 1


class ManifestError(ValueError):
    """The list of a site's files is damaged, or of a version that this program does not know."""


@dataclass(frozen=True, slots=True)
class SiteFile:
    """A file as it was written: `size` in bytes, `sha256` in hexadecimal digits. `mtime_ns`, its
    modification time in nanoseconds, is known only in the cache: it differs from copy to copy."""

    size: int
    sha256: str
    mtime_ns: int | None = None


@dataclass(frozen=True, slots=True)
class Manifest:
    """Every file of a site by its path below the site, with `/` between folders."""

    files: Mapping[str, SiteFile]

    def __post_init__(self) -> None:
        if not all(map(_is_inside, self.files)):
            raise ManifestError("a path leads out of the site")

    @classmethod
    def of(
        cls, site: Path, written: Container[str] = (), known: Mapping[str, SiteFile] = {}
    ) -> Manifest:
        """The files in the folder `site` now, with their times. Left out are links, the list
        itself, and what begins with a dot at the top, unless it was `written` by the build. Those
        that are `known` are not read. Raises OSError."""
        return cls(
            {
                path: known.get(path) or _read(file)
                for path, file in walk(site)
                if file.is_file(follow_symlinks=False)
                and path != SITE_FILES
                and (not path.startswith(".") or path in written)
            }
        )

    @classmethod
    def from_json(cls, data: bytes) -> Manifest:
        """Raises ManifestError."""
        try:
            content = json.loads(data)
            if content["version"] != VERSION:
                raise ManifestError(f"version {content['version']} is not known here")
            files = {path: SiteFile(**file) for path, file in content["files"].items()}
        except (ValueError, TypeError, KeyError, AttributeError, RecursionError) as error:
            raise ManifestError(str(error)) from error
        return cls(files)

    def to_json(self, *, times: bool = False) -> bytes:
        """One line a file, in the order of paths: the same files give the same bytes."""
        rows = []
        for path, file in sorted(self.files.items()):
            fields: dict[str, int | str | None] = {"size": file.size, "sha256": file.sha256}
            if times:
                fields["mtime_ns"] = file.mtime_ns
            rows.append(f"{json.dumps(path)}: {json.dumps(fields)}")
        listed = ",\n".join(rows)
        return f'{{"version": {VERSION}, "files": {{\n{listed}\n}}}}\n'.encode()

    def without_times(self) -> Manifest:
        """This list as it stands in the site."""
        return Manifest({p: replace(file, mtime_ns=None) for p, file in self.files.items()})

    def folders(self) -> frozenset[str]:
        """The folders that its files stand in."""
        parents = (parent for path in self.files for parent in PurePosixPath(path).parents)
        return frozenset(map(str, parents)) | frozenset(map(str, PurePosixPath(SITE_FILES).parents))

    def has_unchanged(self, path: str, file: Path) -> bool:
        """Whether what lies at `file` is still what was written as `path`. It is read only where
        its size fits and its time is unknown or another. Raises OSError."""
        listed = self.files.get(path)
        if listed is None:
            return False
        found = file.lstat()
        if not stat.S_ISREG(found.st_mode) or found.st_size != listed.size:
            return False
        return found.st_mtime_ns == listed.mtime_ns or digest(file) == listed.sha256


def read_manifest(site: Path) -> Manifest | None:
    """The list in a site; None where there is none. Raises ManifestError and OSError."""
    try:
        return Manifest.from_json((site / SITE_FILES).read_bytes())
    except (FileNotFoundError, NotADirectoryError):
        return None


def write_manifest(
    site: Path, written: Container[str] = (), known: Mapping[str, SiteFile] = {}
) -> Manifest:
    """Put the list of its files into a site that is otherwise finished; `written` and `known` as in
    `Manifest.of`. Returns the list, with times. Raises OSError."""
    listed = Manifest.of(site, written, known)
    file = site / SITE_FILES
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_bytes(listed.to_json())
    return listed


def digest(file: Path) -> str:
    """The SHA-256 of a file, in hexadecimal digits. Raises OSError."""
    with file.open("rb") as opened:
        return hashlib.file_digest(opened, "sha256").hexdigest()


def walk(folder: Path, inside: str = "") -> Iterator[tuple[str, os.DirEntry[str]]]:
    """Everything below a folder that is no folder, in the order of names, by its path below it;
    links are not followed. Raises OSError."""
    with os.scandir(folder / inside) as found:
        entries = sorted(found, key=lambda entry: entry.name)
    for entry in entries:
        path = f"{inside}{entry.name}"
        if entry.is_dir(follow_symlinks=False):
            yield from walk(folder, f"{path}/")
        else:
            yield path, entry


def _read(file: os.DirEntry[str]) -> SiteFile:
    """The time is that before the file is read: one that changes meanwhile has another then."""
    found = Path(file.path).lstat()
    return SiteFile(found.st_size, digest(Path(file.path)), found.st_mtime_ns)


def _is_inside(path: str) -> bool:
    parts = path.split("/")
    return not any(part in ("", ".", "..") for part in parts)
