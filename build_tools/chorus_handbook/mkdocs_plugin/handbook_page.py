"""Our pages and files as subclasses of MkDocs's own, so that it takes their content from us.

A `HandbookPage` is made in this build; a `KeptPage` is taken from an earlier one (`kept_pages`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from hashlib import sha256
from pathlib import Path

from markupsafe import Markup, escape
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.structure.files import File, Files
from mkdocs.structure.pages import Page as MkDocsPage
from mkdocs.structure.toc import AnchorLink, TableOfContents

from chorus_handbook.entries import static_files
from chorus_handbook.entries.file_places import PUBLISHED
from chorus_handbook.entries.rendered import Heading
from chorus_handbook.mkdocs_plugin.kept_pages import FinishedPage
from chorus_handbook.pages import Page, PlannedPage
from chorus_handbook.records.old_files import OldFiles

#: The template of a kept page. Its output is replaced by the stored page, so a template of one
#: character is enough.
KEPT_TEMPLATE = "handbook-kept.html"
#: The theme's template of a list of all pages, for search engines.
SITEMAP = "sitemap.xml"


def table_of_contents(headings: Iterable[Heading]) -> TableOfContents:
    """MkDocs's table of contents: each heading is nested in the last one of a higher level."""
    top: list[AnchorLink] = []
    above: list[AnchorLink] = []
    for heading in headings:
        item = AnchorLink(escape(heading.text), heading.anchor, heading.level)
        while above and above[-1].level >= item.level:
            above.pop()
        (above[-1].children if above else top).append(item)
        above.append(item)
    return TableOfContents(top)


class HandbookFile(File):
    """A file that is published unchanged, such as a practice track. `load` returns its content, and
    is called only when the file is written. A file that is the same in the `old` site is not
    written again; it becomes a hard link to the old one."""

    load: Callable[[], bytes]
    old: OldFiles | None = None

    @property
    def content_bytes(self) -> bytes:
        return self.load()

    @content_bytes.setter
    def content_bytes(self, value: bytes) -> None:
        self.load = lambda: value

    def copy_file(self, dirty: bool = False) -> None:
        content = self.load()
        if self.old and self.old.has(self.dest_uri, sha256(content).hexdigest()):
            self.old.request(self.dest_uri, self.load)
            return
        place = Path(self.abs_dest_path)
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_bytes(content)


class HandbookPage(MkDocsPage):
    """A page that MkDocs gets from one of our planned pages (`plan`) instead of a Markdown file.

    `menu_title` is its title in the menu, and `grouped` whether it is inside a group of the menu.
    """

    def __init__(
        self, plan: PlannedPage, file: File, config: MkDocsConfig, menu_title: str, grouped: bool
    ) -> None:
        super().__init__(escape(menu_title), file, config)
        self.plan = plan
        self.grouped = grouped
        self.ours: Page | None = None

    def read_source(self, config: MkDocsConfig) -> None:
        """Make the page, and set the title and description that MkDocs uses."""
        self.ours = self.plan.make()
        self.markdown = ""
        self.meta = {
            "title": escape(self.ours.title),
            "description": escape(self.ours.description),
        }
        shown_beside = {"navigation": self.grouped, "toc": bool(self.ours.headings)}
        self.meta["hide"] = [name for name, shown in shown_beside.items() if not shown]

    def render(self, config: MkDocsConfig, files: Files) -> None:
        """Give MkDocs the content of the page, which is HTML already."""
        assert self.ours
        self.content = self.ours.content
        self.toc = table_of_contents(self.ours.headings)


class KeptPage(HandbookPage):
    """A page taken unchanged from an earlier build, because nothing it is made from has changed. It
    is in the menu and the site map like any other page."""

    def __init__(
        self,
        plan: PlannedPage,
        file: File,
        config: MkDocsConfig,
        menu_title: str,
        grouped: bool,
        finished: FinishedPage,
    ) -> None:
        super().__init__(plan, file, config, menu_title, grouped)
        self.finished = finished

    def read_source(self, config: MkDocsConfig) -> None:
        self.markdown = ""
        self.meta = {"title": escape(self.plan.title), "template": KEPT_TEMPLATE}

    def render(self, config: MkDocsConfig, files: Files) -> None:
        self.content = Markup()
        self.toc = TableOfContents([])


def remove_unpublished(files: Files, config: MkDocsConfig) -> None:
    """Leave out what MkDocs would publish and the handbook does not: the authors' texts, which our
    pages replace, and the template of a site map that is not asked for."""
    root = Path(config.docs_dir).resolve()
    for file in list(files):
        text = file.src_dir == config.docs_dir and not _published(file, root)
        if text or (file.src_uri == SITEMAP and SITEMAP not in config.theme.static_templates):
            files.remove(file)


def _published(file: File, root: Path) -> bool:
    """Whether a file in the handbook's folder `root` is a picture or document to publish. Links
    that lead out of the folder are not."""
    if Path(file.src_uri).suffix.lower() not in PUBLISHED or not file.abs_src_path:
        return False
    if file.src_uri.startswith(f"{static_files.FOLDER}/"):
        return False  # published at the top of the site
    return Path(file.abs_src_path).resolve().is_relative_to(root)
