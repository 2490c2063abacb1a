"""Everything that a site is made from, file by file.

A build leaves a list of its inputs in the store. While the next one finds the same, there is
nothing to build; and where something has changed, it can say what.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from hashlib import sha256
from pathlib import Path

from chorus_handbook.dependencies import program

#: Stands for a link to a folder: what lies behind it is not looked at.
_FOLDER_LINK = "a link to a folder"
#: Version control keeps itself in a folder of this name; what it says of the date is asked for.
_NO_PART = ".git"

#: How files look from outside, by path.
Looks = dict[str, tuple[int, ...]]


@dataclass(frozen=True, slots=True)
class Inputs:
    """`files` are digests by path, from the project's folder on. `program` names this program and
    all that is installed beside it, `date` the day that the site bears, `options` how it was asked
    for."""

    files: dict[str, str]
    program: str
    date: str
    options: str

    def to_json(self) -> bytes:
        """One line."""
        return json.dumps(asdict(self), sort_keys=True).encode()

    @classmethod
    def from_json(cls, data: bytes) -> Inputs | None:
        """What an earlier build left, None where it is of no use."""
        try:
            found = cls(**json.loads(data))
        except (ValueError, TypeError):
            return None
        return found if isinstance(found.files, dict) else None

    @property
    def whole(self) -> bool:
        """Whether the list has everything in the handbook's folder."""
        return _FOLDER_LINK not in self.files.values()

    def changes(self, before: Inputs) -> Iterator[str]:
        """What has changed since, each in a few plain words."""
        for path in sorted({*self.files, *before.files}):
            if path not in before.files:
                yield f"{path} is new"
            elif path not in self.files:
                yield f"{path} is gone"
            elif self.files[path] != before.files[path]:
                yield f"{path} has changed"
        if self.program != before.program:
            yield "the program, or a library beside it, has changed"
        if self.date != before.date:
            yield "the date of the newest change is another"
        if self.options != before.options:
            yield "the site is asked for in another way"


def inputs_of(root: Path, config_file: Path, *, date: str, options: str) -> Inputs:
    """The inputs of the handbook in the folder `root` now."""
    files = {path: _digest(file) for path, file in _files(root, config_file)}
    return Inputs(files, program(), date, options)


def looks_of(root: Path, config_file: Path) -> Looks:
    """Size, times and number of every input. A file that is changed and changed back looks
    different all the same."""
    return {path: _look(file) for path, file in _files(root, config_file)}


def _files(root: Path, config_file: Path) -> Iterator[tuple[str, Path]]:
    """Every input by its path, in one order, and with it links to folders, which are not followed.
    Of the folders, version control's own has no part in a site."""
    project = root.parent
    yield config_file.relative_to(project).as_posix(), config_file
    for place, folders, files in os.walk(root):
        links = [name for name in folders if Path(place, name).is_symlink()]
        folders[:] = sorted({*folders} - {*links, _NO_PART})
        for name in sorted([*files, *links]):
            file = Path(place, name)
            yield file.relative_to(project).as_posix(), file


def _digest(path: Path) -> str:
    """A digest of a file; of one that is no plain file or cannot be read, why. Files behind links
    are told apart from others: not everywhere may a link stand."""
    try:
        link = "link to " if path.is_symlink() else ""
        if not path.is_file():
            return _FOLDER_LINK if path.is_dir() else f"{link}no file"
        return f"{link}{sha256(path.read_bytes()).hexdigest()}"
    except OSError as failure:
        return f"unreadable: {failure.errno}"


def _look(path: Path) -> tuple[int, ...]:
    try:
        found = path.stat()
    except OSError as failure:
        return (failure.errno or 0,)
    return found.st_size, found.st_mtime_ns, found.st_ctime_ns, found.st_ino
