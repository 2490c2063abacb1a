"""Looks at the old site before it is replaced: which files a build wrote, and which must not be
lost.

Every build writes a manifest: a list of the site's files with their hashes. A file is *ours* if the
manifest lists it and it has not been changed since. A changed file is not ours, because its content
exists nowhere else. When something would be lost, the build stops, and the message says what the
author can do.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from chorus_handbook.cache import Cache
from chorus_handbook.commands.project import Project, WrongUsageError
from chorus_handbook.records.manifest import (
    SITE_FILES,
    Manifest,
    ManifestError,
    digest,
    read_manifest,
    walk,
)

#: Files and folders that may be in the site's folder before the first build. They are moved to the
#: new site.
_ALLOWED_BEFORE_FIRST_BUILD = {".git", ".gitattributes", ".gitignore", ".nojekyll", ".well-known"}
#: A file that is in every site written by early versions of the program, which wrote no manifest.
_EARLY_VERSION_FILE = "assets/handbook/exercises.json"
#: The one hidden folder in which both the handbook and the web host may have files.
_SHARED = ".well-known"

#: Files that desktops write into every folder that is opened. They are moved to the new site, as
#: hidden files are.
_DESKTOP_FILES = {".DS_Store", "Thumbs.db", "desktop.ini"}

#: The message about files that would be lost names this many of them and only counts the rest.
MOST_NAMED = 10

#: Why a file would be lost: the manifest does not list it; it was changed by hand; the new site has
#: another file at its path; it is on another disk that is mounted there.
Why = Literal["unlisted", "changed", "differs", "mount"]


@dataclass(frozen=True, slots=True)
class Foreign:
    """A file or folder in the old site that a build must not replace: its path within the site, and
    why."""

    path: str
    why: Why


#: Compares a file of the old site with the new site: True if the new site has a file with this path
#: and the same content, False if it has another one there, None if it has nothing at this path.
InNewSite = Callable[[str, Path], bool | None]


def refuse_place(target: Path, project: Project) -> None:
    """Raise WrongUsageError for a folder in which no site may be built, such as the handbook's
    own."""
    if target.exists() and not target.is_dir():
        raise WrongUsageError(f"{target} is a file; name a folder: --site-dir DIR")
    sources = (project.root, project.config_file)
    if any(source.is_relative_to(target) for source in sources):
        raise WrongUsageError(
            f"{target} contains the handbook itself; name another folder: --site-dir DIR"
        )
    if target.is_relative_to(project.root):
        raise WrongUsageError(
            f"{target} is inside the handbook; name another folder: --site-dir DIR"
        )
    if os.path.ismount(target):
        raise WrongUsageError(
            f"{target} is a disk of its own (a mount point), which cannot be exchanged for a new "
            f"site; name a folder in it: --site-dir {target / 'handbook'}"
        )


def read_old_site(target: Path, cache: Cache) -> Manifest | None:
    """The manifest of the old site, with the times of its files if they are in the cache. It is
    empty for an empty folder, and None if there is no folder. Raises WrongUsageError for a folder
    that no build wrote, and OSError."""
    if not target.exists():
        return None
    try:
        listed = read_manifest(target)
    except ManifestError as error:
        raise WrongUsageError(
            f"{target / SITE_FILES}, the list of the site's files, is damaged or was written by a "
            "later version, so the program cannot tell the site's files from yours. Build with "
            "that version, or rename the folder, build, and move over what you had added by hand"
        ) from error
    if listed is not None:
        return _with_times(listed, target, cache)
    if not {path.name for path in target.iterdir()} - _ALLOWED_BEFORE_FIRST_BUILD:
        return Manifest({})
    if (target / _EARLY_VERSION_FILE).is_file():
        raise WrongUsageError(
            f"{target} was built by an earlier version, which kept no list of its files, so the "
            "program cannot tell them from yours. Rename the folder and build again. Then move "
            "over what you had added by hand, such as .git, and delete the renamed folder"
        )
    raise WrongUsageError(
        f"{target} contains files that no build wrote, and a build replaces the whole folder; name "
        "an empty or new folder: --site-dir DIR"
    )


def remember(target: Path, listed: Manifest, cache: Cache) -> None:
    """Save the manifest of a site that was just published in the cache, with the times at which its
    files were last changed. With them the next build finds changed files without reading them
    all."""
    cache.put(_key(target), listed.to_json(times=True))


def find_foreign(site: Path, listed: Manifest, in_new: InNewSite) -> list[Foreign]:
    """The files that would be lost if the site were replaced. Hidden files and folders at its top
    are moved to the new site, so they are lost only if the new site has something else of the same
    name. Raises OSError."""
    folders, device = listed.folders(), site.stat().st_dev

    def search(inside: str) -> Iterator[Foreign]:
        with os.scandir(site / inside) as listing:
            entries = sorted(listing, key=lambda entry: entry.name)
        if inside and not entries and inside.rstrip("/") not in folders:
            yield Foreign(inside, "unlisted")
        for entry in entries:
            path = f"{inside}{entry.name}"
            if entry.is_dir(follow_symlinks=False):
                if entry.stat(follow_symlinks=False).st_dev != device:
                    yield Foreign(f"{path}/", "mount")
                elif not path.startswith(".") or path in folders or path == _SHARED:
                    yield from search(f"{path}/")
            elif path != SITE_FILES and (why := _lost(path, Path(entry.path), listed, in_new)):
                yield Foreign(path, why)

    return list(search(""))


def _lost(path: str, file: Path, listed: Manifest, in_new: InNewSite) -> Why | None:
    """Why a file would be lost; None for one that may be deleted or is moved to the new site."""
    if listed.has_unchanged(path, file):
        return None
    same = in_new(path, file)
    carried = path.startswith(".") or file.name in _DESKTOP_FILES
    if same or (same is None and carried):
        return None
    if path.startswith("."):
        return "differs"
    return "changed" if path in listed.files else "unlisted"


class WouldLoseError(Exception):
    """The old site contains files that no build wrote and that the new site would not have."""

    def __init__(self, foreign: list[Foreign]) -> None:
        super().__init__()
        self.foreign = foreign


def refuse_loss(target: Path, cache: Cache, in_new: InNewSite) -> Manifest | None:
    """Check that nothing is lost when the old site is replaced, and return the manifest of the old
    site. Raises WouldLoseError if something would be lost, WrongUsageError and OSError."""
    listed = read_old_site(target, cache)
    foreign = find_foreign(target, listed, in_new) if listed is not None else []
    if foreign:
        raise WouldLoseError(foreign)
    return listed


def in_handbook(root: Path) -> InNewSite:
    """A function that compares a file of the old site with those that the handbook in `root`
    publishes unchanged (see `InNewSite`). They are known before the new site is built."""
    from chorus_handbook.entries import static_files
    from chorus_handbook.entries.file_places import PUBLISHED

    def in_new(path: str, file: Path) -> bool | None:
        places = [root / static_files.FOLDER / path]
        if file.suffix.lower() in PUBLISHED:
            places.append(root / path)
        there = [place for place in places if place.is_file()]
        return any(same_content(file, place) for place in there) if there else None

    return in_new


def in_site(site: Path) -> InNewSite:
    """A function that compares a file of the old site with those of the finished new site in the
    folder `site` (see `InNewSite`)."""
    listed = read_manifest(site)

    def in_new(path: str, file: Path) -> bool | None:
        if listed is None or path not in listed.files:
            return None
        return same_content(file, site / path)

    return in_new


def describe_loss(foreign: list[Foreign], target: Path, root: Path) -> str:
    """The message that a build prints when files would be lost: each file with the reason and a
    remedy, at most `MOST_NAMED` of them."""
    lines = [
        f"handbook build: {target} contains files that no build wrote, and that a new site would "
        "replace:"
    ]
    for one in foreign[:MOST_NAMED]:
        shown = "".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in one.path)
        lines += [f"  {shown}{_WHY[one.why]}", f"    {_remedy(one, shown, root)}"]
    if len(foreign) > MOST_NAMED:
        lines.append(f"  and {len(foreign) - MOST_NAMED} more")
    return "\n".join(lines)


#: What the message adds to the path of such a file.
_WHY: dict[Why, str] = {
    "unlisted": "",
    "changed": " (changed since it was built)",
    "differs": " (not the same as in the new site)",
    "mount": " (another disk)",
}


def _remedy(foreign: Foreign, shown: str, root: Path) -> str:
    """What to do about such a file, for the message. `shown` is its path as the message shows it,
    `root` the handbook's folder."""
    from chorus_handbook.entries.file_places import PUBLISHED
    from chorus_handbook.entries.static_files import FOLDER, belongs_in_static

    static = f"{root.name}/{FOLDER}"
    if foreign.why == "changed":
        return "Make the change in the handbook, then delete this file: the build writes it again."
    if foreign.why == "differs":
        return f"Keep one of the two: delete this file, or the one in {static}/."
    if foreign.why == "mount":
        return "Detach it (unmount), or name another folder: --site-dir DIR."
    if belongs_in_static(foreign.path):
        return f"Move it to {static}/: every build then puts it into the site."
    if Path(foreign.path).suffix.lower() in PUBLISHED:
        return f"Move it to {root.name}/{shown}: every build then puts it into the site."
    return "Move it to a place outside the site."


