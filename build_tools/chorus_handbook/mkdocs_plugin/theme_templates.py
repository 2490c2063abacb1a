"""Makes the theme's templates escape what they print, and load faster.

MkDocs's templates print text unescaped. Here they escape it, so that a title with a quote or a tag
stays text wherever the theme puts it, even in an attribute; HTML is passed as `Markup`. Only
translations are not escaped: they also go into scripts, where an apostrophe must not become
`&#39;`.

MkDocs also compiles every template in every build; here they are stored once compiled
(`template_cache`).
"""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

from jinja2 import Environment, FileSystemLoader
from mkdocs.theme import Theme

from chorus_handbook.template_cache import compiled_templates

#: The name of the store of compiled templates; those compiled without escaping have another.
ESCAPING = "escaping-templates"


class _Loader(FileSystemLoader):
    """Does not list hidden folders: the theme has thousands of icons in one, which MkDocs
    ignores."""

    def list_templates(self) -> list[str]:
        found = set()
        for place in map(Path, self.searchpath):
            for folder, folders, files in os.walk(place, followlinks=self.followlinks):
                folders[:] = [name for name in folders if not name.startswith(".")]
                found |= {(Path(folder) / name).relative_to(place).as_posix() for name in files}
        return sorted(found)


def _escapes(template: str | None) -> bool:
    """Whether the template with this name escapes what it prints: all do but translations."""
    return template is None or not template.startswith("partials/languages/")


class _PreparedTheme:
    """Makes template environments with escaping, our loader, and the stored compiled templates."""

    def __init__(self, make: Callable[[], Environment], theme: Theme) -> None:
        self._make = make
        self._theme = theme

    def __call__(self) -> Environment:
        environment = self._make()
        environment.autoescape = _escapes
        environment.loader = _Loader(self._theme.dirs)
        environment.bytecode_cache = compiled_templates(ESCAPING)
        return environment


def prepare_templates(theme: Theme) -> None:
    """From now on, make the templates of this theme escape what they print, and load faster."""
    if not isinstance(theme.get_env, _PreparedTheme):
        setattr(theme, "get_env", _PreparedTheme(theme.get_env, theme))  # noqa: B010  (no subclass fits)
