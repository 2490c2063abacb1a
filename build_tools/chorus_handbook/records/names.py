"""Where the costly parts of an exercise stand in the store.

A part is named by everything that it is made from, when its record is made; the record then leads
to it without holding a note. Nothing here draws or sounds: `check` names parts, too.
"""

from __future__ import annotations

from dataclasses import replace

from chorus_handbook import catalogue
from chorus_handbook.cache import Cache
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.dependencies import DRAWINGS, SOUND
from chorus_handbook.entries.model import Entry
from chorus_handbook.music.facts import Facts
from chorus_handbook.music.score import Score


def name_drawings(entry: Entry, score: Score, facts: Facts, chorus: Chorus) -> str:
    """Names the drawings of an exercise. Where in its text a note stands changes none of them, nor
    what it is heard on."""
    return Cache.key(
        DRAWINGS.name,
        DRAWINGS.version(),
        catalogue.version(),
        entry.slug,
        entry.front.title,
        repr(_without_places(score.written)),
        chorus.model_dump_json(exclude={"language", "sound_font"}),
        " ".join(map(str, facts.keys)),
    )


def name_sound(entry: Entry, score: Score, facts: Facts, chorus: Chorus) -> str:
    """Names what is heard of an exercise."""
    played = {"title", "plain", "tempo", "passes", "lead_in", "tune_to", "roots"}
    return Cache.key(
        SOUND.name,
        SOUND.version(),
        catalogue.version(),
        entry.slug,
        entry.front.model_dump_json(include=played),
        repr(_without_places(score)),
        chorus.model_dump_json(exclude={"language", "sound_font"}),
        " ".join(map(str, facts.keys)),
    )


def _without_places(score: Score) -> Score:
    """A score without the text that it was read from, for the checks: nothing else reads it. What
    is sung of a round is there already, so its line is left out. Only
    where its blocks begin is drawn."""
    blocks = tuple(replace(block, lines=()) for block in score.blocks)
    return replace(score, blocks=blocks, line=None)
