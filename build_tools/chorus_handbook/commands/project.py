"""Finds what a command works on: mkdocs.yml, the folder of the handbook, and the cache."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from chorus_handbook.cache import Cache

if TYPE_CHECKING:
    from chorus_handbook.pipeline import Handbook


class WrongUsageError(Exception):
    """The command cannot work with these arguments; the message says what to do instead."""


@dataclass(frozen=True, slots=True)
class Project:
    """The folder that a command works in: the one that contains `handbook/`, or `handbook/`
    itself."""

    folder: Path

    @property
    def root(self) -> Path:
        """The handbook's folder inside the project, which may be a link to a folder elsewhere.
        Raises WrongUsageError if there is none."""
        folder = Path(os.path.abspath(self.folder))  # noqa: PTH100  (resolve would follow links)
        for candidate in (folder / "handbook", folder):
            if (candidate / "chorus.yml").exists():
                return candidate
        if (folder / "handbook").is_dir():
            return folder / "handbook"
        if (folder / "handbook").is_symlink():
            raise WrongUsageError(
                f'"{folder / "handbook"}" is a link to a folder that does not exist; put that '
                "folder back, or make the link again"
            )
        if not folder.exists():
            raise WrongUsageError(f'there is no folder "{folder}"; correct its name')
        raise WrongUsageError(
            f'there is no handbook in "{folder}". Go to the folder that contains '
            "handbook/chorus.yml, or name that folder: handbook --project DIR ..."
        )

    @property
    def config_file(self) -> Path:
        """The path of mkdocs.yml. Raises WrongUsageError when it is missing."""
        path = self.root.parent / "mkdocs.yml"
        if path.is_file():
            return path
        if path.exists():
            raise WrongUsageError(f'"{path}" is not a file; a site cannot be built without one')
        raise WrongUsageError(f'"{path}" is missing; a site cannot be built without it')

    def read(self, cache: Cache | None = None) -> Handbook:
        """Read and check the handbook, which may have errors. `cache` is used instead of the
        project's own. Raises WrongUsageError if the handbook is in a newer format than this program
        reads."""
        from chorus_handbook import pipeline

        book = pipeline.read(self.root, cache or self.cache)
        if book.config.newer:
            (problem,) = book.problems
            raise WrongUsageError(f"{problem.message} {problem.hint}")
        return book

    @property
    def cache(self) -> Cache:
        """The cache of costly results, in a folder beside mkdocs.yml."""
        return Cache(self.root.parent / ".cache" / "handbook")
