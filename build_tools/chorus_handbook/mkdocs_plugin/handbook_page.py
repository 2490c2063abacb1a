"""Our pages as MkDocs knows them: one that is made now, and one kept from an earlier build."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from hashlib import sha256
from pathlib import Path

from markupsafe import Markup, escape
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.structure.files import File, Files
from mkdocs.structure.pages import Page as MkDocsPage
from mkdocs.structure.toc import AnchorLink, TableOfContents

from chorus_handbook.entries.model import Heading
from chorus_handbook.mkdocs_plugin.kept_pages import Entries, FinishedPage
from chorus_handbook.pages import Page, PlannedPage
from chorus_handbook.records.old_files import OldFiles

#: A template that renders to one character: whatever it renders to, the kept page takes its place.
KEPT_TEMPLATE = "handbook-kept.html"


def table_of_contents(headings: Iterable[Heading]) -> TableOfContents:
    """Headings, each below the last one before it of a higher level."""
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
    """A file that MkDocs publishes as it is. It is loaded when its turn comes, and not written
    where the old site (`old`) has it already."""

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
            self.old.want(self.dest_uri, self.load)
            return
        place = Path(self.abs_dest_path)
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_bytes(content)


class HandbookPage(MkDocsPage):
    """A page that MkDocs reads from its plan, not from a file, when its turn comes. `menu_title` is
    what the menu calls it; `grouped`: it stands in a group of the menu. `entries` is what search
    found in it."""

    def __init__(
        self, plan: PlannedPage, file: File, config: MkDocsConfig, menu_title: str, grouped: bool
    ) -> None:
        super().__init__(escape(menu_title), file, config)
        self.plan = plan
        self.grouped = grouped
        self.ours: Page | None = None
        self.entries: Entries = []

    def read_source(self, config: MkDocsConfig) -> None:
        """Make the page; MkDocs takes its title and description from what is set here."""
        self.ours = self.plan.make()
        self.markdown = ""
        self.meta = {
            "title": escape(self.ours.title),
            "description": escape(self.ours.description),
        }
        beside = {"navigation": self.grouped, "toc": bool(self.ours.headings)}
        self.meta["hide"] = [name for name, shown in beside.items() if not shown]
        if not self.ours.searched:
            self.meta["search"] = {"exclude": True}

    def render(self, config: MkDocsConfig, files: Files) -> None:
        """The page is HTML already: MkDocs renders no Markdown."""
        assert self.ours
        self.content = self.ours.content
        self.toc = table_of_contents(self.ours.headings)


class KeptPage(HandbookPage):
    """A page that an earlier build finished, of the same inputs: neither read nor rendered. It
    stands in menu and site map like any other; search is given what it found then."""

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
        self.meta = {
            "title": escape(self.plan.title),
            "template": KEPT_TEMPLATE,
            "search": {"exclude": True},
        }

    def render(self, config: MkDocsConfig, files: Files) -> None:
        self.content = Markup()
        self.toc = TableOfContents([])
