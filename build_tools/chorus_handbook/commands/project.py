"""Where a project lies: mkdocs.yml, the handbook's folder, the store of costly results."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from chorus_handbook.cache import Cache


class WrongUsageError(Exception):
    """The command was called in a way that cannot work; the message says what to do instead."""


@dataclass(frozen=True, slots=True)
class Project:
    """A project by its folder: the one that holds `handbook/`, or `handbook/` itself."""

    folder: Path

    @property
    def root(self) -> Path:
        """The handbook's folder. Raises WrongUsageError when there is none."""
        for candidate in (self.folder / "handbook", self.folder):
            if (candidate / "chorus.yml").exists():
                return candidate.resolve()
        if (self.folder / "handbook").is_dir():
            return (self.folder / "handbook").resolve()
        raise WrongUsageError(
            f'there is no handbook in "{self.folder.resolve()}". Go to the folder that holds '
            "handbook/chorus.yml, or name it: handbook --project DIR ..."
        )

    @property
    def config_file(self) -> Path:
        """mkdocs.yml. Raises WrongUsageError when it is missing."""
        path = self.root.parent / "mkdocs.yml"
        if not path.is_file():
            raise WrongUsageError(f'"{path}" is missing; a site cannot be built without it')
        return path

    @property
    def cache(self) -> Cache:
        """Costly results of earlier runs, beside mkdocs.yml."""
        return Cache(self.root.parent / ".cache" / "handbook")
