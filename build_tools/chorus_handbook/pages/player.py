"""The HTML of the player: the row of controls above the score, the mixer below it, and the links to
practice tracks. `browser/player_page.js` makes the controls work."""

from __future__ import annotations

from collections.abc import Sequence

from markupsafe import Markup

from chorus_handbook.catalogue import joined
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.music.facts import Facts
from chorus_handbook.pages import words
from chorus_handbook.pages.html import render
from chorus_handbook.pages.page import FOLDER, link, track_file
from chorus_handbook.sound.schedule import FASTEST, SLOWEST


def player(page_path: str, facts: Facts, chorus: Chorus, keys: Markup, passes: int) -> Markup:
    """The HTML of the player's row of controls on the page of an exercise. `keys` is the list from
    which a reader chooses the key, as HTML; `passes` is how often the exercise is sung in each
    key."""
    slug, voices = facts.slug, _voices(facts, chorus)
    return render(
        "player.html",
        notes=link(page_path, f"{FOLDER}/{slug}/notes.json"),
        instrument=link(page_path, f"{FOLDER}/instrument.json"),
        tempo=f"{facts.tempo:g}",
        keys=keys,
        named=words.key_names(facts.mode),
        voices=voices,
        several_voices=len(voices) > 1,
        sung=any(sings for *_, sings in voices),
        several_keys=len(facts.keys) > 1,
        passes=words.times_over(passes),
    )


def mixer(page_path: str, facts: Facts, chorus: Chorus, symbols: str) -> Markup:
    """The mixer, with settings that are changed rarely: loudness of each voice, tempo, tuning, and
    what is written into the score. `symbols` are the chord symbols (`symbols_for_browser`)."""
    slug, voices = facts.slug, _voices(facts, chorus)
    return render(
        "mixer.html",
        midi=link(page_path, f"{FOLDER}/{slug}/{slug}.mid"),
        symbols=symbols,
        voices=voices,
        several_voices=len(voices) > 1,
        sung=any(sings for *_, sings in voices),
        slowest=SLOWEST,
        fastest=FASTEST,
    )


def _voices(facts: Facts, chorus: Chorus) -> list[tuple[str, str, bool]]:
    """The name and label of each voice, and whether it sings (and does not only speak)."""
    return [
        (voice.voice, chorus.label_of(voice.voice), voice.first is not None)
        for voice in facts.voices
    ]


def track_links(page_path: str, slug: str, voices: Sequence[str], chorus: Chorus) -> Markup:
    """Links to the practice tracks of these voices; empty without voices."""
    if not voices:
        return Markup()
    tracks = [
        Markup('<a href="{}" download>{}</a>').format(
            link(page_path, track_file(slug, voice)), chorus.label_of(voice)
        )
        for voice in voices
    ]
    return render("tracks.html", tracks=joined(tracks))
