"""Whether every page that authors write whole has an address of its own.

The name of a page's file becomes its address: `a/b.md` is published as `a/b/`, and so is
`a/b/index.md`. Two pages with one address would replace one another without a word.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import PurePosixPath

from chorus_handbook.entries import kinds
from chorus_handbook.problems import Place, Problem

#: Addresses of files that every site has, below its top.
_FILES = frozenset({"404.html", "sitemap.xml", "sitemap.xml.gz"})


def check_addresses(files: Iterable[str]) -> Iterator[Problem]:
    """An error `file-name` for each page whose address is taken, by the names of their files in
    messages."""
    taken = _FILES | {kind.folder for kind in kinds.KINDS if kind.list_title}
    first: dict[str, str] = {}
    for file in files:
        path = file.partition("/")[2]
        address = _address(path)
        top = address.split("/")[0]
        if path.split("/")[0] in kinds.GENERATED:
            yield _problem(
                file,
                f'The folder "{top}" is for pages that the handbook makes.',
                "Move this page to another folder.",
            )
        elif PurePosixPath(path).stem == "README":
            yield _problem(
                file,
                "A page called README would take the place of its folder's first page.",
                "Name it index.md if it is that page; else give it another name, or move it out of "
                "the handbook's folder.",
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
                f'The address "{address}/" is taken by {first[address]}.',
                "Give one of the two files another name.",
            )
        first.setdefault(address, path)


def _problem(file: str, message: str, hint: str) -> Problem:
    return Problem(Place(file), "file-name", message, hint)


def _address(path: str) -> str:
    page = PurePosixPath(path)
    return (page.parent if page.stem == "index" else page.with_suffix("")).as_posix()
