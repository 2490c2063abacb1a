"""Stage 7: scores into sound.

A score is put in time once, as it sounds (`timed`, with the dynamics as `levels`), in no particular
key; `standing` finds the chords that stand, `lead` the chord between two keys. `notes_json` writes
this for the player in the page, which plays it on the `instrument`: a `tone` computed with numpy,
its `encoding` MP3. `tuning` says how far each note lies from equal temperament (`ratios`,
`chord_root`), and `schedule` what sounds when in a whole run, by the rule that the player follows.
`midi` writes the notes for other programs; `tracks` has whole runs computed (`render`) and encoded
for singers.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from types import MappingProxyType

from chorus_handbook.cache import Cache
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries.model import Entries, Entry
from chorus_handbook.music import Music
from chorus_handbook.music.score import Degree, Score
from chorus_handbook.problems import Place, Problem
from chorus_handbook.sound.encoding import EncodingError
from chorus_handbook.sound.instrument import Instrument, instrument
from chorus_handbook.sound.midi import Piece, midi_file
from chorus_handbook.sound.notes_json import notes_data, notes_json
from chorus_handbook.sound.timed import Timed, in_time
from chorus_handbook.sound.tuning import TONIC, tune
from chorus_handbook.source.text import shown_path

__all__ = ["Instrument", "Sound", "make_sound"]

_FAILED = "The player's tones could not be made"
_HINT = (
    "The handbook is not at fault. Install the program again, with all that it needs, and tell who "
    "keeps it if that does not help."
)


@dataclass(frozen=True, slots=True)
class Sound:
    """What can be heard. `notes` is the notes.json of every exercise that was measured, by slug,
    `midi` its Standard MIDI File;
    `instrument` is None where nothing is notated."""

    notes: Mapping[str, bytes] = field(default_factory=lambda: MappingProxyType({}))
    midi: Mapping[str, bytes] = field(default_factory=lambda: MappingProxyType({}))
    instrument: Instrument | None = None


def make_sound(
    entries: Entries, music: Music, chorus: Chorus, cache: Cache, root: Path
) -> tuple[Sound, list[Problem]]:
    """The timed notes of every exercise that was measured, and what to play them on. `root` is the
    handbook's folder."""
    notes: dict[str, bytes] = {}
    files: dict[str, bytes] = {}
    for entry in entries.entries:
        score, facts = music.scores.get(entry.slug), music.facts.get(entry.slug)
        if score is None or facts is None:
            continue
        timed = in_time(score, chorus)
        tuned = tune(timed, entry.front.tune_to or TONIC, _roots(entry, score, timed))
        notes[entry.slug] = notes_json(
            notes_data(entry.slug, entry.front, facts.keys, timed, tuned)
        )
        piece = Piece(entry.front.title, timed, score.meter, facts.tempo, facts.keys[0])
        files[entry.slug] = midi_file(piece, cache)
    found = Sound(MappingProxyType(notes), MappingProxyType(files))
    if not notes:
        return found, []
    try:
        return replace(found, instrument=instrument(cache)), []
    except EncodingError as error:
        place = Place(shown_path(root / "chorus.yml", root))
        return found, [Problem(place, "instrument", f"{_FAILED}: {error}.", _HINT)]


def _roots(entry: Entry, score: Score, timed: Timed) -> list[tuple[int, Degree]]:
    """The roots that the author has written out, each with the tick from which it leads."""
    sounding, found, beat = score.sounding(), [], 0
    for root in entry.front.root_path:
        moment = sounding(beat * score.meter.beat) / score.meter.beat
        found.append((round(moment * timed.ticks), Degree(root.degree - 1, root.alter)))
        beat += root.beats
    return found
