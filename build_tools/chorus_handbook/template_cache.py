"""Compiled templates, stored in the user's cache folder and never in the project: they are code,
and a project may come from anyone.
"""

from __future__ import annotations

import os
from pathlib import Path

import jinja2
from jinja2 import BytecodeCache, FileSystemBytecodeCache


def compiled_templates(options: str) -> BytecodeCache | None:
    """The cache of templates that were compiled with this version of Jinja; None when its folder
    cannot be made. `options` names the Jinja options that change the compiled code, such as
    escaping: templates that were compiled with other options are kept apart."""
    cache_home = os.environ.get("XDG_CACHE_HOME", "")
    base = Path(cache_home) if cache_home else Path.home() / ".cache"
    folder = base / "chorus-handbook" / options / jinja2.__version__
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except (OSError, RuntimeError):
        return None
    return FileSystemBytecodeCache(str(folder))
