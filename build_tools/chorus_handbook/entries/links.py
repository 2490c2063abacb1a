"""Links from one page of the handbook to another lead somewhere."""

from __future__ import annotations

import posixpath
from collections.abc import Iterable
from difflib import get_close_matches
from pathlib import Path, PurePosixPath

from chorus_handbook.entries.addresses import internal
from chorus_handbook.entries.file_places import PUBLISHED
from chorus_handbook.entries.model import Link, Source
from chorus_handbook.problems import Problem
from chorus_handbook.source import clip


def check_links(root: Path, sources: Iterable[Source], pages: set[str]) -> list[Problem]:
    """Links to pages or files that do not exist. `pages` are the paths of all pages, such as
    "goals/tuning.md"."""
    return [
        problem
        for source in sources
        for link in source.body.links
        if (problem := _broken(root, source.page, link, pages))
    ]


def _broken(root: Path, page: str, link: Link, pages: set[str]) -> Problem | None:
    target = internal(link.address, page)
    if target is None:
        return None
    wanted = target.path
    if wanted in pages:
        return None
    if wanted.endswith(".md") or not _is_file(root / wanted):
        message = f'The link "{clip(link.address)}" leads nowhere.{_meant(page, wanted, pages)}'
        hint = "Write the path from this file, such as other-exercise.md or ../voice-care.md."
    elif PurePosixPath(wanted).suffix.lower() not in PUBLISHED:
        message = f'The link "{clip(link.address)}" leads to a file that is not published.'
        hint = f"Only pages are, and files that end in {', '.join(sorted(PUBLISHED))}."
    else:
        return None
    return Problem(link.place, "link-broken", message, hint)


def _is_file(path: Path) -> bool:
    try:
        return path.is_file()
    except (OSError, ValueError):  # no file can have such a name
        return False


def _meant(page: str, wanted: str, pages: set[str]) -> str:
    """A page whose name is nearly the one written, as it would be linked from here."""
    folder = posixpath.dirname(page)
    names = {posixpath.basename(other): other for other in pages}
    meant = get_close_matches(posixpath.basename(wanted), names, n=1, cutoff=0.75)
    return f' Did you mean "{posixpath.relpath(names[meant[0]], folder or ".")}"?' if meant else ""
