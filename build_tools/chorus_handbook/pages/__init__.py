"""Makes the pages of the site as HTML, and the files published beside them.

`make_site` is the entry point. It plans every page (`plans`): a plan has a path, a title and a
function that makes the page when MkDocs asks for it. `exercise` makes the page of an exercise,
`lists` and `overviews` make lists of exercises, `kinds` makes the pages of all other content.
`page` has the types that all of them share. Nothing here uses MkDocs, which only adds the theme
later (`mkdocs_plugin`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import TYPE_CHECKING, Any

from chorus_handbook.catalogue import _
from chorus_handbook.chorus import ChorusConfig
from chorus_handbook.engraving.lyric_font import LICENCE_FILE
from chorus_handbook.entries.model import Text
from chorus_handbook.pages import browser_files as browser
from chorus_handbook.pages.data_files import data_files
from chorus_handbook.pages.export import exercises_json, exercises_schema
from chorus_handbook.pages.overviews import ALL_GOALS, ALL_LISTS, GOALS, LISTS, by_moment
from chorus_handbook.pages.page import (
    FOLDER,
    HOME,
    INSTRUMENT,
    VOICE_CARE,
    Menu,
    Page,
    PlannedPage,
    Published,
    Site,
    parts_file,
    routine_file,
    set_in_late,
    track_file,
)
from chorus_handbook.pages.plans import Plans
from chorus_handbook.pages.site_head import head_files
from chorus_handbook.records import Exercise
from chorus_handbook.records.parts import Parts
from chorus_handbook.views import Views

if TYPE_CHECKING:
    from chorus_handbook.sound import Sound, Tracks

__all__ = [
    "FOLDER",
    "STYLES",
    "Page",
    "PlannedPage",
    "Site",
    "make_site",
    "set_in_late",
    "style_paths",
]

#: The style sheets, in the order in which pages load them.
STYLES = (
    *("handbook.css", "lists.css", "score.css", "controls.css", "focus.css", "search.css"),
    *("own_range.css", "find.css", "player.css", "warm_ups.css", "at_home.css"),
    *(
        "stand.css",
        "stand_sideways.css",
        "kept.css",
        "draft.css",
        "tonight.css",
        "print.css",
        "large_print.css",
    ),
)


def style_paths() -> list[str]:
    """The paths of the published style sheets in the site, in the order in which pages load
    them."""
    return [f"{FOLDER}/{browser.published_name(style)}" for style in STYLES]


def make_site(
    config: ChorusConfig,
    stock: Mapping[str, Exercise],
    texts: Sequence[Text[Any]],
    views: Views,
    parts: Parts,
    sound: Sound | None,
    tracks: Tracks,
) -> Site:
    """The whole site. `stock` has all valid exercises, keyed by slug, `texts` all other content,
    `parts` loads drawings and sound; `sound` is None when no exercise can be heard. The chorus and
    the vocabulary in `config` must not be None."""
    plans = Plans(config, stock, texts, views, parts, tracks)
    small = {  # files whose content is in memory
        f"{FOLDER}/exercises.json": exercises_json(stock),
        f"{FOLDER}/exercises.schema.json": exercises_schema(),
        f"{FOLDER}/lyrics-licence.txt": LICENCE_FILE.read_bytes(),
        **data_files(stock, texts, views, plans, parts),
    }
    if sound:
        small[INSTRUMENT] = sound.instrument.index
        small[f"{FOLDER}/instrument.bin"] = sound.instrument.pack
    small |= {f"{FOLDER}/{name}": file for name, file in browser.browser_files().items()}
    large: dict[str, Callable[[], bytes]] = {}  # files that are loaded or made when published
    for slug, exercise in stock.items():
        large[parts_file(slug)] = partial(_warm_up_parts, exercise, plans, parts)
        if parts.has_sound(exercise):
            large[f"{FOLDER}/{slug}/notes.json"] = partial(parts.notes, exercise)
            large[f"{FOLDER}/{slug}/{slug}.mid"] = partial(parts.midi, exercise)
    for slug, voices in tracks.voices.items():
        large |= {track_file(slug, voice): load for voice, load in voices.items()}
    large |= {routine_file(slug): load for slug, load in tracks.routines.items()}
    small["offline-worker.js"] = browser.source_of("offline_worker.js")
    small |= head_files(plans.chorus)
    files = Published(large) | small
    return Site(tuple(plans), files, _menu(views, plans), plans.chorus.indexed)


def _warm_up_parts(exercise: Exercise, plans: Plans, parts: Parts) -> bytes:
    """The content of warm-up.json of an exercise (`draft_parts`): what it contributes to warm-ups
    that are put together in the browser."""

    def make() -> bytes:
        from chorus_handbook.pages.draft_parts import warm_up_parts  # late: mostly it is cached

        return warm_up_parts(exercise, plans.chorus, plans.vocabulary, parts.opening)

    return parts.stored(plans.key_of_parts(exercise), make)


def _menu(views: Views, plans: Plans) -> Menu:
    """The menu of the site, without lists and goals that have no exercises."""
    menu: list[tuple[str, str | tuple[tuple[str, str], ...]]] = [(_("Home"), HOME)]
    menu += [(page.title, page.path) for page in plans.find]
    if views.saved:
        saved = (
            (view.title, f"views/{view.slug}.md")
            for _heading, _anchor, members in by_moment(views)
            for view in members
        )
        menu.append((_("Lists"), ((_(ALL_LISTS), LISTS), *saved)))
    goals = plans.vocabulary.goals
    filled = [(goals[n].label, f"goals/{n}.md") for n in goals if views.by_goal.get(n)]
    if filled:
        menu.append((_("Goals"), ((_(ALL_GOALS), GOALS), *filled)))
    menu.append((plans.all.title, plans.all.path))
    menu.append((plans.draft.title, plans.draft.path))
    menu += [(page.title, page.path) for page in plans.lists]
    menu += [(page.title, page.path) for page in plans.gaps if filled]
    menu += [(page.title, page.path) for page in plans.written if page.path != VOICE_CARE]
    menu += [(page.title, page.path) for page in plans.written if page.path == VOICE_CARE]
    menu.append((plans.kept.title, plans.kept.path))
    return tuple(menu)
