"""Makes the pages of the site as HTML, and the files published beside them.

`make_site` is the entrance. It plans every page (`plans`); a page itself is made when MkDocs asks
for it. `exercise` makes the page of an exercise, `lists` and `overviews` make lists of exercises,
`kinds` all other content. `page` has the types that all of them share. MkDocs is not used here: it
only adds the theme later (`mkdocs_plugin`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from chorus_handbook.catalogue import _, script_words
from chorus_handbook.chorus import ChorusConfig
from chorus_handbook.engraving.lyric_font import FONT_FILE, LICENCE_FILE
from chorus_handbook.entries.model import Text
from chorus_handbook.pages.export import exercises_json, exercises_schema
from chorus_handbook.pages.html import BEFORE_PAINT
from chorus_handbook.pages.index_file import index_json
from chorus_handbook.pages.overviews import ALL_GOALS, ALL_LISTS, GOALS, LISTS, by_moment
from chorus_handbook.pages.page import (
    FOLDER,
    HOME,
    SEARCH_WORKER,
    VOICE_CARE,
    Menu,
    Page,
    PlannedPage,
    Published,
    Site,
    routine_file,
    set_in_late,
    track_file,
)
from chorus_handbook.pages.plans import Plans
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
]

#: The style sheets, in the order in which pages load them.
STYLES = (
    *("handbook.css", "lists.css", "score.css", "controls.css"),
    *("own_range.css", "player.css", "warm_ups.css", "at_home.css", "stand.css", "print.css"),
)
_WORDS = "words.js"
_BROWSER = Path(__file__).parent.parent / "browser"


def make_site(
    config: ChorusConfig,
    stock: Mapping[str, Exercise],
    texts: Sequence[Text[Any]],
    views: Views,
    parts: Parts,
    sound: Sound | None,
    tracks: Tracks,
) -> Site:
    """The whole site. `stock` has all valid exercises by slug, `texts` all other content, `parts`
    loads drawings and sound; `sound` is None when no exercise can be heard. The chorus and the
    vocabulary in `config` must not be None."""
    plans = Plans(config, stock, texts, views, parts, tracks)
    small = {
        f"{FOLDER}/exercises.json": exercises_json(stock),
        f"{FOLDER}/exercises.schema.json": exercises_schema(),
        f"{FOLDER}/lyrics.woff2": FONT_FILE.read_bytes(),
        f"{FOLDER}/lyrics-licence.txt": LICENCE_FILE.read_bytes(),
        f"{FOLDER}/index.json": index_json(
            {slug: exercise.index_entry for slug, exercise in stock.items()}, plans.chorus
        ),
    }
    if sound:
        small[f"{FOLDER}/instrument.json"] = sound.instrument.index
        small[f"{FOLDER}/instrument.bin"] = sound.instrument.pack
    large = {
        f"{FOLDER}/{file.name}": file.read_bytes
        for kind in ("*.css", "*.js")
        for file in sorted(_BROWSER.glob(kind))
        if file != BEFORE_PAINT
    }
    large[SEARCH_WORKER] = large.pop(f"{FOLDER}/{Path(SEARCH_WORKER).name}")
    large[f"{FOLDER}/{_WORDS}"] = lambda: script_words((_BROWSER / _WORDS).read_bytes())
    for slug, exercise in stock.items():
        if parts.has_sound(exercise):  # loaded when it is published
            large[f"{FOLDER}/{slug}/notes.json"] = partial(parts.notes, exercise)
            large[f"{FOLDER}/{slug}/{slug}.mid"] = partial(parts.midi, exercise)
    for slug, voices in tracks.voices.items():
        large |= {track_file(slug, voice): load for voice, load in voices.items()}
    large |= {routine_file(slug): load for slug, load in tracks.routines.items()}
    return Site(tuple(plans), Published(large) | small, _menu(views, plans))


def _menu(views: Views, plans: Plans) -> Menu:
    menu: list[tuple[str, str | tuple[tuple[str, str], ...]]] = [(_("Home"), HOME)]
    if views.saved:
        saved = ((v.title, f"views/{v.slug}.md") for *_group, vs in by_moment(views) for v in vs)
        menu.append((_("Lists"), ((_(ALL_LISTS), LISTS), *saved)))
    goals = plans.vocabulary.goals
    filled = [(goals[n].label, f"goals/{n}.md") for n in goals if views.by_goal.get(n)]
    if filled:
        menu.append((_("Goals"), ((_(ALL_GOALS), GOALS), *filled)))
    menu.append((plans.all.title, plans.all.path))
    menu += [(page.title, page.path) for page in plans.lists]
    menu += [(page.title, page.path) for page in plans.written if page.path != VOICE_CARE]
    menu += [(page.title, page.path) for page in plans.written if page.path == VOICE_CARE]
    return tuple(menu)
