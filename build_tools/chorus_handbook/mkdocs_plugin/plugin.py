"""The hooks. Each says when MkDocs calls it and why the work is done there and not elsewhere."""

from __future__ import annotations

import logging
import os
from pathlib import Path
from typing import Any, Literal

from mkdocs.config import config_options
from mkdocs.config.base import Config
from mkdocs.config.config_options import ExtraScriptValue
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import Abort
from mkdocs.plugins import BasePlugin
from mkdocs.structure.files import File, Files, InclusionLevel
from mkdocs.structure.pages import Page as MkDocsPage

from chorus_handbook.cache import Cache
from chorus_handbook.finished import Finished, finish
from chorus_handbook.mkdocs_plugin.build_date import newest_change
from chorus_handbook.mkdocs_plugin.problem_banner import banner, failure_banner
from chorus_handbook.mkdocs_plugin.theme_mends import mend
from chorus_handbook.mkdocs_plugin.theme_templates import quicken
from chorus_handbook.pages import FOLDER, SCRIPTS, STYLES, Page, set_in, set_in_late
from chorus_handbook.published import PUBLISHED
from chorus_handbook.report import as_text, summary

log = logging.getLogger("mkdocs.plugins.chorus-handbook")


class PluginConfig(Config):
    """Options in mkdocs.yml: where costly results are kept, relative to mkdocs.yml; and whether
    the site offers practice tracks (never while it is served, which must be quick)."""

    cache_dir = config_options.Type(str, default=".cache/handbook")
    tracks = config_options.Type(bool, default=False)


class ChorusHandbookPlugin(BasePlugin[PluginConfig]):
    """Feeds the pages of a handbook to MkDocs, which never reads an author's bytes."""

    def __init__(self) -> None:
        self._serving = False
        self._given: Finished | None = None
        self._book: Finished | None = None
        self._pages: dict[str, Page] = {}
        self._grouped: set[str] = set()
        self._banner = ""

    def accept(self, book: Finished) -> None:
        """Use a handbook that has been run already, for the next build only."""
        self._given = book

    def on_startup(self, *, command: Literal["build", "gh-deploy", "serve"], dirty: bool) -> None:
        """Called once; that it exists also keeps this object alive across rebuilds of `serve`."""
        self._serving = command == "serve"

    def on_config(self, config: MkDocsConfig) -> MkDocsConfig:
        """Called first on every build, while the configuration may still change."""
        config.use_directory_urls = True  # our links are made for folders
        quicken(config.theme)
        styles = [f"{FOLDER}/{style}" for style in STYLES]
        config.extra_css += [style for style in styles if style not in config.extra_css]
        for name in SCRIPTS:
            script = ExtraScriptValue(f"{FOLDER}/{name}")
            script.type = "module"
            if script not in config.extra_javascript:
                config.extra_javascript.append(script)
        return config

    def on_pre_build(self, *, config: MkDocsConfig) -> None:
        """Called before MkDocs empties the output: the last moment at which refusing to build
        leaves the published site as it was. `serve` must not raise (it would hang every later
        request), so there the problems are shown in the pages."""
        root = Path(config.docs_dir)
        # The date on which pages say they were made is that of the last change, not of the build.
        os.environ.setdefault("SOURCE_DATE_EPOCH", str(newest_change(root)))
        if self._serving:
            self._book = self._for_its_author(root, config)
            return
        book, self._given = self._given, None
        self._book = book = book or finish(
            root,
            Cache(self._cache_folder(config)),
            strict=config.strict,
            with_tracks=self.config.tracks,
        )
        if book.broken or (config.strict and book.problems):
            raise Abort(f"{as_text(book.problems)}\n{summary(book.problems)}")
        for problem in book.problems:
            log.info(as_text([problem]))

    def _for_its_author(self, root: Path, config: MkDocsConfig) -> Finished | None:
        """What can be read of a handbook that is being written, its problems in the banner."""
        from chorus_handbook import pipeline  # late: a build of unchanged files needs no stage

        try:
            book = pipeline.run(root, Cache(self._cache_folder(config)))
        except Exception as failure:
            log.exception("The handbook could not be read")
            self._banner = failure_banner(failure)
            return None
        self._banner = banner(book.problems)
        return Finished(book.site, book.problems)

    def on_files(self, files: Files, *, config: MkDocsConfig) -> Files:
        """Called when MkDocs has listed docs_dir and before it reads: our pages take the place of
        the authors' files."""
        root = Path(config.docs_dir).resolve()
        for file in list(files):
            if file.src_dir == config.docs_dir and not _published(file, root):
                files.remove(file)
        site = self._book.site if self._book else None
        self._pages = {page.path: page for page in site.pages} if site else {}
        if site is None:
            self._pages["index.md"] = Page("index.md", config.site_name, "", "")
        menu = site.menu if site else (("Home", "index.md"),)
        self._grouped = {p for _, entry in menu if not isinstance(entry, str) for _, p in entry}
        in_menu = {path for _, entry in menu for path in _paths(entry)}
        for path, page in self._pages.items():
            # The thousandth exercise must not lengthen every page's menu.
            level = InclusionLevel.UNDEFINED if path in in_menu else InclusionLevel.NOT_IN_NAV
            files.append(File.generated(config, path, content=page.markdown, inclusion=level))
        for path, content in (site.files if site else {}).items():
            files.append(File.generated(config, path, content=content))
        config.nav = [
            {title: entry if isinstance(entry, str) else [{t: p} for t, p in entry]}
            for title, entry in menu
        ]
        return files

    def on_page_markdown(
        self, markdown: str, *, page: MkDocsPage, config: MkDocsConfig, files: Files
    ) -> str:
        """Called before Markdown runs: where MkDocs takes a page's title and description from."""
        ours = self._pages.get(page.file.src_uri)
        if ours:
            page.meta["title"] = ours.title
            page.meta["description"] = ours.description
            if ours.path not in self._grouped:
                page.meta["hide"] = ["navigation"]  # beside it nothing would stand
            if not ours.searched:
                page.meta["search"] = {"exclude": True}
        return markdown

    def on_page_content(
        self, html: str, *, page: MkDocsPage, config: MkDocsConfig, files: Files
    ) -> str:
        """Called after Markdown and before search reads the page: what search shall find."""
        ours = self._pages.get(page.file.src_uri)
        return self._banner + (set_in(ours, html) if ours else html)

    def on_post_page(self, output: str, *, page: MkDocsPage, config: MkDocsConfig) -> str:
        """Called when the page is finished: scores, which would make Markdown slow and put every
        syllable and note name into the search index."""
        ours = self._pages.get(page.file.src_uri)
        return set_in_late(ours, mend(output)) if ours else mend(output)

    def on_serve(self, server: Any, *, config: MkDocsConfig, builder: Any) -> Any:
        """Called once before `serve` starts to watch; docs_dir is watched already."""
        return server

    def _cache_folder(self, config: MkDocsConfig) -> Path:
        base = Path(config.config_file_path).parent if config.config_file_path else Path.cwd()
        return base / self.config.cache_dir


def _paths(entry: str | tuple[tuple[str, str], ...]) -> tuple[str, ...]:
    return (entry,) if isinstance(entry, str) else tuple(path for _, path in entry)


def _published(file: File, root: Path) -> bool:
    """Whether a file of docs_dir is a picture or document that really lies inside it."""
    if Path(file.src_uri).suffix.lower() not in PUBLISHED or not file.abs_src_path:
        return False
    return Path(file.abs_src_path).resolve().is_relative_to(root)
