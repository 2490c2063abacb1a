"""The MkDocs plugin. Each hook says when MkDocs calls it, and why its work is done at that moment.

Whatever is handed to the theme is either plain text, which the templates escape (see
`theme_templates`), or `Markup`: HTML that was cleaned or escaped before. Titles and descriptions
are `Markup`, so that they are safe even if something other than a template prints them.
"""

from __future__ import annotations

import logging
import os
from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import Any, Literal
from urllib.parse import urlsplit

from jinja2 import ChoiceLoader, DictLoader, Environment
from markupsafe import Markup, escape
from mkdocs.config import config_options
from mkdocs.config.base import Config
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import Abort, PluginError
from mkdocs.plugins import BasePlugin, event_priority
from mkdocs.structure.files import File, Files, InclusionLevel
from mkdocs.structure.nav import Navigation
from mkdocs.structure.pages import Page as MkDocsPage
from mkdocs.utils import get_relative_url
from mkdocs.utils.templates import TemplateContext

from chorus_handbook import catalogue, pipeline
from chorus_handbook.cache import Cache
from chorus_handbook.catalogue import _
from chorus_handbook.chorus import read_chorus_config
from chorus_handbook.mkdocs_plugin.build_date import set_date
from chorus_handbook.mkdocs_plugin.handbook_page import (
    KEPT_TEMPLATE,
    SITEMAP,
    HandbookFile,
    HandbookPage,
    KeptPage,
    remove_unpublished,
)
from chorus_handbook.mkdocs_plugin.kept_pages import KeptPages
from chorus_handbook.mkdocs_plugin.preview import Preview
from chorus_handbook.mkdocs_plugin.problem_banner import put_on_top
from chorus_handbook.mkdocs_plugin.settings import refusals, theme_speaks
from chorus_handbook.mkdocs_plugin.theme_fixes import fix_page
from chorus_handbook.mkdocs_plugin.theme_landmarks import with_landmarks
from chorus_handbook.mkdocs_plugin.theme_search import (
    SEARCH_URL,
    turn_off_search,
    unused,
    with_search,
)
from chorus_handbook.mkdocs_plugin.theme_templates import prepare_templates
from chorus_handbook.mkdocs_plugin.watcher import Seen, look
from chorus_handbook.pages import Page, PlannedPage, set_in_late, style_paths
from chorus_handbook.pages.page import INSTRUMENT, Menu, content_hash
from chorus_handbook.pages.site_head import ROBOTS_TAG
from chorus_handbook.pipeline import Handbook
from chorus_handbook.records.manifest import SITE_FILES, Manifest, write_manifest
from chorus_handbook.records.old_files import LostFileError, OldFiles
from chorus_handbook.report import as_text, summary

log = logging.getLogger("mkdocs.plugins.chorus-handbook")

_LOST = "the cache and the old site were changed during this build. Build again"


class PluginConfig(Config):
    """The plugin's options in mkdocs.yml: the folder of the cache, relative to mkdocs.yml; and
    whether the site has practice tracks (`serve` never makes them, because it must be quick)."""

    cache_dir = config_options.Type(str, default=".cache/handbook")
    tracks = config_options.Type(bool, default=False)


