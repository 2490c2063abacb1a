"""Checks that links within the handbook lead to pages, published files and headings that exist."""

from __future__ import annotations

import posixpath
from collections.abc import Callable, Collection, Iterable
from difflib import get_close_matches
from pathlib import Path, PurePosixPath

from chorus_handbook.entries.addresses import Internal, fragment, internal
from chorus_handbook.entries.file_places import PUBLISHED
from chorus_handbook.entries.model import Source
from chorus_handbook.entries.rendered import Link
from chorus_handbook.problems import Problem
from chorus_handbook.source import clip

#: A function that returns the ids on the page with a path (ending in .md); None when they are not
#: known.
IdsOn = Callable[[str], Collection[str] | None]
#: The fragment that leads to the top of any page (HTML Standard, "select the indicated part").
_TOP = "top"
#: The beginning of a fragment that is a text to be looked for (URL Fragment Text Directives, WICG).
_TEXT = ":~:"


def check_links(
    root: Path, sources: Iterable[Source], pages: set[str], ids_on: IdsOn
) -> list[Problem]:
    """One problem for each link in the `sources` to a page, file or heading that does not exist.

    root: the handbook's folder.
    pages: the paths of all pages below it, such as "goals/tuning.md".
    ids_on: a function that returns the ids on a page, other than those of headings that an author
        wrote (these are known from the sources).
    """
    sources = list(sources)
    written = {
        source.page: {
            heading.anchor
            for section in source.body.sections
            for heading in (*((section.head,) if section.head else ()), *section.headings)
        }
        for source in sources
    }
    found = []
    for source in sources:
        for link in source.body.links:
            target = internal(link.address, source.page)
            name = fragment(link.address)
            if target is not None and target.path not in pages:
                found.append(_broken(root, source.page, link, target, pages))
            elif name is not None:
                page = target.path if target else source.page
                if name not in written.get(page, ()):
                    found.append(_without_heading(link, page, name, ids_on))
    return [problem for problem in found if problem]


def _without_heading(link: Link, page: str, name: str, ids_on: IdsOn) -> Problem | None:
    """The problem of a link to a heading with the id `name` that is not on `page`; None if it is on
    the page, or its ids are not known."""
    if name.lower() == _TOP or name.startswith(_TEXT):
        return None
    ids = ids_on(page)
    if ids is None or name in ids:
        return None
    meant = get_close_matches(name.lower(), ids, n=1, cutoff=0.6)
    guess = f' Did you mean "#{meant[0]}"?' if meant else ""
    return Problem(
        link.place,
        "link-heading",
        f'The link "{clip(link.address)}" leads to a heading that is not on that page.{guess}',
        'After the "#", write the heading in small letters with hyphens between the words: '
        '"#listen-for" leads to the heading "Listen for".',
    )


def _broken(root: Path, page: str, link: Link, target: Internal, pages: set[str]) -> Problem | None:
    """The problem of a link on `page` to something that is not a page; None if it is a file that is
    published."""
    wanted = target.path
    if wanted.endswith(".md") or not _is_file(root / wanted):
        message = (
            f'The link "{clip(link.address)}" leads nowhere: there is no such page or file.'
            f"{_meant(page, wanted, pages)}"
        )
        hint = 'Write the path from this file, such as "other-exercise.md" or "../voice-care.md".'
    elif PurePosixPath(wanted).suffix.lower() not in PUBLISHED:
        message = f'The link "{clip(link.address)}" leads to a file that is not published.'
        hint = (
            "Link to a page (.md), or to a picture or document that ends in "
            f"{', '.join(sorted(PUBLISHED))}."
        )
    else:
        return None
    return Problem(link.place, "link-broken", message, hint)


def _is_file(path: Path) -> bool:
    try:
        return path.is_file()
    except (OSError, ValueError):  # no file can have such a name
        return False


def _meant(page: str, wanted: str, pages: set[str]) -> str:
    """' Did you mean "x"?', with the address of the page whose name is nearest to `wanted`, as a
    link on `page`; empty if no other page has a name that is near."""
    folder = posixpath.dirname(page)
    names = {posixpath.basename(other): other for other in pages if other != page}
    meant = get_close_matches(posixpath.basename(wanted), names, n=1, cutoff=0.75)
    return f' Did you mean "{posixpath.relpath(names[meant[0]], folder or ".")}"?' if meant else ""
