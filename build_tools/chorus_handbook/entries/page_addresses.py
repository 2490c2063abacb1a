"""Whether every page that authors write whole has an address of its own.

The name of a page's file becomes its address: `a/b.md` is published as `a/b/`, and so is
`a/b/index.md`. Two pages with one address would replace one another without a word.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import PurePosixPath

from chorus_handbook.problems import Place, Problem

#: Addresses of pages and files that every site has, below its top.
_TAKEN = frozenset({"exercises", "404.html", "sitemap.xml", "sitemap.xml.gz"})


def check_addresses(pages: Iterable[tuple[str, Place]]) -> Iterator[Problem]:
    """Errors `file-name` for pages, by their paths below the handbook, whose address is taken."""
    first: dict[str, str] = {}
    for path, place in pages:
        address = _address(path)
        if PurePosixPath(path).stem == "README":
            yield Problem(
                place.at(1),
                "file-name",
                "A page called README would take the place of its folder's first page.",
                "Name it index.md if it is that page; else give it another name, or move it out of "
                "the handbook's folder.",
            )
        elif address.split("/")[0] in _TAKEN:
            yield Problem(
                place.at(1),
                "file-name",
                f'The address "{address}/" belongs to a page that every handbook has.',
                "Give the file another name.",
            )
        elif address in first:
            yield Problem(
                place.at(1),
                "file-name",
                f'The address "{address}/" is taken by {first[address]}.',
                "Give one of the two files another name.",
            )
        first.setdefault(address, path)


def _address(path: str) -> str:
    page = PurePosixPath(path)
    return (page.parent if page.stem == "index" else page.with_suffix("")).as_posix()
