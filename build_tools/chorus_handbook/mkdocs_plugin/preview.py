"""The handbook as `handbook serve` shows it while its author is still writing.

Problems are shown above every page, those of the page's own file first. A page does not disappear
when its file has errors: it is shown as it was when the file could last be read. If it never could,
there is a page with only its problems.
"""

from __future__ import annotations

import logging
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

from markupsafe import Markup

from chorus_handbook import pipeline
from chorus_handbook.cache import Cache
from chorus_handbook.catalogue import _
from chorus_handbook.failures import describe
from chorus_handbook.mkdocs_plugin.problem_banner import banner, failure_banner
from chorus_handbook.pages import Page, PlannedPage, Site
from chorus_handbook.pipeline import Handbook
from chorus_handbook.problems import Problem
from chorus_handbook.records import AnyRecord

log = logging.getLogger("mkdocs.plugins.chorus-handbook")

_VIEWS = "views/"


class Preview:
    """The handbook of the newest build, and the last state of each page that can be shown."""

    def __init__(self) -> None:
        #: The name of the handbook's folder, with which the paths of problems begin.
        self._name = ""
        self._problems: tuple[Problem, ...] = ()
        self._failure: Exception | None = None
        #: The newest site that could be made, and the paths of the pages that are shown as they
        #: were in it, because their files have errors now.
        self._last: Site | None = None
        self._kept: frozenset[str] = frozenset()
        #: The box of problems for each file, in which that file's problems come first. The box
        #: under "" is for all pages whose files have no problems.
        self._boxes: dict[str, Markup] = {}

    def read(self, root: Path, cache: Cache) -> Handbook:
        """Read the handbook in the folder `root`, and log its problems in one line. Never
        raises."""
        self._name, self._failure, self._kept = root.name, None, frozenset()
        try:
            book = pipeline.draw(pipeline.read(root, cache), cache)
        except Exception as failure:
            self._failure = failure
            log.info(_described(failure))
            return Handbook(root, site=self._last)
        self._problems, self._boxes = book.problems, {}
        log.info(_summary(book.problems))
        site = self._with_lost_pages(book.site, book.records)
        if site is not None:
            self._last = site
        return replace(book, site=site)

    def banner(self, path: str) -> Markup:
        """The HTML to show above the page with this path, such as "exercises/low-tide.md"."""
        if self._failure is not None:
            return failure_banner(self._failure)
        file = f"{self._name}/{_source(path)}"
        own = file if any(problem.place.path == file for problem in self._problems) else ""
        if own not in self._boxes:
            own_first = sorted(self._problems, key=lambda problem: problem.place.path != file)
            self._boxes[own] = banner(own_first)
        note = Markup("<p><em>{}</em></p>").format(_("This page is as it was before the errors."))
        return self._boxes[own] + (note if path in self._kept else Markup())

    def _with_lost_pages(self, site: Site | None, records: Sequence[AnyRecord]) -> Site | None:
        """The site with the pages added that are missing because of errors, each as it was before.
        None if there is no site and never was one."""
        last = {plan.path: plan for plan in self._last.plans} if self._last else {}
        if site is None:
            if self._last is None:
                return None
            self._kept = frozenset(last)
            return self._last
        there = {plan.path for plan in site.plans}
        lost = [path for path in self._expected(last, records) if path not in there]
        if not lost:
            return site
        # A page without a key is an `empty_page`: there is no earlier state of it to show.
        self._kept = frozenset(path for path in lost if path in last and last[path].key)
        plans = [last.get(path) or empty_page(path) for path in lost]
        files = self._last.files | site.files if self._last else site.files
        return replace(site, plans=(*site.plans, *plans), files=files)

    def _expected(
        self, last: dict[str, PlannedPage], records: Sequence[AnyRecord]
    ) -> Iterator[str]:
        """The paths of pages that would exist without errors: one for each file, the lists of each
        kind, and with an error in views.yml the lists from before."""
        pages = [record.page for record in records if record.slug]
        yield from dict.fromkeys([*pages, *pipeline.lists_of(records)])
        broken = {p.place.path for p in self._problems if p.severity == "error"}
        if f"{self._name}/views.yml" in broken:
            yield from (path for path in last if path.startswith(_VIEWS))


def _source(path: str) -> str:
    """The author's file that a page is made from, as a path below the handbook's folder."""
    if path.startswith(_VIEWS):
        return "views.yml"
    return "vocabulary.yml" if path.startswith("goals/") else path


def empty_page(path: str) -> PlannedPage:
    """A page with nothing but the problems above it."""
    name = Path(path).stem
    note = _("This page cannot be made before its errors are fixed.")
    content = Markup("<h1>{}</h1><p>{}</p>").format(name, note)
    return PlannedPage(path, name, "", lambda: Page(path, name, "", content))


def _summary(problems: tuple[Problem, ...]) -> str:
    """One line: how many problems there are, and the first of them."""
    from chorus_handbook.report import as_text, summary

    if not problems:
        return summary(problems)
    first = min(problems, key=lambda problem: (problem.severity != "error", problem))
    return f"{summary(problems)} {as_text([first]).splitlines()[0]}"


def _described(failure: Exception) -> str:
    """One line that says what went wrong in the program."""
    try:
        return describe(failure)[0]
    except Exception:  # with HANDBOOK_DEBUG, `describe` raises the failure again
        log.exception("The handbook could not be read")
        return "See above."
