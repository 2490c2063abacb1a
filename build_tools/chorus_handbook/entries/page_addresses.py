"""Checks that no two pages of free text have the same address, and that none has the address of a
page that the program makes.

The path of a file becomes the address of its page: `a/b.md` is published as `a/b/`, and so is
`a/b/index.md`. Without this check, one of two such pages would silently replace the other.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import PurePosixPath

from chorus_handbook.entries import kinds
from chorus_handbook.problems import Place, Problem

#: Files and pages at the top of every site.
_FILES = frozenset({"404.html", "sitemap.xml", "sitemap.xml.gz", "find", "kept", "search"})


def check_addresses(files: Iterable[str]) -> Iterator[Problem]:
    """Yields an error `file-name` for each file whose address is taken already. `files` are paths
    as messages show them, beginning with the name of the handbook's folder."""
    taken = _FILES | {kind.folder for kind in kinds.KINDS if kind.list_title}
    first: dict[str, str] = {}
    for file in files:
        path = file.partition("/")[2]
        address = _address(path)
        top = address.split("/")[0]
        if path.split("/")[0] in kinds.GENERATED:
            yield _problem(
                file,
                f'The folder "{top}" is reserved for pages that the program generates.',
                "Move this file to another folder.",
            )
        elif PurePosixPath(path).stem == "README":
            yield _problem(
                file,
                'A page called "README" would become the start page of its folder.',
                'If that is meant, rename it to "index.md"; if not, give it another name, or move '
                "it out of the handbook's folder.",
            )
        elif top in taken:
            yield _problem(
                file,
                f'The address "{address}/" belongs to a page that every handbook has.',
                "Give the file another name.",
            )
        elif address in first:
            yield _problem(
                file,
                f'The address "{address}/" is already that of the file "{first[address]}".',
                "Give one of the two files another name.",
            )
        first.setdefault(address, path)


def _problem(file: str, message: str, hint: str) -> Problem:
    return Problem(Place(file), "file-name", message, hint)


def _address(path: str) -> str:
    """The address of the page of a file, without the slash at its end: "a/b" for the path "a/b.md",
    and also for "a/b/index.md"."""
    page = PurePosixPath(path)
    return (page.parent if page.stem == "index" else page.with_suffix("")).as_posix()
