"""The whole way from files to a site, step by step. Start reading the program here.

```
chorus.yml, vocabulary.yml ─┐
exercises/x.md, scores/x ───┼─> record of x ──┐
warm-ups, routines, pages ───┘                 └─> gather ─> drawings, sound ─> pages ─> site
```

First, each file becomes a *record*: all that is known of it by itself, which is cached until the
file changes. Then `gather` checks and collects what concerns several files, such as links and
lists. Then drawings, sound and pages are made. No step stops because of errors in a file: it goes
on without what cannot be read, so that an author sees all problems at once.

`check` does the first two steps, `build` all of them.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from chorus_handbook.cache import Cache
from chorus_handbook.chorus import ChorusConfig, read_chorus_config
from chorus_handbook.chorus.words import check_words
from chorus_handbook.claims.stock import check_stock
from chorus_handbook.entries import kinds
from chorus_handbook.entries.file_places import check_places
from chorus_handbook.entries.folders import check_folders
from chorus_handbook.entries.links import IdsOn, check_links
from chorus_handbook.entries.model import EXERCISE, Entries, Text
from chorus_handbook.entries.static_files import StaticFiles, read_static
from chorus_handbook.problems import Problem, has_errors
from chorus_handbook.records import AnyRecord, Exercise, records_of
from chorus_handbook.views import Views, read_views
from chorus_handbook.warmups import check_warm_ups

if TYPE_CHECKING:
    from chorus_handbook.pages import PlannedPage, Site
    from chorus_handbook.records.drawing_pool import DrawingPool
    from chorus_handbook.sound import Sound

#: Called with the name of each step as it starts.
Tell = Callable[[str], None]


def _quiet(_: str) -> None:
    pass


@dataclass(frozen=True, slots=True)
class Handbook:
    """Everything known of the handbook in the folder `root`.

    config: the content of chorus.yml and vocabulary.yml.
    records: what is known of each file by itself.
    exercises: the valid exercises, keyed by slug. `entries`: all exercises as their authors wrote
        them, those with errors included.
    static: the files to publish unchanged.
    views: the lists of exercises.
    site: the planned pages and files; None until `draw`.
    problems: all problems that were found, sorted by file and line.
    """

    root: Path
    config: ChorusConfig = field(default_factory=ChorusConfig)
    records: tuple[AnyRecord, ...] = ()
    exercises: Mapping[str, Exercise] = field(default_factory=dict)
    entries: Entries = field(default_factory=Entries)
    static: StaticFiles = field(default_factory=StaticFiles)
    views: Views = field(default_factory=Views)
    site: Site | None = None
    problems: tuple[Problem, ...] = ()

    @property
    def broken(self) -> bool:
        """Whether there are errors, so that no site may be published."""
        return has_errors(self.problems)

    @property
    def texts(self) -> tuple[Text[Any], ...]:
        """All valid content except exercises."""
        return tuple(r.content for r in self.records if isinstance(r.content, Text))

    def with_problems(self, problems: list[Problem]) -> Handbook:
        """A copy with further problems."""
        return replace(self, problems=tuple(sorted({*self.problems, *problems})))


def read(root: Path, cache: Cache | None = None, tell: Tell = _quiet) -> Handbook:
    """Read and check the handbook in `root` without making drawings or pages. `tell` is called with
    the name of each step."""
    root = root.absolute()
    tell("records")
    config, problems = read_chorus_config(root)
    if config.newer:
        return Handbook(root, config, problems=tuple(problems))
    records = tuple(records_of(root, config, cache or Cache(None)))
    problems += [problem for record in records for problem in record.problems]
    static, static_problems = read_static(root)
    problems += static_problems
    book = Handbook(
        root,
        config,
        records,
        {r.slug: r.content for r in records if isinstance(r.content, Exercise)},
        entries_of(records),
        static,
    )
    return gather(book).with_problems(problems)


def entries_of(records: Sequence[AnyRecord]) -> Entries:
    """All exercises as their authors wrote them."""
    exercises = [record for record in records if record.kind == EXERCISE.name]
    return Entries(
        tuple(record.source for record in exercises if record.source),
        tuple(r.content.entry for r in exercises if isinstance(r.content, Exercise)),
        frozenset(record.slug for record in exercises),
    )


def lists_of(records: Sequence[AnyRecord]) -> list[str]:
    """The paths of the pages that list all files of a kind, for kinds that have such a page."""
    used = {record.kind for record in records}
    return [kind.page("index") for kind in kinds.KINDS if kind.list_title and kind.name in used]


def gather(book: Handbook) -> Handbook:
    """Check and collect what concerns several files: lists, goals, links, titles, warm-ups."""
    config = book.config
    exercises = book.exercises.values()
    configured = config.chorus is not None and config.vocabulary is not None
    views, problems = read_views(
        book.root,
        book.entries,
        [exercise.subject(config) for exercise in exercises],
        config,
        complete=configured and all(exercise.complete for exercise in exercises),
    )
    missing_folders = check_folders(book.root)
    problems += missing_folders
    if not missing_folders:  # otherwise every link into a missing folder would be reported as well
        sources = [record.source for record in book.records if record.source]
        pages = _pages(book, views)
        problems += check_links(book.root, sources, pages, _ids_on(book, views))
        problems += check_words(config.words, pages)
    problems += check_stock(book.entries)
    problems += check_warm_ups(book.texts, book.exercises, book.entries, config)
    problems += _check_places(book)
    return replace(book, views=views).with_problems(problems)


def _pages(book: Handbook, views: Views) -> set[str]:
    """The paths of all pages, including those that are left out because of errors."""
    vocabulary = book.config.vocabulary
    return {
        *("index.md", "voice-care.md", "search.md", "kept.md", "draft.md"),
        *(f"goals/{name}.md" for name in (vocabulary.goals if vocabulary else ())),
        *(f"views/{view.slug}.md" for view in views.saved),
        *(["views/index.md"] if views.saved else []),
        *(["goals/index.md"] if any(views.by_goal.values()) else []),
        *(["find.md", "gaps.md"] if views.rows else []),
        *lists_of(book.records),
        *(record.page for record in book.records),
    }


def _ids_on(book: Handbook, views: Views) -> IdsOn:
    """A function that returns the ids on the page with a given path, by making that page; None for
    a path without a page. It is called only for links to headings that the program itself adds.
    While an exercise has errors, it returns None for every page, because pages would be
    incomplete."""
    chorus = book.config.chorus
    if not (chorus and book.config.vocabulary and len(book.exercises) == len(book.entries.slugs)):
        return lambda _: None

    @functools.cache
    def plans() -> Mapping[str, PlannedPage]:
        from chorus_handbook.pages.plans import Plans
        from chorus_handbook.records.parts import Parts
        from chorus_handbook.sound import Tracks

        parts = Parts(book.root, chorus, Cache(None))
        pages = Plans(book.config, book.exercises, book.texts, views, parts, Tracks())
        return {plan.path: plan for plan in pages}

    return functools.cache(lambda path: plans()[path].make().ids if path in plans() else None)


def _check_places(book: Handbook) -> list[Problem]:
    """Report files that nothing reads. Unused scores are reported only when every exercise could be
    read, because an exercise with errors may name them."""
    entries, chorus = book.entries, book.config.chorus
    all_read = len(entries.entries) == len(entries.slugs)
    scores = [entry.front.score for entry in entries.entries if entry.front.score]
    fonts = [chorus.sound_font.file] if chorus and chorus.sound_font else []
    return check_places(book.root, scores if all_read else None, fonts if chorus else None)


def build(
    root: Path,
    cache: Cache,
    *,
    strict: bool = False,
    with_tracks: bool = False,
    tell: Tell = _quiet,
) -> Handbook:
    """Read the handbook in `root` and make its site. With errors (if `strict`, also with notices)
    it is only checked, and its `site` is None."""
    book = read(root, cache, tell)
    if book.broken or (strict and book.problems):
        return book
    return draw(book, cache, with_tracks=with_tracks, tell=tell)


def check(root: Path, cache: Cache | None = None) -> list[Problem]:
    """All problems of the handbook in `root`, sorted by file and line, without drawing anything."""
    return list(read(root, cache).problems)


def draw(
    book: Handbook, cache: Cache, *, with_tracks: bool = False, tell: Tell = _quiet
) -> Handbook:
    """Make the drawings and sound of a handbook and plan its pages. Returns a copy with its `site`
    set (unless chorus.yml or vocabulary.yml have errors). `with_tracks`: also make practice
    tracks."""
    with begin_drawing(book, cache, tell) as drawing:
        book = plan(book, drawing, cache, with_tracks=with_tracks, tell=tell)
        return book.with_problems(drawing.problems())


@contextmanager
def begin_drawing(book: Handbook, cache: Cache, tell: Tell = _quiet) -> Iterator[DrawingPool]:
    """Start to make the drawings that are not cached, in other processes, which end when the `with`
    block does. Only exercises of a handbook with a valid vocabulary are drawn."""
    # imported late: needed only when a site is drawn
    from chorus_handbook.records.drawing_pool import DrawingPool

    drawn = book.exercises.values() if book.config.vocabulary else ()
    tell("drawings")
    with DrawingPool(drawn, book.root, book.config.chorus, cache) as drawing:
        yield drawing


def plan(
    book: Handbook,
    drawing: DrawingPool,
    cache: Cache,
    *,
    with_tracks: bool = False,
    tell: Tell = _quiet,
) -> Handbook:
    """Plan the pages of a handbook and make its sound. Returns a copy of `book` with its `site` set
    (unless chorus.yml or vocabulary.yml have errors). A page is made later, when it is needed, and
    then waits for its drawings from `drawing`."""
    from chorus_handbook.pages import make_site  # imported late: needed only when a site is drawn
    from chorus_handbook.records.parts import Parts
    from chorus_handbook.sound import Tracks, make_sound

    chorus = book.config.chorus
    if chorus is None or book.config.vocabulary is None:
        return book
    parts = Parts(book.root, chorus, cache, drawing)
    exercises = book.exercises
    problems: list[Problem] = []
    sound: Sound | None = None
    tracks = Tracks()
    if any(exercise.sound for exercise in exercises.values()):
        tell("sound")
        sound, problems = make_sound(chorus, book.root, cache)
    if sound and with_tracks:
        from chorus_handbook.sound.tracks import site_tracks
        from chorus_handbook.warmups.play_through import routine_tracks

        tell("tracks")
        index = sound.instrument.index
        routines, too_long = routine_tracks(book.texts, exercises, book.config, parts.notes, index)
        sources = parts.track_sources(exercises.values())
        tracks, not_made = site_tracks(sources, routines, sound, chorus, cache, book.root)
        problems += [*too_long, *not_made]
    tell("pages")
    site = make_site(book.config, exercises, book.texts, book.views, parts, sound, tracks)
    site = replace(site, files=site.files | book.static.files)
    return replace(book, site=site).with_problems(problems)