def not_ours(site: Path) -> bool:
    """Whether a site contains any file that no build wrote. Raises OSError."""
    listed = _listed(site)
    return any(
        path != SITE_FILES and not listed.has_unchanged(path, Path(file.path))
        for path, file in walk(site)
    )


def move_back(source: Path, target: Path) -> list[Path]:
    """Empty the folder `source` of a replaced site: files that are not ours are moved to the same
    path below `target`, and the others are deleted. Returns the files that had to stay, because
    `target` has something else at their path or the system refused. Raises OSError."""
    if not source.exists():
        return []
    listed = _listed(source)
    old_folders, new_folders = listed.folders(), _listed(target).folders()
    left: list[Path] = []

    def clear(inside: str) -> None:
        with os.scandir(source / inside) as listing:
            entries = sorted(listing, key=lambda entry: entry.name)
        for entry in entries:
            path, file = f"{inside}{entry.name}", Path(entry.path)
            if path == SITE_FILES:
                continue
            try:
                if entry.is_dir(follow_symlinks=False):
                    # A folder that both sites have is not moved whole; its files are, one by one.
                    in_both = path in new_folders and os.path.lexists(target / path)
                    if path in old_folders or in_both:
                        clear(f"{path}/")
                        with suppress(OSError):
                            file.rmdir()
                        continue
                elif (
                    _same_file(entry, target / path)
                    or listed.has_unchanged(path, file)
                    or same_content(file, target / path)
                ):
                    file.unlink()
                    continue
                _move(file, target / path)
            except OSError:
                left.append(file)

    clear("")
    if not left:
        (source / SITE_FILES).unlink(missing_ok=True)
        for folder in Path(SITE_FILES).parents:
            with suppress(OSError):
                (source / folder).rmdir()
    return left or ([source] if source.exists() else [])


