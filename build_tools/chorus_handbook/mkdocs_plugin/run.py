"""Running MkDocs from the `handbook` command, in this process."""

from __future__ import annotations

import logging
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from jinja2 import TemplateError
from mkdocs.commands.build import build
from mkdocs.config import load_config
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import Abort, MkDocsException

from chorus_handbook.mkdocs_plugin.complaints import complaints, reason
from chorus_handbook.mkdocs_plugin.plugin import ChorusHandbookPlugin, log
from chorus_handbook.mkdocs_plugin.settings import refusals
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
    with complaints() as doubts:
        config = _load(config_file)
    tracks = _plugin(config, config_file).config.tracks
    return Wishes(Path(config.site_dir), tracks, tuple(doubts))


def build_site(config_file: Path, folder: Path, book: Handbook, *, strict: bool) -> None:
    """Build an already checked handbook into `folder`. Raises SiteNotBuiltError."""
    config = _load(config_file, site_dir=str(folder), strict=strict)
    _plugin(config, config_file).accept(book)
    try:
        with complaints() as said:
            config.plugins.on_startup(command="build", dirty=False)
            build(config)
    except (Abort, MkDocsException, TemplateError) as failure:
        raise SiteNotBuiltError("\n".join([*said, reason(failure)])) from failure
    finally:
        config.plugins.on_shutdown()


def serve_site(config_file: Path, address: str, *, open_browser: bool) -> None:
    """Serve the handbook and rebuild it after every change, until interrupted. Raises
    SiteNotBuiltError and OSError when it cannot begin."""
    from mkdocs.commands.serve import serve  # late: a build needs no web server

    _load(config_file)  # says what is wrong with it in one line
    logger = logging.getLogger("mkdocs")
    logger.setLevel(logging.INFO)
    handler = logging.StreamHandler()
    handler.setFormatter(logging.Formatter("%(message)s"))
    handler.addFilter(lambda record: record.levelno > logging.INFO or record.name == log.name)
    logger.addHandler(handler)
    log.info("Building the site ...")
    try:
        serve(str(config_file), dev_addr=address, open_in_browser=open_browser)
    except (Abort, MkDocsException, TemplateError) as failure:
        raise SiteNotBuiltError(reason(failure)) from failure
    finally:
        logger.removeHandler(handler)


def _load(config_file: Path, **options: Any) -> MkDocsConfig:
    try:
        with complaints() as said:
            config = load_config(str(config_file), **options)
    except OSError as failure:
        raise SiteNotBuiltError(f"{config_file}: {failure.strerror}") from failure
    except Exception as failure:  # a plugin's own too, and whatever YAML has in store
        message = "; ".join(said) or reason(failure)
        raise SiteNotBuiltError(f"{config_file.name}: {message}") from failure
    refused = refusals(config)
    if refused:
        raise SiteNotBuiltError("\n".join(refused))
    return config


def _plugin(config: MkDocsConfig, config_file: Path) -> ChorusHandbookPlugin:
    plugin = config.plugins.get("chorus-handbook")
    if not isinstance(plugin, ChorusHandbookPlugin):
        raise SiteNotBuiltError(f"{config_file.name} does not list the plugin chorus-handbook")
    return plugin
