"""The spine: from a folder of files to a site that can be written, stage by stage.

`CHECKS` and `DRAWING` are the whole of it. Each stage takes what the stages before it found,
returns its own result and the problems it met, and never stops the next one: a later stage skips
what is missing, so that an author sees every problem at once.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from chorus_handbook.cache import Cache
from chorus_handbook.chorus import Setting, read_setting
from chorus_handbook.claims import Claims, check_claims
from chorus_handbook.entries import Entries, read_entries
from chorus_handbook.entries.links import check_links
from chorus_handbook.entries.prose import Prose, read_prose
from chorus_handbook.music import Music, read_music
from chorus_handbook.problems import Problem, has_errors
from chorus_handbook.views import Views, read_views
from chorus_handbook.voices import Ladder, climb_all

if TYPE_CHECKING:
    from chorus_handbook.engraving import Engraved
    from chorus_handbook.pages import Site
    from chorus_handbook.sound import Sound
    from chorus_handbook.sound.track_pool import Tracks


@dataclass(frozen=True)
class Handbook:
    """What is known of a handbook so far.

    `root` is the folder that holds chorus.yml; `with_tracks`: its site offers practice tracks.
    Each further attribute is the result of the stage of that name; where a stage has not run or
    lacked what it needs, it is empty. `problems` are all that were found, in file order.
    """

    root: Path
    cache: Cache = field(default_factory=lambda: Cache(None))
    with_tracks: bool = False
    setting: Setting = field(default_factory=Setting)
    entries: Entries = field(default_factory=Entries)
    prose: Prose = field(default_factory=Prose)
    music: Music = field(default_factory=Music)
    voices: Mapping[str, Ladder] = field(default_factory=dict)
    claims: Claims = field(default_factory=Claims)
    views: Views = field(default_factory=Views)
    links: None = None  # only checked
    engraved: Mapping[str, tuple[Engraved, ...]] = field(default_factory=dict)
    sound: Sound | None = None
    tracks: Tracks = field(default_factory=dict)
    site: Site | None = None
    problems: tuple[Problem, ...] = ()

    @property
    def broken(self) -> bool:
        """Whether there are errors, and so nothing may be published."""
        return has_errors(self.problems)


Result = tuple[Any, list[Problem]]
Stage = tuple[str, Callable[[Handbook], Result]]


def _music(book: Handbook) -> Result:
    chorus = book.setting.chorus
    return read_music(book.entries, chorus, book.root) if chorus else (Music(), [])


def _voices(book: Handbook) -> Result:
    chorus = book.setting.chorus
    if chorus is None:
        return {}, []
    return climb_all(book.entries, book.music, chorus, book.setting.vocabulary)


def _engraved(book: Handbook) -> Result:
    from chorus_handbook.engraving import engrave  # only a build draws

    chorus = book.setting.chorus
    return engrave(book.music, book.entries, chorus, book.cache) if chorus else ({}, [])


def _sound(book: Handbook) -> Result:
    from chorus_handbook.sound import make_sound  # only a build sounds

    chorus = book.setting.chorus
    if chorus is None:
        return None, []
    return make_sound(book.entries, book.music, chorus, book.cache, book.root)


def _tracks(book: Handbook) -> Result:
    chorus = book.setting.chorus
    if not book.with_tracks or book.sound is None or chorus is None:
        return {}, []
    from chorus_handbook.sound.track_pool import site_tracks  # only where they are wished for

    return site_tracks(book.sound, book.entries, book.voices, chorus, book.cache, book.root)


def _site(book: Handbook) -> Result:
    from chorus_handbook.pages import make_site  # only a build writes pages

    return make_site(
        book.setting,
        book.entries,
        book.prose,
        book.music,
        book.voices,
        book.views,
        {slug: keys[0] for slug, keys in book.engraved.items()},
        {slug: keys[1:] for slug, keys in book.engraved.items()},
        book.sound,
        book.tracks,
        book.cache,
    )


def _links(book: Handbook) -> Result:
    goals = book.setting.vocabulary.goals if book.setting.vocabulary else {}
    generated = ["voice-care.md", *(f"goals/{name}.md" for name in goals)]
    generated += [f"views/{view.slug}.md" for view in book.views.saved]
    return None, check_links(book.root, book.entries, book.prose, generated)


#: Everything that can be held against the files without drawing.
CHECKS: tuple[Stage, ...] = (
    ("setting", lambda book: read_setting(book.root)),
    ("entries", lambda book: read_entries(book.root)),
    ("prose", lambda book: read_prose(book.root)),
    ("music", _music),
    ("voices", _voices),
    ("claims", lambda book: check_claims(book.entries, book.music, book.setting, book.voices)),
    ("views", lambda book: read_views(book.root, book.entries, book.music, book.setting)),
    ("links", _links),
)

#: What a site takes beyond that.
DRAWING: tuple[Stage, ...] = (
    ("engraved", _engraved),
    ("sound", _sound),
    ("tracks", _tracks),
    ("site", _site),
)
STAGES: tuple[Stage, ...] = (*CHECKS, *DRAWING)


def begin(root: Path, cache: Cache | None = None, *, with_tracks: bool = False) -> Handbook:
    """A handbook of which nothing is known yet but where it lies."""
    return Handbook(root.resolve(), cache or Cache(None), with_tracks)


def advance(
    book: Handbook, stages: tuple[Stage, ...], tell: Callable[[str], None] = lambda _: None
) -> Handbook:
    """Run further stages; `tell` hears the name of each as it starts."""
    for name, stage in stages:
        tell(name)
        result, problems = stage(book)
        found = tuple(sorted({*book.problems, *problems}))
        book = replace(book, problems=found, **{name: result})
    return book


def run(root: Path, cache: Cache | None = None) -> Handbook:
    """All stages on the handbook in `root`. The site of a handbook with errors shows what could be
    read; it is for its author's eyes."""
    return advance(begin(root, cache), STAGES)


def check(root: Path) -> list[Problem]:
    """All problems of the handbook in `root`, in file order, without drawing anything."""
    return list(advance(begin(root), CHECKS).problems)
