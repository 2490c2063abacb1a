"""Reads a handbook for another program. docs/api.md explains what can be done with it."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from chorus_handbook.pipeline import Handbook


def load(root: str | os.PathLike[str], *, cache: str | os.PathLike[str] | None = None) -> Handbook:
    """Read, measure and check the handbook in a folder, without drawing anything.

    `root` is the folder that holds `handbook/`, or that folder itself. `cache` is a folder
    in which results are stored for the next time, such as the `.cache/handbook` that the commands
    use; without one, nothing is written. The result's `problems` list what is wrong in the files;
    its `broken` says whether there are errors among them. Raises FileNotFoundError if there is no
    handbook in the folder.
    """
    from chorus_handbook import pipeline
    from chorus_handbook.cache import Cache
    from chorus_handbook.commands.project import Project, WrongUsageError

    try:
        folder = Project(Path(root)).root
    except WrongUsageError as reason:
        raise FileNotFoundError(str(reason)) from reason
    return pipeline.read(folder, Cache(Path(cache) if cache is not None else None))
