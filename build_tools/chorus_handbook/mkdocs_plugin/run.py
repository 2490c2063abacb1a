"""Runs MkDocs in this process, for the commands `handbook build` and `handbook serve`."""

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
from chorus_handbook.records.manifest import Manifest
from chorus_handbook.records.old_files import OldFiles


class SiteNotBuiltError(Exception):
    """MkDocs could not build the site; the message says why."""


@dataclass(frozen=True, slots=True)
class RequestedSite:
    """What mkdocs.yml asks for.

    folder: the folder of the site.
    tracks: whether the site has practice tracks.
    warnings: MkDocs's warnings about settings that it ignores.
    config: all settings, as MkDocs has read them.
    """

    folder: Path
    tracks: bool
    warnings: tuple[str, ...]
    config: MkDocsConfig


def requested_site(config_file: Path) -> RequestedSite:
    """Read mkdocs.yml. Raises SiteNotBuiltError when that fails."""
    with complaints() as warnings:
        config = _load(config_file)
    tracks = _plugin(config, config_file).config.tracks
    return RequestedSite(Path(config.site_dir), tracks, tuple(warnings), config)


@dataclass(frozen=True, slots=True)
class BuildResult:
    """The result of a build.

    manifest: the list of the site's files.
    why_not: why every page was made again; empty when stored pages could be used.
    rendered, kept: how many pages were made, and how many taken from earlier builds.
    linked: how many files are hard links to those of the old site.
    """

    manifest: Manifest
    why_not: str
    rendered: int
    kept: int
    linked: int


def build_site(
    requested: RequestedSite,
    folder: Path,
    book: Handbook,
    *,
    strict: bool,
    old: OldFiles | None = None,
) -> BuildResult:
    """Build the site of a handbook that has been checked. Raises SiteNotBuiltError.

    requested: what mkdocs.yml asks for. It is changed by the build, so each build needs a new one.
    folder: where the site is written, in place of the folder that mkdocs.yml names.
    strict: whether MkDocs's warnings are errors.
    old: the files of the site that was built before. A file with the same content is not written
        again; it becomes a hard link to the old one.
    """
    config = requested.config
    config.site_dir, config.strict = str(folder), strict
    plugin = _plugin(config, Path(config.config_file_path or "mkdocs.yml"))
    plugin.accept(book, old)
    try:
        with complaints() as messages:
            config.plugins.on_startup(command="build", dirty=False)
            build(config)
    except (Abort, MkDocsException, TemplateError) as failure:
        raise SiteNotBuiltError("\n".join([*messages, reason(failure)])) from failure
    finally:
        config.plugins.on_shutdown()
    rendered = len(plugin.rendered)
    kept = len(book.site.plans) - rendered if book.site else 0
    return BuildResult(plugin.manifest, plugin.why_not, rendered, kept, old.linked if old else 0)


def serve_site(config_file: Path, address: str, *, open_browser: bool) -> None:
    """Serve the handbook at `address` and rebuild it after every change, until interrupted. Raises
    SiteNotBuiltError or OSError when it cannot start."""
    from mkdocs.commands.serve import serve  # late: a build needs no web server

    _load(config_file)  # reports what is wrong with it in one line
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
    """Read mkdocs.yml, with further `options` in place of its own. Raises SiteNotBuiltError if it
    cannot be read, or asks for something that our plugin does not allow."""
    try:
        with complaints() as messages:
            config = load_config(str(config_file), **options)
    except OSError as failure:
        raise SiteNotBuiltError(f"{config_file}: {failure.strerror}") from failure
    except Exception as failure:  # other plugins and YAML may raise anything
        message = "; ".join(messages) or reason(failure)
        raise SiteNotBuiltError(f"{config_file.name}: {message}") from failure
    refused = refusals(config)
    if refused:
        raise SiteNotBuiltError("\n".join(refused))
    return config


def _plugin(config: MkDocsConfig, config_file: Path) -> ChorusHandbookPlugin:
    """Our plugin in this configuration. Raises SiteNotBuiltError if it is not listed there."""
    plugin = config.plugins.get("chorus-handbook")
    if not isinstance(plugin, ChorusHandbookPlugin):
        raise SiteNotBuiltError(
            f'{config_file.name} does not list the plugin "chorus-handbook" below "plugins:"'
        )
    return plugin