class ChorusHandbookPlugin(BasePlugin[PluginConfig]):
    """Gives MkDocs the pages of a handbook. MkDocs itself reads none of the authors' files."""

    def __init__(self) -> None:
        self._serving = False
        #: The handbook from `accept`, until a build uses it; and the handbook of the current build.
        self._given: Handbook | None = None
        self._book: Handbook | None = None
        #: The site that this build replaces, and the store of pages from earlier builds.
        self._old: OldFiles | None = None
        self._kept: KeptPages | None = None
        self._preview = Preview()
        #: The state of the author's files before the first build of `serve`.
        self._seen: Seen = {}
        #: Results of the newest build: its files, why stored pages could not be used, pages
        #: rendered.
        self.manifest = Manifest({})
        self.why_not = ""
        self.rendered: list[str] = []
        #: Where the next build of `serve` goes.
        self._folder: Path | None = None

    def accept(self, book: Handbook, old: OldFiles | None = None) -> None:
        """Use an already checked handbook in the next build instead of reading it again. Files that
        are the same in the `old` site become hard links to its files."""
        self._given, self._old = book, old

    def on_startup(self, *, command: Literal["build", "gh-deploy", "serve"], dirty: bool) -> None:
        """Called once. Because this hook exists, MkDocs keeps the plugin between builds of
        `serve`."""
        self._serving = command == "serve"

    @event_priority(100)
    def on_config(self, config: MkDocsConfig) -> MkDocsConfig:
        """Called first in every build, when the configuration can still be changed. It runs before
        other plugins (by its priority), because they may need the language: that of the handbook,
        unless mkdocs.yml chooses another or the theme has no texts in it."""
        given = self._given.config if self._given else None
        chorus = (given or read_chorus_config(Path(config.docs_dir))[0]).chorus
        if not (chorus and chorus.indexed):  # a list of all pages is made for search engines alone
            config.theme.static_templates.discard(SITEMAP)
        language = catalogue.language()
        if config.theme.get("language") == catalogue.ENGLISH and theme_speaks(config, language):
            config.theme["language"] = language
        refused = refusals(config)
        if refused:
            raise Abort("\n".join(refused))
        if not {"privacy", "material/privacy"} & config.plugins.keys():
            config.theme["font"] = False  # else every page would ask another host for the fonts
        if self._folder:
            config.site_dir, self._folder = str(self._folder), None
        turn_off_search(config)
        prepare_templates(config.theme)
        if config.copyright:  # the only text of mkdocs.yml with HTML, for a link to a licence
            from chorus_handbook.entries.sanitise import clean  # late: most sites have none

            config.copyright = clean(config.copyright)
        config.mdx_configs.setdefault("toc", {})["title"] = catalogue._("On this page")
        config.extra_css += [one for one in style_paths() if one not in config.extra_css]
        return config

    def on_pre_build(self, *, config: MkDocsConfig) -> None:
        """Called before MkDocs empties the output folder: the last moment to refuse a handbook with
        errors and leave the published site as it was. In `serve` an exception would block all later
        requests, so there the problems are shown on the pages."""
        root = Path(config.docs_dir)
        # The date on which pages say they were made is that of the last change, not of the build.
        set_date(root)
        if self._serving:
            self._seen = self._seen or look([config.docs_dir, config.config_file_path])
            self._book = self._preview.read(root, Cache(self._cache_folder(config)))
            return
        book, self._given = self._given, None
        self._book = book = book or pipeline.build(
            root,
            Cache(self._cache_folder(config)),
            strict=config.strict,
            with_tracks=self.config.tracks,
        )
        if book.broken or (config.strict and book.problems):
            raise Abort(f"{as_text(book.problems)}\n{summary(book.problems)}")
        for problem in book.problems:
            log.info(as_text([problem]))

    def on_files(self, files: Files, *, config: MkDocsConfig) -> Files:
        """Called when MkDocs has listed the authors' files, before it reads them: our pages replace
        them."""
        remove_unpublished(files, config)
        site = self._book.site if self._book else None
        menu = site.menu if site else ((_("Home"), "index.md"),)
        tones = site.files.get(INSTRUMENT, b"") if site else b""
        cache = Cache(self._cache_folder(config))
        self._kept = KeptPages(cache, config, menu, content_hash(tones))
        self.why_not, self.rendered = self._kept.why_not, []
        if self.why_not:
            log.info(f"Every page is made again, because of {self.why_not}")
        titles = {path: title for title, path in _menu_entries(menu)}
        in_groups = {p for _, entry in menu if not isinstance(entry, str) for _, p in entry}
        for plan in site.plans if site else (_empty_home(config),):
            path = plan.path
            # Exercises are not in the menu: with a thousand, every page would be too large.
            level = InclusionLevel.UNDEFINED if path in titles else InclusionLevel.NOT_IN_NAV
            file = File.generated(config, path, content="", inclusion=level)
            files.append(file)
            arguments = plan, file, config, titles.get(path, plan.title), path in in_groups
            finished = self._kept.load(
                plan, self._preview.banner(path), partial(self._is_old, file.dest_uri)
            )
            if finished:
                KeptPage(*arguments, finished)
            else:
                self.rendered.append(path)
                HandbookPage(*arguments)
        for path in site.files if site else ():
            # With the default level, MkDocs would leave out names that begin with a dot.
            level = InclusionLevel.NOT_IN_NAV
            asset = HandbookFile.generated(config, path, content=b"", inclusion=level)
            assert isinstance(asset, HandbookFile) and site
            asset.load, asset.old = partial(site.files.__getitem__, path), self._old
            files.append(asset)
        config.nav = [
            {escape(title): entry if isinstance(entry, str) else [{escape(t): p} for t, p in entry]}
            for title, entry in menu
        ]
        return files

    def on_env(self, env: Environment, *, config: MkDocsConfig, files: Files) -> Environment:
        """Called when all pages have been read, before any is put into a template: adds the
        template of the pages that are taken over unchanged from the last build, and leaves out what
        only the theme's search would load."""
        for file in list(files):
            if unused(file.src_uri):
                files.remove(file)
        loaders = [DictLoader({KEPT_TEMPLATE: "."})]
        env.loader = ChoiceLoader([*loaders, env.loader] if env.loader else loaders)
        return env

    def on_page_content(
        self, html: str, *, page: MkDocsPage, config: MkDocsConfig, files: Files
    ) -> Markup:
        """Called when a page has its content: cleans the HTML of pages that other plugins make. In
        `serve`, the box with the handbook's problems is put above the content."""
        if isinstance(page, KeptPage):
            return Markup()
        on_top = self._preview.banner(page.file.src_uri)
        if isinstance(page, HandbookPage):
            return on_top + Markup(html)
        from chorus_handbook.entries.sanitise import clean  # late: only for pages of other plugins

        return on_top + clean(html)

    @event_priority(-100)
    def on_page_context(
        self, context: TemplateContext, *, page: MkDocsPage, config: MkDocsConfig, nav: Navigation
    ) -> TemplateContext:
        """Called before the theme prints a page, and by its priority after other plugins, which may
        return the content as a plain string: it is marked as HTML again."""
        page.content = Markup(page.content or "")
        return context

    def on_post_page(self, output: str, *, page: MkDocsPage, config: MkDocsConfig) -> str:
        """Called when a page is finished: inserts the scores, which are too large to be kept in
        memory until all pages are finished."""
        if isinstance(page, KeptPage):
            return self._html_of(page)
        fixed = _fixed(output, get_relative_url(SEARCH_URL, page.url))
        if not isinstance(page, HandbookPage) or page.ours is None:
            return fixed
        site = self._book.site if self._book else None
        html = set_in_late(page.ours, fixed, *([site] if site else []))
        if self._kept:
            self._kept.save(page.plan, self._preview.banner(page.plan.path), html)
        return html

    def _html_of(self, page: KeptPage) -> str:
        """The HTML of a kept page. If the old site has the same file, the result is empty: MkDocs
        then writes nothing, and the file becomes a hard link to the old one. A file that another
        plugin has already written at this path is replaced."""
        stored, path = page.finished, page.file.dest_uri
        free = self._old and not os.path.lexists(page.file.abs_dest_path)
        if self._old and free and self._is_old(path, stored.digest):
            self._old.request(path, stored.load)
            return ""
        html = stored.load()
        if not html:
            raise PluginError(f"{path}: {_LOST}")
        return html.decode()

    def _is_old(self, path: str, digest: str) -> bool:
        """Whether the old site has a file with this content at this path."""
        return self._old is not None and self._old.has(path, digest)

    def on_post_template(self, output: str, *, template_name: str, config: MkDocsConfig) -> str:
        """Called when a page of the theme itself is finished, such as that for wrong addresses."""
        if template_name != "404.html":
            return output
        top = urlsplit(config.site_url or "/").path
        fixed = _fixed(output, f"{top.rstrip('/')}/{SEARCH_URL}")
        output = put_on_top(fixed, self._preview.banner(""))
        site = self._book.site if self._book else None
        return (
            output if site and site.indexed else output.replace("</head>", f"{ROBOTS_TAG}</head>")
        )

    @event_priority(-100)
    def on_post_build(self, *, config: MkDocsConfig) -> None:
        """Called when the site is written, and by its priority after plugins that write more:
        shares unchanged files with the old site and writes the manifest."""
        site = self._book.site if self._book else None
        if site and not self._serving:
            old, folder = self._old, Path(config.site_dir)
            try:
                if old:
                    old.share(folder)
            except LostFileError as lost:
                raise PluginError(f"{lost}: {_LOST}") from lost
            self.manifest = write_manifest(folder, site.files, old.shared if old else {})
            self._old = None
        elif site:  # in `serve` an empty list: browsers keep nothing unfinished
            (Path(config.site_dir) / SITE_FILES).write_bytes(Manifest({}).to_json())

    def on_serve(self, server: Any, *, config: MkDocsConfig, builder: Any) -> Any:
        """Called once before `serve` starts: replaces MkDocs's server with ours."""
        from chorus_handbook.mkdocs_plugin.serving import HandbookServer  # late: a web server

        def make(site: Path) -> None:
            self._folder = site
            builder()
            if self._folder:  # on_config was not called: the plugin was removed from mkdocs.yml
                file = Path(config.config_file_path or "mkdocs.yml").name
                log.error(f"{file}: plugins: chorus-handbook is missing. Add it to the list.")
                raise Abort("nothing was built")

        return HandbookServer(make, Path(config.site_dir), server, self._seen)

    def _cache_folder(self, config: MkDocsConfig) -> Path:
        base = Path(config.config_file_path).parent if config.config_file_path else Path.cwd()
        return base / self.config.cache_dir


def _menu_entries(menu: Menu) -> Iterator[tuple[str, str]]:
    """Title and path of everything in the menu."""
    for title, entry in menu:
        yield from [(title, entry)] if isinstance(entry, str) else entry


def _empty_home(config: MkDocsConfig) -> PlannedPage:
    """The home page of a handbook that cannot be read: empty except for the problems."""
    title = str(config.site_name)
    return PlannedPage("index.md", title, "", lambda: Page("index.md", title, "", Markup()))


def _fixed(output: str, search: str) -> str:
    """A finished page of the theme, mended; `search` is the address of the page "Search"."""
    return with_landmarks(with_search(fix_page(output), search))
