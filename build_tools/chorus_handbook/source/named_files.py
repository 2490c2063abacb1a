"""Finds a file that an author names in a field, such as `score: scores/tide.musicxml`.

Each kind of file has its own folder in the handbook. A symbolic link in it is refused if it leads
out of this folder.
"""

from __future__ import annotations

import stat
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from chorus_handbook.source.text import clip


class NamedFileError(Exception):
    """A named file cannot be used. `message` and `hint` are for the author; `missing` says whether
    the reason is that there is no such file."""

    def __init__(self, message: str, hint: str, *, missing: bool = False) -> None:
        super().__init__(message)
        self.message, self.hint, self.missing = message, hint, missing


@dataclass(frozen=True, slots=True)
class NamedFileKind:
    """A kind of file that authors name in a field.

    noun: what messages call such a file, such as "score".
    field: the field in which an author names it.
    folder: the folder of the handbook in which it must be.
    endings: the endings that its name may have, such as ".sf2".
    endings_in_words: the same endings as messages say them.
    remedy: the hint for a file with another ending.
    """

    noun: str
    field: str
    folder: str
    endings: tuple[str, ...]
    endings_in_words: str
    remedy: str


def locate(root: Path, name: str, kind: NamedFileKind) -> Path:
    """The path of the file that an author calls `name`, such as "scores/tide.musicxml", in the
    handbook's folder `root`. Raises NamedFileError if the file cannot be used."""
    path = PurePosixPath(name)
    parts = name.split("/")
    if (
        path.is_absolute()
        or not name.isprintable()
        or "\\" in name
        or ":" in name
        or len(parts) < 2
        or parts[0] != kind.folder
        or any(part in ("", ".", "..") for part in parts)
    ):
        raise NamedFileError(
            f'A {kind.noun} must be in the folder "{kind.folder}" of the handbook.',
            f'Copy the file there, and write "{kind.field}: {kind.folder}/{plain(path.name)}".',
        )
    if path.suffix.lower() not in kind.endings:
        raise NamedFileError(
            f'A file that ends in "{plain(path.suffix)}" cannot be used as a {kind.noun}.'
            if path.suffix
            else f"The name of a {kind.noun} ends in {kind.endings_in_words}.",
            kind.remedy,
        )
    file = root / name
    try:
        inside = file.resolve(strict=True).is_relative_to((root / kind.folder).resolve(strict=True))
        status = file.stat()
    except (OSError, ValueError, RuntimeError) as error:
        raise NamedFileError(
            f'There is no file "{plain(name)}".',
            f'Check its name, including capital letters; it must be in the folder "{kind.folder}".',
            missing=True,
        ) from error
    if not inside:
        raise NamedFileError(
            f'"{plain(name)}" is a link to a file outside the folder "{kind.folder}".',
            f'Put the file itself into "{kind.folder}" instead of the link.',
        )
    if not stat.S_ISREG(status.st_mode):
        raise NamedFileError(
            f'"{plain(name)}" is not a file.',
            f"Write the name of a {kind.noun} that ends in {kind.endings_in_words}.",
        )
    return file


def plain(text: str) -> str:
    """A name for use in a message: cut to a readable length, without characters that cannot be
    printed."""
    return "".join(c for c in clip(text) if c.isprintable())
