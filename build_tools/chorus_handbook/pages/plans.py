"""Plans all pages of a site: gives each a path, a title, a key, and a function that makes it.

The key is a hash of everything the page is made from. When it is unchanged, the page of the earlier
build can be used (`mkdocs_plugin/kept_pages.py`). Modules that make pages are imported only when a
page is made.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import partial
from typing import TYPE_CHECKING, Any

from chorus_handbook import catalogue
from chorus_handbook.cache import Cache
from chorus_handbook.catalogue import _
from chorus_handbook.chorus import ChorusConfig
from chorus_handbook.chorus.model import Goal
from chorus_handbook.dependencies import program_hash
from chorus_handbook.entries import kinds
from chorus_handbook.entries.kind import Kind
from chorus_handbook.entries.model import EXERCISE, Text
from chorus_handbook.entries.warm_up import ROUTINE, WARM_UP
from chorus_handbook.pages import index_file
from chorus_handbook.pages.care import care_page, care_title
from chorus_handbook.pages.facets import address_of, facets_of
from chorus_handbook.pages.home import home_page, home_title
from chorus_handbook.pages.kept import KEPT_ABOUT, KEPT_TITLE, kept_page
from chorus_handbook.pages.kin import Kin
from chorus_handbook.pages.kinds import AS_WRITTEN, PAGES, Shown, kind_list
from chorus_handbook.pages.overviews import GOALS, LISTS, goals_page, lists_page
from chorus_handbook.pages.page import (
    ALL,
    DRAFT,
    HOME,
    KEPT,
    SEARCH,
    VOICE_CARE,
    Page,
    PlannedPage,
    exercise_path,
)
from chorus_handbook.records import Exercise
from chorus_handbook.records.parts import Parts
from chorus_handbook.views import View, Views
from chorus_handbook.views.gaps import find_gaps
from chorus_handbook.warmups.at_home import at_home_in
from chorus_handbook.warmups.history import Uses, uses_in
from chorus_handbook.warmups.rotation import ENOUGH_WARM_UPS, OFTEN, log_of
from chorus_handbook.warmups.texts import warm_ups_in

if TYPE_CHECKING:
    from chorus_handbook.sound import Tracks


class Plans:
    """All planned pages of a handbook; iterate over it. The key of a page is made from the program,
    the chorus, the vocabulary and what is on that page, so it does not change with other exercises.

    The arguments are those of `make_site`.
    """

    def __init__(
        self,
        config: ChorusConfig,
        stock: Mapping[str, Exercise],
        texts: Sequence[Text[Any]],
        views: Views,
        parts: Parts,
        tracks: Tracks,
    ) -> None:
        assert config.chorus and config.vocabulary, "a site needs its chorus and vocabulary"
        self.chorus, self.vocabulary = config.chorus, config.vocabulary
        self._config, self._stock, self._views = config, stock, views
        self._kin = Kin(stock)
        self._parts, self._tracks, self._texts = parts, tracks, texts
        #: A key of what every page depends on: the program, its words, the chorus, the vocabulary.
        self.common = Cache.key(
            program_hash(),
            catalogue.version(),
            self.chorus.model_dump_json(),
            self.vocabulary.model_dump_json(exclude={"words"}),
        )
        #: The days on which each exercise was sung, from what the warm-ups' items state.
        self.log = log_of(warm_ups_in(texts))
        self._log_begins = self.log.days[:ENOUGH_WARM_UPS]
        self._uses = uses_in(texts)
        labels = index_file.labels(self.chorus, self.vocabulary)
        self._facets = facets_of(
            views.rows.values(), labels, self.vocabulary, has_log=bool(self.log.days)
        )
        self._at_home = at_home_in(texts)
        self._home = next((text for text in texts if text.page == HOME), None)
        #: The pages that link to lists.
        self.overviews = tuple(self._overviews())
        #: The list pages of the kinds of content that have one, and the pages in those lists.
        self.lists: list[PlannedPage] = []
        self._listed: list[PlannedPage] = []
        self.all = self._all()
        #: The page "Find an exercise" and the page "What the stock lacks"; both are empty tuples if
        #: there are no exercises.
        self.find = tuple(self._find())
        self.gaps = tuple(self._gaps())
        self.draft = self._draft()
        #: The other written pages, each of which is in the menu; voice care is always among them.
        self.written: list[PlannedPage] = []
        self.kept = self._plan(KEPT, _(KEPT_TITLE), kept_page, about=_(KEPT_ABOUT))
        for kind in kinds.KINDS:
            members = [text for text in texts if text.kind == kind.name and text.page != HOME]
            plans = [self._text(text) for text in members]
            if members and kind.list_title:
                self.lists.append(self._list(kind, members))
                self._listed += plans
            else:
                self.written += plans
        if not any(page.path == VOICE_CARE for page in self.written):
            care = partial(care_page, self.vocabulary)
            self.written.append(self._plan(VOICE_CARE, care_title(), care))

    def __iter__(self) -> Iterator[PlannedPage]:
        # Pages of exercises come first: each needs the drawings of one exercise only, so it can be
        # made while other processes still draw the rest. A list needs the drawings of many.
        for exercise in self._stock.values():
            yield self._exercise(exercise)
        yield self._home_page()
        yield from self.overviews
        yield self.draft
        yield self.all
        yield from (*self.find, *self.gaps)
        for view in self._views.saved:
            yield self._view(view)
        for name, goal in self.vocabulary.goals.items():
            yield self._goal(name, goal)
        for pages in (self.lists, self._listed, self.written):
            yield from pages
        yield self._plan(SEARCH, _("Search"), _search_page)
        yield self.kept

    def _home_page(self) -> PlannedPage:
        plan_lists = (WARM_UP.page("index"), ROUTINE.page("index"))
        lists = (one for one in self.lists if one.path in plan_lists)
        more = (self.draft, *self.find, *lists, *self.gaps)
        plans = tuple((one.title, one.path) for one in more)
        make = partial(
            home_page, self._home, self._views, self._stock, self.chorus, plans, self._at_home
        )
        title = home_title(self._home, self.chorus)
        overviews = [plan.path for plan in self.overviews]
        shown = self._home, overviews, len(self._stock), plans, self._at_home
        practised = [slug for slug in self._at_home.exercises if slug in self._stock]
        return self._plan(HOME, title, make, repr(shown), *self._rows_of(practised))

    def _overviews(self) -> Iterator[PlannedPage]:
        """The pages that link to lists, if there are such lists."""
        views = self._views
        if views.saved:
            make = partial(lists_page, views)
            yield self._plan(LISTS, _("Lists"), make, repr(views.saved))
        counts = {name: len(members) for name, members in views.by_goal.items()}
        if any(counts.values()):
            make = partial(goals_page, views, self.vocabulary)
            yield self._plan(GOALS, _("Goals"), make, repr(counts))

    def _all(self) -> PlannedPage:
        stock = tuple(self._stock.values())

        def make() -> Page:
            from chorus_handbook.pages.lists import all_page

            return all_page(stock, self._parts.thumbnail, self._config, self.log)

        return self._plan(ALL, _(EXERCISE.list_title), make, *self._rows_of(self._stock))

    def _find(self) -> Iterator[PlannedPage]:
        from chorus_handbook.pages.find import FIND, FIND_ABOUT, FIND_TITLE, find_page

        if not self._stock:
            return
        from chorus_handbook.pages.gaps import GAPS, GAPS_TITLE

        lists = tuple((page.title, page.path) for page in (self.all, *self.overviews))
        lists += ((_(GAPS_TITLE), GAPS),)
        make = partial(find_page, self._facets, self._views.saved, lists, self.chorus)
        taken = [(view.slug, view.title) for view in self._views.saved]
        shown = repr((self._facets, taken, lists))
        yield self._plan(FIND, _(FIND_TITLE), make, shown, about=_(FIND_ABOUT))

    def _gaps(self) -> Iterator[PlannedPage]:
        from chorus_handbook.pages.gaps import GAPS, GAPS_ABOUT, GAPS_TITLE, gaps_page

        if not self._stock:
            return
        sung = self.log.sung.keys() if self.log.days else None
        gaps = find_gaps(self._views.rows, self.vocabulary.goals, sung)
        titles = {slug: self._stock[slug].front.title for slug in gaps.never_sung or ()}
        make = partial(gaps_page, gaps, titles, self.vocabulary)
        about = _(GAPS_ABOUT)
        yield self._plan(GAPS, _(GAPS_TITLE), make, repr((gaps, titles)), about=about)

    def _draft(self) -> PlannedPage:
        kinds_with_list = (WARM_UP, ROUTINE)
        there = {text.kind for text in self._texts}
        earlier = [kind.page("index") for kind in kinds_with_list if kind.name in there]
        title = _("Put a warm-up together")

        def make() -> Page:
            from chorus_handbook.pages.draft import draft_page

            return draft_page(title, self.chorus, self.vocabulary, earlier[0] if earlier else "")

        return self._plan(DRAFT, title, make, repr(earlier))

    def _view(self, view: View) -> PlannedPage:
        narrowed = address_of(view.rule, self._facets)

        def make() -> Page:
            from chorus_handbook.pages.lists import view_page

            return view_page(
                view, self._stock, self._parts.thumbnail, self._config, self.log, narrowed
            )

        path, rows = f"views/{view.slug}.md", self._rows_of(view.members)
        return self._plan(path, view.title, make, repr((view, narrowed)), *rows)

    def _goal(self, name: str, goal: Goal) -> PlannedPage:
        slugs = self._views.by_goal.get(name, ())
        members = [self._stock[slug] for slug in slugs]

        def make() -> Page:
            from chorus_handbook.pages.lists import goal_page

            return goal_page(name, members, self._parts.thumbnail, self._config, self.log)

        return self._plan(f"goals/{name}.md", goal.label, make, *self._rows_of(slugs))

    def _exercise(self, exercise: Exercise) -> PlannedPage:
        slug = exercise.slug
        shown = [
            (label, [(name, self._stock[name].front.title, self._stock[name].front.summary)])
            for label, names in self._kin.of(slug)
            for name in names
        ]
        tracks = tuple(self._tracks.voices.get(slug, ()))
        uses = self._uses.get(slug, Uses())
        evenings = self._at_home.for_exercise(slug)

        def make() -> Page:
            from chorus_handbook.pages.exercise import exercise_page

            return exercise_page(
                exercise,
                self._stock,
                self._kin,
                self._config,
                self._parts.drawings,
                tracks,
                uses,
                self.log,
                evenings,
            )

        return self._plan(
            exercise_path(slug),
            exercise.front.full_title,
            make,
            repr((shown, tracks, uses, self._log_begins, evenings)),
            *self._digests_of([slug]),
        )

    def _list(self, kind: Kind[Any], members: Sequence[Text[Any]]) -> PlannedPage:
        page = PAGES.get(kind.name, AS_WRITTEN)
        named = {slug for text in members for slug in page.shows(text, None)} if page.above else ()
        exercises = {slug: self._stock[slug] for slug in sorted(named) if slug in self._stock}
        make = partial(kind_list, kind, members, Shown(exercises, self._config))
        own = repr([(text.page, text.title, text.front) for text in members])
        return self._plan(
            kind.page("index"), _(kind.list_title), make, own, *self._digests_of(exercises)
        )

    def _text(self, text: Text[Any]) -> PlannedPage:
        page = PAGES.get(text.kind, AS_WRITTEN)
        read = page.reads(text, self._texts)
        named = page.shows(text, read)
        exercises = {slug: self._stock[slug] for slug in named if slug in self._stock}
        has_track = text.kind == ROUTINE.name and text.source.slug in self._tracks.routines
        shown = Shown(exercises, self._config, read, self._parts.opening, has_track)
        make = partial(page.make, text, shown)
        own = repr((text.title, text.front, text.source.text, text.source.body, read, has_track))
        return self._plan(text.page, text.title, make, own, *self._digests_of(exercises))

    def key_of_parts(self, exercise: Exercise) -> str:
        """The cache key of what an exercise contributes to warm-ups made in the browser."""
        return Cache.key(self.common, "warm-up parts", exercise.slug, exercise.digest)

    def _digests_of(self, slugs: Iterable[str]) -> list[str]:
        """Hashes of everything that is known of these exercises, as input for a key."""
        return [self._stock[slug].digest for slug in slugs]

    def _rows_of(self, slugs: Iterable[str]) -> list[str]:
        """What lists show of these exercises, as input for a key. It does not change with their
        texts."""
        shown = [(self._stock[slug].row, self.log.sung.get(slug, ())[-OFTEN:]) for slug in slugs]
        return [repr((self._log_begins, shown))]

    def _plan(
        self, path: str, title: str, make: Callable[[], Page], *inputs: str | bytes, about: str = ""
    ) -> PlannedPage:
        """A planned page. `inputs` are texts that together change whenever the page does, beyond
        what `common` covers; its key is made from them."""
        return PlannedPage(path, title, Cache.key(self.common, path, *inputs), make, about)


def _search_page() -> Page:
    from chorus_handbook.pages.search_page import search_page

    return search_page()
