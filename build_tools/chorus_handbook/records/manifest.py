"""Reads and writes the list of every file that a build wrote (the *manifest*). A folder with such a
list is recognised as a site that this program has built.

The list is in the site at `SITE_FILES`; `docs/publishing.md` has the format. A build replaces only
files that the list of the old site names and that have not been changed since. A copy in the
project's cache has modification times too, so that unchanged files need not be read again.
"""

from __future__ import annotations

import hashlib
import json
import os
import stat
from collections.abc import Container, Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path, PurePosixPath

#: The path of the list in the site. It does not list itself.
SITE_FILES = "assets/handbook/site-files.json"
#: The version of the format. It is raised when a field is removed or changes its meaning.
VERSION = 1


class ManifestError(ValueError):
    """The list of a site's files is damaged, or of a version that this program cannot read."""


@dataclass(frozen=True, slots=True)
class SiteFile:
    """A file as it was built: `size` in bytes, `sha256` in hexadecimal digits. `mtime_ns`, its
    modification time in nanoseconds, is only in the cache: copies of a site have other times."""

    size: int
    sha256: str
    mtime_ns: int | None = None


@dataclass(frozen=True, slots=True)
class Manifest:
    """Every file of a site, keyed by its path relative to the site, with `/` between folders."""

    files: Mapping[str, SiteFile]

    def __post_init__(self) -> None:
        if not all(map(_is_inside, self.files)):
            raise ManifestError("a path leads out of the site")

    @classmethod
    def of(
        cls, site: Path, written: Container[str] = (), known: Mapping[str, SiteFile] = {}
    ) -> Manifest:
        """The list of the files in the folder `site`, with their times. Links and the list itself
        are left out, and also what begins with a dot at the top level, unless it is among the
        `written` files of the build. Files that are `known` are not read. Raises OSError."""
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
        """The list from its JSON text. Raises ManifestError."""
        try:
            content = json.loads(data)
            if content["version"] != VERSION:
                raise ManifestError(f"version {content['version']} is not known here")
            files = {path: SiteFile(**file) for path, file in content["files"].items()}
        except (ValueError, TypeError, KeyError, AttributeError, RecursionError) as error:
            raise ManifestError(str(error)) from error
        return cls(files)

    def to_json(self, *, times: bool = False) -> bytes:
        """The list as JSON, one line for each file, sorted by path, so that the same files give the
        same bytes. `times` says whether modification times are included."""
        rows = []
        for path, file in sorted(self.files.items()):
            fields: dict[str, int | str | None] = {"size": file.size, "sha256": file.sha256}
            if times:
                fields["mtime_ns"] = file.mtime_ns
            rows.append(f"{json.dumps(path)}: {json.dumps(fields)}")
        listed = ",\n".join(rows)
        return f'{{"version": {VERSION}, "files": {{\n{listed}\n}}}}\n'.encode()

    def without_times(self) -> Manifest:
        """The same list without modification times, as it is written to the site."""
        return Manifest({p: replace(file, mtime_ns=None) for p, file in self.files.items()})

    def folders(self) -> frozenset[str]:
        """The paths of the folders that contain the listed files; "." is the site itself."""
        holding = {path.rpartition("/")[0] for path in (*self.files, SITE_FILES)}
        parents = {str(parent) for folder in holding for parent in PurePosixPath(folder).parents}
        return frozenset(folder or "." for folder in holding | parents)

    def has_unchanged(self, path: str, file: Path) -> bool:
        """Whether `file` still has the content built at `path`. It is read only if its size is the
        same and its modification time unknown or different. Raises OSError."""
        listed = self.files.get(path)
        if listed is None:
            return False
        found = file.lstat()
        if not stat.S_ISREG(found.st_mode) or found.st_size != listed.size:
            return False
        return found.st_mtime_ns == listed.mtime_ns or digest(file) == listed.sha256


def read_manifest(site: Path) -> Manifest | None:
    """The list of a site; None if it has none. Raises ManifestError and OSError."""
    try:
        return Manifest.from_json((site / SITE_FILES).read_bytes())
    except (FileNotFoundError, NotADirectoryError):
        return None


def write_manifest(
    site: Path, written: Container[str] = (), known: Mapping[str, SiteFile] = {}
) -> Manifest:
    """Write the list of a site's files into the site, after everything else. `written` are the
    files that the build wrote; files that are `known` are not read again. Returns the list, with
    times. Raises OSError."""
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
    """Every file in a folder and the folders in it, with its path relative to `folder`, sorted by
    name. Links are listed but not followed. Raises OSError."""
    with os.scandir(folder / inside) as found:
        entries = sorted(found, key=lambda entry: entry.name)
    for entry in entries:
        path = f"{inside}{entry.name}"
        if entry.is_dir(follow_symlinks=False):
            yield from walk(folder, f"{path}/")
        else:
            yield path, entry


def _read(file: os.DirEntry[str]) -> SiteFile:
    """Read size, time and digest of a file. The time is taken first, so that a change during the
    reading is noticed later."""
    found = Path(file.path).lstat()
    return SiteFile(found.st_size, digest(Path(file.path)), found.st_mtime_ns)


def _is_inside(path: str) -> bool:
    """Whether a path stays inside the folder that it is relative to."""
    parts = path.split("/")
    return not any(part in ("", ".", "..") for part in parts)