def _move(file: Path, place: Path) -> None:
    """Move a file to `place`. Raises FileExistsError if something is there already, and OSError."""
    if os.path.lexists(place):
        raise FileExistsError
    place.parent.mkdir(parents=True, exist_ok=True)
    file.rename(place)


def _same_file(entry: os.DirEntry[str], other: Path) -> bool:
    """Whether both are one file on the disk under two names (hard links). Builds share unchanged
    files between the old and the new site in this way."""
    with suppress(FileNotFoundError, NotADirectoryError):
        return os.path.samestat(entry.stat(follow_symlinks=False), other.lstat())
    return False


def same_content(file: Path, other: Path) -> bool:
    """Whether both are ordinary files with the same content. Raises OSError."""
    plain = all(f.is_file() and not f.is_symlink() for f in (file, other))
    return plain and digest(file) == digest(other)


def _listed(site: Path) -> Manifest:
    """The manifest of a site; an empty one if it is missing or damaged, so that no file counts as
    ours."""
    with suppress(ManifestError):
        return read_manifest(site) or Manifest({})
    return Manifest({})


def _with_times(listed: Manifest, target: Path, cache: Cache) -> Manifest:
    """The manifest `listed` of a site, with the times of its files from the copy in the cache, if
    that lists the same files; otherwise unchanged."""
    record = cache.get(_key(target))
    if record is not None:
        with suppress(ManifestError):
            cached = Manifest.from_json(record)
            if cached.without_times() == listed:
                return cached
    return listed


def _key(target: Path) -> str:
    return Cache.key("site-files", os.fsencode(target))
