"""Running MkDocs from the `handbook` command, in this process."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from mkdocs.commands.build import build
from mkdocs.config import load_config
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import Abort, ConfigurationError, MkDocsException

from chorus_handbook.mkdocs_plugin.plugin import ChorusHandbookPlugin
from chorus_handbook.pipeline import Handbook


class SiteNotBuiltError(Exception):
    """MkDocs refused; the message says why."""


@dataclass(frozen=True, slots=True)
class Wishes:
    """What mkdocs.yml says of the site: where it goes, and whether it offers practice tracks.
    `doubts` are what MkDocs does not understand in it and passes over."""

    folder: Path
    tracks: bool
    doubts: tuple[str, ...]


def wishes(config_file: Path) -> Wishes:
    """What mkdocs.yml says of the site. Raises SiteNotBuiltError when it cannot be read."""
    with _complaints() as doubts:
        config = _load(config_file)
    tracks = _plugin(config, config_file).config.tracks
    return Wishes(Path(config.site_dir), tracks, tuple(doubts))


def build_site(config_file: Path, folder: Path, book: Handbook, *, strict: bool) -> None:
    """Build an already checked handbook into `folder`. Raises SiteNotBuiltError."""
    config = _load(config_file, site_dir=str(folder), strict=strict)
    _plugin(config, config_file).accept(book)
    try:
        with _complaints() as said:
            config.plugins.on_startup(command="build", dirty=False)
            build(config)
    except (Abort, MkDocsException) as failure:
        raise SiteNotBuiltError("\n".join([*said, str(failure)])) from failure
    finally:
        config.plugins.on_shutdown()


def serve_site(config_file: Path, address: str, *, open_browser: bool) -> None:
    """Serve the handbook and rebuild it after every change, until interrupted."""
    from mkdocs.commands.serve import serve  # late: a build needs no web server

    logger = logging.getLogger("mkdocs")
    logger.setLevel(logging.INFO)
    handler = logging.StreamHandler()
    handler.setFormatter(logging.Formatter("%(message)s"))
    logger.addHandler(handler)
    try:
        serve(str(config_file), dev_addr=address, open_in_browser=open_browser)
    except (Abort, MkDocsException) as failure:
        raise SiteNotBuiltError(str(failure)) from failure


def _load(config_file: Path, **options: Any) -> MkDocsConfig:
    try:
        with _complaints() as said:
            return load_config(str(config_file), **options)
    except (Abort, ConfigurationError, OSError) as failure:
        message = "; ".join(said) or str(failure)
        raise SiteNotBuiltError(f"{config_file.name}: {message}") from failure


def _plugin(config: MkDocsConfig, config_file: Path) -> ChorusHandbookPlugin:
    plugin = config.plugins.get("chorus-handbook")
    if not isinstance(plugin, ChorusHandbookPlugin):
        raise SiteNotBuiltError(f"{config_file.name} does not list the plugin chorus-handbook")
    return plugin


class _Listener(logging.Handler):
    def __init__(self, said: list[str]) -> None:
        super().__init__(logging.WARNING)
        self._said = said

    def emit(self, record: logging.LogRecord) -> None:
        self._said.append(record.getMessage())


@contextmanager
def _complaints() -> Iterator[list[str]]:
    """What MkDocs logs as wrong: its exceptions only say that something was."""
    said: list[str] = []
    handler = _Listener(said)
    logger = logging.getLogger("mkdocs")
    logger.addHandler(handler)
    try:
        yield said
    finally:
        logger.removeHandler(handler)
