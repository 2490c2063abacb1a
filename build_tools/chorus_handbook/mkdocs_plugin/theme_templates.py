"""The theme's templates: they escape what they print, are compiled once and found quickly.

MkDocs has templates print text as it is. Here they escape it, so that a title with a quote or a
tag in it stays text wherever the theme puts it, in an attribute too. What is HTML comes as
`Markup`. Only the translations are left alone: they go into scripts as well, where an apostrophe
must not become `&#39;`.

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


def _escapes(template: str | None) -> bool:
    return template is None or not template.startswith("partials/languages/")


class _PreparedTheme:
    """Gives a theme's environments escaping, our loader, and what was compiled before."""

    def __init__(self, make: Callable[[], Environment], theme: Theme) -> None:
        self._make = make
        self._theme = theme

    def __call__(self) -> Environment:
        environment = self._make()
        environment.autoescape = _escapes
        environment.loader = _Loader(self._theme.dirs)
        environment.bytecode_cache = _compiled()
        return environment


def prepare_templates(theme: Theme) -> None:
    """Have the theme make escaping, quick environments from now on."""
    if not isinstance(theme.get_env, _PreparedTheme):
        setattr(theme, "get_env", _PreparedTheme(theme.get_env, theme))  # noqa: B010  (no subclass fits)


def _compiled() -> BytecodeCache | None:
    """What this user compiled with this Jinja; None where there is no place to keep it."""
    told = os.environ.get("XDG_CACHE_HOME", "")
    base = Path(told) if told else Path.home() / ".cache"
    # Whether a template escapes is compiled into it: what an older version kept must not serve.
    folder = base / "chorus-handbook" / "escaping-templates" / jinja2.__version__
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except (OSError, RuntimeError):
        return None
    return FileSystemBytecodeCache(str(folder))
