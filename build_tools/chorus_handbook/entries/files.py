"""Finds the content files of a handbook, and the kind of each.

The name of a file becomes the address of its page, so a name that cannot be an address is refused
here.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from chorus_handbook.entries import kinds
from chorus_handbook.entries.kind import Kind
from chorus_handbook.entries.page_addresses import check_addresses
from chorus_handbook.problems import Place, Problem
from chorus_handbook.source import shown_path
from chorus_handbook.source.names import TAKEN_ADDRESSES, as_name, is_left_behind

_ENDINGS = (".md", ".markdown")


@dataclass(frozen=True, slots=True)
class ContentFile:
    """A Markdown file and the kind it belongs to.

    slug: its name among the files of its kind, without the ending ".md"; empty when its name is
        refused and no page can be made of it.
    page: the path of its page below the handbook's folder.
    problems: why its name is refused; empty when it is accepted.
    """

    path: Path
    kind: Kind[Any]
    slug: str
    page: str
    problems: tuple[Problem, ...] = ()


def markdown_files(folder: Path) -> list[Path]:
    """Every Markdown file below a folder, sorted by name, without hidden files and the backup files
    of editors. Links to folders are not followed."""
    return [
        path
        for path in files_below(folder)
        if path.suffix.lower() in _ENDINGS
        and not any(
            part.startswith(".") or is_left_behind(part) for part in path.parts[len(folder.parts) :]
        )
    ]


def files_below(folder: Path) -> list[Path]:
    """Every file and folder below a folder, sorted by name. Links to folders are not followed. A
    folder that cannot be listed is skipped here and reported by `folders.check_folders`."""
    return sorted(
        path
        for place, folders, names in os.walk(folder)
        for path in map(Path(place).joinpath, (*folders, *names))
    )


def content_files(root: Path) -> Iterator[ContentFile]:
    """The content files of the handbook in the folder `root`, kind by kind."""
    for kind in kinds.KINDS:
        yield from _in_folder(kind, root) if kind.folder else _anywhere(kind, root)


def _anywhere(kind: Kind[Any], root: Path) -> Iterator[ContentFile]:
    """The files of the kind that has no folder: all files outside the folders of other kinds."""
    others = kinds.folders_without_prose()
    files = {
        shown_path(path, root): path
        for path in markdown_files(root)
        if path.relative_to(root).parts[0] not in others
    }
    refused = {problem.place.path: problem for problem in check_addresses(files)}
    for shown, path in files.items():
        page = shown.partition("/")[2]
        if shown in refused:
            yield ContentFile(path, kind, "", page, (refused[shown],))
        else:
            yield ContentFile(path, kind, page.removesuffix(".md"), page)


def _in_folder(kind: Kind[Any], root: Path) -> Iterator[ContentFile]:
    """The files of a kind that has a folder."""
    files = markdown_files(root / kind.folder)
    good = {path.stem for path in files if _is_address(path, kind, root)}
    for path in files:
        slug, problem = path.stem, None
        if not _is_address(path, kind, root):
            slug, problem = _refused(path, kind, root, good)
        yield ContentFile(path, kind, slug, kind.page(slug), (problem,) if problem else ())


def _is_address(path: Path, kind: Kind[Any], root: Path) -> bool:
    """Whether the file has a valid name and lies directly in the folder of its kind."""
    is_name = path.stem not in TAKEN_ADDRESSES and kind.as_name(path.stem) == path.stem
    return is_name and path.suffix == ".md" and path.parent == root / kind.folder


def _refused(path: Path, kind: Kind[Any], root: Path, good: set[str]) -> tuple[str, Problem]:
    """The slug that the author may have meant, and the problem of the file's name. `good` are the
    slugs of the files in the folder that have valid names."""
    place = Place(shown_path(path, root))
    better = kind.as_name(path.stem)
    if path.stem.lower() in good:
        return path.stem.lower(), Problem(
            place,
            "slug-twice",
            f'There is already {kind.one} "{path.stem.lower()}".',
            "Give this file another name, or delete one of the two.",
        )
    if path.parent != root / kind.folder:
        return better, Problem(
            place,
            "file-name",
            f'This {kind.name} is in a folder inside "{kind.folder}", but all {kind.name}s must be '
            f'directly in "{kind.folder}".',
            f'Move it to "{kind.folder}/{better or "name"}.md".',
        )
    such_as = f', such as "{better}.md"' if better and better not in TAKEN_ADDRESSES else ""
    name = place.path.rpartition("/")[2]
    if as_name(path.stem) == path.stem and better.endswith(f"-{path.stem}"):
        return better, Problem(
            place,
            "file-name",
            f'The name of a {kind.name}\'s file begins with a date, but "{name}" does not.',
            f"Write its date as year, month and day before the name{such_as}.",
        )
    return better, Problem(
        place,
        "file-name",
        f'The file name "{name}" cannot be used as the address of a page.',
        "Rename the file: use only small letters, digits and hyphens, and the ending "
        f'".md"{such_as}.',
    )
