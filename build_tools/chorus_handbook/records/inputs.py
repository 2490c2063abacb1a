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

from chorus_handbook.records.dependencies import program


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
    project = root.parent
    places = [config_file, *_files(root)]
    files = {path.relative_to(project).as_posix(): _digest(path) for path in places}
    return Inputs(files, program(), date, options)


def _files(folder: Path) -> Iterator[Path]:
    """Every file below a folder, in one order. Links to folders are not followed."""
    for place, folders, files in os.walk(folder):
        folders.sort()
        yield from (Path(place) / name for name in sorted(files))


def _digest(path: Path) -> str:
    """A digest of a file; of one that is no plain file or cannot be read, why."""
    try:
        if not path.is_file():
            return "no file"
        return sha256(path.read_bytes()).hexdigest()
    except OSError as failure:
        return f"unreadable: {failure.errno}"
