"""Links from one page of the handbook to another lead somewhere."""

from __future__ import annotations

import posixpath
from collections.abc import Iterable
from difflib import get_close_matches
from pathlib import Path, PurePosixPath
from urllib.parse import unquote, urlsplit

from chorus_handbook.entries.file_places import PUBLISHED
from chorus_handbook.entries.model import Source
from chorus_handbook.entries.safety import links_in
from chorus_handbook.problems import Place, Problem
from chorus_handbook.source import clip


def check_links(root: Path, sources: Iterable[Source], pages: set[str]) -> list[Problem]:
    """Links to pages or files that do not exist. `pages` are the paths of all pages, such as
    "goals/tuning.md"."""
    return [
        problem
        for source in sources
        for section in source.sections
        for target, at in links_in(section.markdown, section.place)
        if (problem := _broken(root, source.page, target, at, pages))
    ]


def _broken(root: Path, path: str, target: str, at: Place, pages: set[str]) -> Problem | None:
    parts = urlsplit(target)
    if parts.scheme or parts.netloc or not parts.path:
        return None
    wanted = posixpath.normpath(posixpath.join(posixpath.dirname(path), unquote(parts.path)))
    if wanted in pages:
        return None
    if wanted.startswith(("../", "/")):
        message = f'The link "{clip(target)}" leads out of the handbook.'
        hint = (
            "Link to a page or picture of the handbook, or to an address that begins with https://."
        )
    elif wanted.endswith(".md") or not _is_file(root / wanted):
        message = f'The link "{clip(target)}" leads nowhere.{_meant(path, wanted, pages)}'
        hint = "Write the way from this file: other-exercise.md, ../voice-care.md."
    elif PurePosixPath(wanted).suffix.lower() not in PUBLISHED:
        message = f'The link "{clip(target)}" leads to a file that is not published.'
        hint = f"Only pages are, and files that end in {', '.join(sorted(PUBLISHED))}."
    else:
        return None
    return Problem(at, "link-broken", message, hint)


def _is_file(path: Path) -> bool:
    try:
        return path.is_file()
    except (OSError, ValueError):  # no file can have such a name
        return False


def _meant(path: str, wanted: str, pages: set[str]) -> str:
    """A page whose name is nearly the one written, as it would be linked from here."""
    folder = posixpath.dirname(path)
    names = {posixpath.basename(page): page for page in pages}
    meant = get_close_matches(posixpath.basename(wanted), names, n=1, cutoff=0.75)
    return f' Did you mean "{posixpath.relpath(names[meant[0]], folder or ".")}"?' if meant else ""
