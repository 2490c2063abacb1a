"""Running MkDocs from the `handbook` command, in this process."""

from __future__ import annotations

import logging
from pathlib import Path
from typing import Any

from mkdocs.commands.build import build
from mkdocs.commands.serve import serve
from mkdocs.config import load_config
from mkdocs.exceptions import Abort, ConfigurationError, MkDocsException

from chorus_handbook.mkdocs_plugin.plugin import ChorusHandbookPlugin
from chorus_handbook.pipeline import Handbook


class SiteNotBuiltError(Exception):
    """MkDocs refused; the message says why."""


def site_folder(config_file: Path) -> Path:
    """Where mkdocs.yml says the site goes. Raises SiteNotBuiltError when it cannot be read."""
    return Path(_load(config_file).site_dir)


def build_site(config_file: Path, folder: Path, book: Handbook, *, strict: bool) -> None:
    """Build an already checked handbook into `folder`. Raises SiteNotBuiltError."""
    config = _load(config_file, site_dir=str(folder), strict=strict)
    plugin = config.plugins.get("chorus-handbook")
    if not isinstance(plugin, ChorusHandbookPlugin):
        raise SiteNotBuiltError(f"{config_file.name} does not list the plugin chorus-handbook")
    plugin.accept(book)
    try:
        config.plugins.on_startup(command="build", dirty=False)
        build(config)
    except (Abort, MkDocsException) as failure:
        raise SiteNotBuiltError(str(failure)) from failure
    finally:
        config.plugins.on_shutdown()


def serve_site(config_file: Path, address: str, *, open_browser: bool) -> None:
    """Serve the handbook and rebuild it after every change, until interrupted."""
    logger = logging.getLogger("mkdocs")
    logger.setLevel(logging.INFO)
    handler = logging.StreamHandler()
    handler.setFormatter(logging.Formatter("%(message)s"))
    logger.addHandler(handler)
    try:
        serve(str(config_file), dev_addr=address, open_in_browser=open_browser)
    except (Abort, MkDocsException) as failure:
        raise SiteNotBuiltError(str(failure)) from failure


def _load(config_file: Path, **options: Any) -> Any:
    try:
        return load_config(str(config_file), **options)
    except (Abort, ConfigurationError, OSError) as failure:
        raise SiteNotBuiltError(f"{config_file.name}: {failure}") from failure
