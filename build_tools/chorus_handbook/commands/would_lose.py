"""What a build would lose of an old site, and what its author can do about it."""

from __future__ import annotations

from pathlib import Path

from chorus_handbook.cache import Cache
from chorus_handbook.commands.old_site import (
    Foreign,
    InNewSite,
    Why,
    find_foreign,
    read_old_site,
    same_content,
)
from chorus_handbook.records.manifest import Manifest, read_manifest

#: So many files are named; more are only counted.
MOST_NAMED = 10


class WouldLoseError(Exception):
    """The old site holds what no build wrote, and what the new one would not have."""

    def __init__(self, foreign: list[Foreign]) -> None:
        super().__init__()
        self.foreign = foreign


def refuse_loss(target: Path, cache: Cache, in_new: InNewSite) -> Manifest | None:
    """Refuse to replace what no build wrote; returns the list of the old site. Raises
    WouldLoseError, WrongUsageError, OSError."""
    listed = read_old_site(target, cache)
    foreign = find_foreign(target, listed, in_new) if listed is not None else []
    if foreign:
        raise WouldLoseError(foreign)
    return listed


def in_handbook(root: Path) -> InNewSite:
    """What the new site will have as it is, known before it is built."""
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
    """What the new site has."""
    listed = read_manifest(site)

    def in_new(path: str, file: Path) -> bool | None:
        if listed is None or path not in listed.files:
            return None
        return same_content(file, site / path)

    return in_new


def would_lose(foreign: list[Foreign], target: Path, root: Path) -> str:
    """What would be lost, and for each what to do."""
    lines = [
        f"handbook build: {target} holds what no build wrote, and a new site would replace it:"
    ]
    for one in foreign[:MOST_NAMED]:
        shown = "".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in one.path)
        lines += [f"  {shown}{_WHY[one.why]}", f"    {_remedy(one, shown, root)}"]
    if len(foreign) > MOST_NAMED:
        lines.append(f"  and {len(foreign) - MOST_NAMED} more")
    return "\n".join(lines)


_WHY: dict[Why, str] = {
    "unlisted": "",
    "changed": " (changed since it was built)",
    "differs": " (not the same as in the new site)",
    "mount": " (another disk)",
}


def _remedy(foreign: Foreign, shown: str, root: Path) -> str:
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
