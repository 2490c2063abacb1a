"""Stage 7: scores into sound.

A score is put in time once, as it sounds (`timed`, with the dynamics as `levels`), in no particular
key; `standing` finds the chords that stand, `lead` the chord between two keys. `notes_json` writes
this for the player in the page, which makes the tones itself.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries.model import Entries
from chorus_handbook.music import Music
from chorus_handbook.problems import Problem
from chorus_handbook.sound.notes_json import notes_data, notes_json
from chorus_handbook.sound.timed import in_time
from chorus_handbook.sound.tuning import Tuned

__all__ = ["Sound", "make_sound"]


@dataclass(frozen=True, slots=True)
class Sound:
    """What can be heard. `notes` is the notes.json of every exercise that was measured, by slug."""

    notes: Mapping[str, bytes] = field(default_factory=lambda: MappingProxyType({}))


def make_sound(entries: Entries, music: Music, chorus: Chorus) -> tuple[Sound, list[Problem]]:
    """The timed notes of every exercise that was measured."""
    notes: dict[str, bytes] = {}
    for entry in entries.entries:
        score, facts = music.scores.get(entry.slug), music.facts.get(entry.slug)
        if score is None or facts is None:
            continue
        timed = in_time(score, chorus)
        notes[entry.slug] = notes_json(
            notes_data(entry.slug, entry.front, facts.keys, timed, Tuned())
        )
    return Sound(MappingProxyType(notes)), []
