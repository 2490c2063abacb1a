"""The theme's templates, compiled once and found quickly.

MkDocs compiles every template of the theme anew in every build, and to find the theme's own files
walks through its thousands of icons. Compiled templates are kept by the user, never in the project:
they are code, and a project may come from anyone.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import jinja2
from jinja2 import BytecodeCache, Environment, FileSystemBytecodeCache, FileSystemLoader
from mkdocs.theme import Theme


class _Loader(FileSystemLoader):
    """Lists what MkDocs asks for: it leaves out whatever lies in a hidden folder."""

    def list_templates(self) -> list[str]:
        found = set()
        for place in map(Path, self.searchpath):
            for folder, folders, files in os.walk(place, followlinks=self.followlinks):
                folders[:] = [name for name in folders if not name.startswith(".")]
                found |= {(Path(folder) / name).relative_to(place).as_posix() for name in files}
        return sorted(found)


class _QuickTheme:
    """Gives a theme's environments our loader and what was compiled before."""

    def __init__(self, make: Callable[[], Environment], theme: Theme) -> None:
        self._make = make
        self._theme = theme

    def __call__(self) -> Environment:
        environment = self._make()
        environment.loader = _Loader(self._theme.dirs)
        environment.bytecode_cache = _compiled()
        return environment


def quicken(theme: Theme) -> None:
    """Have the theme make quick environments from now on."""
    if not isinstance(theme.get_env, _QuickTheme):
        setattr(theme, "get_env", _QuickTheme(theme.get_env, theme))  # noqa: B010  (no subclass fits)


def _compiled() -> BytecodeCache | None:
    """What this user compiled with this Jinja; None where there is no place to keep it."""
    told = os.environ.get("XDG_CACHE_HOME", "")
    base = Path(told) if told else Path.home() / ".cache"
    folder = base / "chorus-handbook" / "templates" / jinja2.__version__
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except (OSError, RuntimeError):
        return None
    return FileSystemBytecodeCache(str(folder))
