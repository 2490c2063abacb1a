"""What to hear an exercise by: the row of controls above the score and the mixer below, which
`browser/player_page.js` makes work, and links to practice tracks, which need no script."""

from __future__ import annotations

from collections.abc import Sequence

from markupsafe import Markup

from chorus_handbook.catalogue import joined
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.music.facts import Facts
from chorus_handbook.pages.html import render
from chorus_handbook.pages.page import FOLDER, link, track_file
from chorus_handbook.sound.schedule import FASTEST, SLOWEST


def player(page_path: str, facts: Facts, chorus: Chorus, keys: Markup) -> Markup:
    """The row of controls, with the choice of a key among them."""
    slug, voices = facts.slug, _voices(facts, chorus)
    return render(
        "player.html",
        notes=link(page_path, f"{FOLDER}/{slug}/notes.json"),
        instrument=link(page_path, f"{FOLDER}/instrument.json"),
        tempo=f"{facts.tempo:g}",
        keys=keys,
        voices=voices,
        several_voices=len(voices) > 1,
        sung=any(sings for *_, sings in voices),
        several_keys=len(facts.keys) > 1,
    )


def mixer(page_path: str, facts: Facts, chorus: Chorus, symbols: str) -> Markup:
    """What is changed more rarely: every voice's level, tempo and tuning, and what is written into
    the score; `symbols` are those of its chords (`symbols_for_browser`)."""
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
    """Name and label of each voice, and whether it sings a pitch."""
    return [
        (voice.voice, chorus.label_of(voice.voice), voice.first is not None)
        for voice in facts.voices
    ]


def track_links(page_path: str, slug: str, voices: Sequence[str], chorus: Chorus) -> Markup:
    """Links to the practice tracks of these voices; nothing where the site offers none."""
    if not voices:
        return Markup()
    tracks = [
        Markup('<a href="{}" download>{}</a>').format(
            link(page_path, track_file(slug, voice)), chorus.label_of(voice)
        )
        for voice in voices
    ]
    return render("tracks.html", tracks=joined(tracks))
