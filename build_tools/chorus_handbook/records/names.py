"""Computes the cache keys of an exercise's drawings and of its sound.

The keys are computed together with the exercise's record, which stores them, so that drawings and
sound can be loaded from the cache without reading the notation again.
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


def drawings_key(entry: Entry, score: Score, facts: Facts, chorus: Chorus) -> str:
    """The cache key of an exercise's drawings. Source positions and the sound font are left out:
    they do not change a drawing."""
    return Cache.key(
        DRAWINGS.name,
        DRAWINGS.version(),
        catalogue.version(),
        entry.slug,
        entry.front.title,
        repr(_without_places(score.written)),
        chorus.model_dump_json(exclude={"language", "sound_font", "indexed"}),
        " ".join(map(str, facts.keys)),
    )


def sound_key(entry: Entry, score: Score, facts: Facts, chorus: Chorus) -> str:
    """The cache key of an exercise's sound. Source positions and the sound font are left out: they
    do not change its notes."""
    played = {"title", "plain", "tempo", "passes", "lead_in", "tune_to", "roots"}
    return Cache.key(
        SOUND.name,
        SOUND.version(),
        catalogue.version(),
        entry.slug,
        entry.front.model_dump_json(include=played),
        repr(_without_places(score)),
        chorus.model_dump_json(exclude={"language", "sound_font", "indexed"}),
        " ".join(map(str, facts.keys)),
    )


def _without_places(score: Score) -> Score:
    """A score without the lines that it was read from, which only checks need, and without the
    line of a round, whose voices have its notes already."""
    blocks = tuple(replace(block, lines=()) for block in score.blocks)
    return replace(score, blocks=blocks, line=None)
