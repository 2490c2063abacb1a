"""Facts to pages. Knows nothing of MkDocs.

`make_site` turns what the earlier stages found into `Page`s (Markdown with slots for our HTML)
and the files published beside them.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from chorus_handbook.pages.page import FOLDER, Page, Site, set_in, set_in_late

if TYPE_CHECKING:
    from chorus_handbook.cache import Cache
    from chorus_handbook.chorus import Setting
    from chorus_handbook.engraving import Engraved
    from chorus_handbook.entries import Entries
    from chorus_handbook.entries.prose import Prose
    from chorus_handbook.music import Music
    from chorus_handbook.problems import Problem
    from chorus_handbook.sound import Sound
    from chorus_handbook.sound.track_pool import Tracks
    from chorus_handbook.views import Views
    from chorus_handbook.voices import Ladder

__all__ = ["FOLDER", "SCRIPTS", "STYLES", "Page", "Site", "make_site", "set_in", "set_in_late"]

#: The style sheets, in the order in which pages load them.
STYLES = (
    *("handbook.css", "score.css", "controls.css"),
    *("own_range.css", "player.css", "print.css"),
)
#: The modules that pages load, in the same folder; they import the others there.
SCRIPTS = ("keys.js", "player_page.js", "own_range.js")
_BROWSER = Path(__file__).parent.parent / "browser"


def make_site(
    setting: Setting,
    entries: Entries,
    prose: Prose,
    music: Music,
    ladders: Mapping[str, Ladder],
    views: Views,
    engraved: Mapping[str, Engraved],
    all_keys: Mapping[str, tuple[Engraved, ...]],
    sound: Sound | None,
    tracks: Tracks,
    cache: Cache,
) -> tuple[Site | None, list[Problem]]:
    """Every page and file of the site; None while chorus.yml or vocabulary.yml is broken."""
    # late: a site that was kept (`finished`) needs none of these
    from chorus_handbook.engraving.lyric_font import lyric_font, lyric_font_licence
    from chorus_handbook.pages.care import VOICE_CARE, care_page
    from chorus_handbook.pages.exercise import Exercise, exercise_page
    from chorus_handbook.pages.export import exercises_json, exercises_schema
    from chorus_handbook.pages.home import HOME, home_page
    from chorus_handbook.pages.index_file import index_json
    from chorus_handbook.pages.lists import ALL, all_page, goal_page, view_page
    from chorus_handbook.pages.player import track_file
    from chorus_handbook.pages.written import written_page
    from chorus_handbook.voices.load import load_all

    chorus, vocabulary = setting.chorus, setting.vocabulary
    if chorus is None or vocabulary is None:
        return None, []
    loads = load_all(entries, music, ladders)
    stock = {
        entry.slug: Exercise(
            entry,
            music.scores.get(entry.slug),
            music.facts.get(entry.slug),
            engraved.get(entry.slug),
            ladders.get(entry.slug),
            all_keys.get(entry.slug, ()),
            loads.get(entry.slug, {}),
            tuple(tracks.get(entry.slug, ())),
        )
        for entry in entries.entries
    }
    by_goal = {
        name: [stock[slug] for slug in views.by_goal.get(name, ()) if slug in stock]
        for name in vocabulary.goals
    }
    home = next((page for page in prose.pages if page.path == HOME), None)
    own = [written_page(page) for page in prose.pages if page.path != HOME]
    if not any(page.path == VOICE_CARE for page in own):
        own.append(care_page(vocabulary))
    pages = [
        home_page(home, views, stock, chorus, vocabulary),
        all_page(list(stock.values()), chorus),
        *(view_page(view, stock, chorus) for view in views.saved),
        *(goal_page(n, goal, by_goal[n], chorus) for n, goal in vocabulary.goals.items()),
        *(exercise_page(e, stock, chorus, vocabulary) for e in stock.values()),
        *own,
    ]
    files = {
        f"{FOLDER}/exercises.json": exercises_json(stock, vocabulary),
        f"{FOLDER}/exercises.schema.json": exercises_schema(),
        f"{FOLDER}/lyrics.woff2": lyric_font(cache),
        f"{FOLDER}/lyrics-licence.txt": lyric_font_licence(),
        f"{FOLDER}/index.json": index_json(
            ((slug, e.entry.front.title, e.ladder_data) for slug, e in stock.items()), chorus
        ),
        **{
            f"{FOLDER}/{file.name}": file.read_bytes()
            for kind in ("*.css", "*.js")
            for file in sorted(_BROWSER.glob(kind))
        },
    }
    if sound:
        if sound.instrument:
            files[f"{FOLDER}/instrument.json"] = sound.instrument.index
            files[f"{FOLDER}/instrument.bin"] = sound.instrument.pack
        files |= {f"{FOLDER}/{slug}/notes.json": notes for slug, notes in sound.notes.items()}
        files |= {f"{FOLDER}/{slug}/{slug}.mid": midi for slug, midi in sound.midi.items()}
    files |= {
        track_file(slug, voice): file
        for slug, voices in tracks.items()
        for voice, file in voices.items()
    }
    menu: list[tuple[str, str | tuple[tuple[str, str], ...]]] = [("Home", HOME)]
    if views.saved:
        menu.append(("Lists", tuple((v.title, f"views/{v.slug}.md") for v in views.saved)))
    goals = tuple((vocabulary.goals[n].label, f"goals/{n}.md") for n in by_goal if by_goal[n])
    if goals:
        menu.append(("Goals", goals))
    menu.append(("All exercises", ALL))
    menu += [(page.title, page.path) for page in own if page.path != VOICE_CARE]
    menu += [(page.title, page.path) for page in own if page.path == VOICE_CARE]
    return Site(tuple(pages), files, tuple(menu)), []
