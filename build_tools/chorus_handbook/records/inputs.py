"""Lists the inputs of a build: every file that the site is made from, the program and the options.

A build saves the list of its inputs. If the next build finds the same inputs, there is nothing to
build; otherwise it can say what has changed.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from hashlib import sha256
from pathlib import Path

from chorus_handbook.dependencies import program_hash

#: Stands in place of the digest of a link to a folder, because such links are not followed.
_FOLDER_LINK = "a link to a folder"
#: The folder of version control. It is not an input; only the date that is read from it is one.
_IGNORED = ".git"

#: The size, times and inode number of each file, by its path.
Looks = dict[str, tuple[int, ...]]


@dataclass(frozen=True, slots=True)
class Inputs:
    """What one build is made from.

    files: a digest of every file, keyed by its path relative to the project's folder.
    program: identifies this program and everything that is installed beside it.
    date: the date that the site shows.
    options: the options of the build.
    """

    files: dict[str, str]
    program: str
    date: str
    options: str

    def to_json(self) -> bytes:
        """The inputs as one line of JSON."""
        return json.dumps(asdict(self), sort_keys=True).encode()

    @classmethod
    def from_json(cls, data: bytes) -> Inputs | None:
        """The inputs that an earlier build saved; None if they are damaged."""
        try:
            found = cls(**json.loads(data))
        except (ValueError, TypeError):
            return None
        return found if isinstance(found.files, dict) else None

    @property
    def whole(self) -> bool:
        """Whether the list is complete. It is not if there is a link to a folder, because such
        links are not followed."""
        return _FOLDER_LINK not in self.files.values()

    def changes(self, before: Inputs) -> Iterator[str]:
        """What has changed since the inputs `before`, each change in a short sentence."""
        for path in sorted({*self.files, *before.files}):
            if path not in before.files:
                yield f"{path} is new"
            elif path not in self.files:
                yield f"{path} was removed"
            elif self.files[path] != before.files[path]:
                yield f"{path} has changed"
        if self.program != before.program:
            yield "the program, or a library beside it, has changed"
        if self.date != before.date:
            yield "the date of the newest change differs"
        if self.options != before.options:
            yield "the options of the build differ"


def inputs_of(root: Path, config_file: Path, *, date: str, options: str) -> Inputs:
    """The inputs of a build of the handbook in the folder `root`, as they are now: files are read.
    `date` is the date that the site shows, `options` are the options of the build."""
    files = {path: _digest(file) for path, file in _files(root, config_file)}
    return Inputs(files, program_hash(), date, options)


def looks_of(root: Path, config_file: Path) -> Looks:
    """The size, times and inode number of every input. Unlike digests, they differ even if a file
    was changed and changed back."""
    return {path: _look(file) for path, file in _files(root, config_file)}


def _files(root: Path, config_file: Path) -> Iterator[tuple[str, Path]]:
    """Every input with its path, in a fixed order. Links to folders are among them, but are not
    followed; the folder of version control is left out."""
    project = root.parent
    yield config_file.relative_to(project).as_posix(), config_file
    for place, folders, files in os.walk(root):
        links = [name for name in folders if Path(place, name).is_symlink()]
        folders[:] = sorted({*folders} - {*links, _IGNORED})
        for name in sorted([*files, *links]):
            file = Path(place, name)
            yield file.relative_to(project).as_posix(), file


def _digest(path: Path) -> str:
    """A digest of a file, or the reason why it has none. A link to a file differs from the file,
    because links are not allowed everywhere."""
    try:
        link = "link to " if path.is_symlink() else ""
        if not path.is_file():
            return _FOLDER_LINK if path.is_dir() else f"{link}no file"
        return f"{link}{sha256(path.read_bytes()).hexdigest()}"
    except OSError as failure:
        return f"unreadable: {failure.errno}"


def _look(path: Path) -> tuple[int, ...]:
    """The size, times and inode number of a file; the number of the error if it has none."""
    try:
        found = path.stat()
    except OSError as failure:
        return (failure.errno or 0,)
    return found.st_size, found.st_mtime_ns, found.st_ctime_ns, found.st_ino
