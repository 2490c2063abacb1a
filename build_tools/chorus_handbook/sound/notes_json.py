"""Writes notes.json, the timed notes of an exercise, for the player in the page.

The file holds one pass of the exercise as it sounds, with fermatas and repeats, and the keys in
which the player repeats it. Times are in whole ticks from the start of the pass. `VERSION` is
raised when a field is removed or changes its meaning, not when one is added."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from chorus_handbook.entries.model import FrontMatter
from chorus_handbook.music.modes import MODES
from chorus_handbook.pitch import Pitch
from chorus_handbook.shared_facts import FACTS
from chorus_handbook.sound.chords import lead_cents, lead_chord, sustained_chords
from chorus_handbook.sound.timed import TimedNote, TimedPass, TimedVoice
from chorus_handbook.sound.tuning import Tuned

VERSION: int = FACTS["formats"]["notes"]


def notes_data(
    slug: str, front: FrontMatter, keys: Sequence[Pitch], timed: TimedPass, tuned: Tuned
) -> dict[str, Any]:
    """The content of notes.json, from the timed notes and their tuning. `front` must state a tempo;
    `keys` are the tonics of the keys (such as C4), in the order of singing."""
    return {
        "version": VERSION,
        "slug": slug,
        "title": front.title,
        **({"plain": front.plain} if front.plain else {}),
        "tempo": _number(front.tempo or 0.0),
        "ticks_per_beat": timed.ticks,
        "length": timed.length,
        "passes": front.passes,
        "lead_in": front.lead_in,
        "count_in": _number(float(timed.count_in)),
        "bar": _number(float(timed.bar)),
        "pickup": _number(float(timed.pickup)),
        "bars": list(timed.bars),
        "keys": [{"key": str(tonic), "midi": tonic.midi} for tonic in keys],
        "lead_chord": [list(lead_chord(timed)) for _ in keys],
        "lead_cents": list(lead_cents(timed)),
        "voices": [_voice(voice, tuned) for voice in timed.voices],
        "tuning": {"to": tuned.to, "told": tuned.description},
        "chords": [[chord.at, chord.length] for chord in sustained_chords(timed)],
        "mode_start": MODES[timed.mode].start,
    }


def notes_json(data: dict[str, Any]) -> bytes:
    """The content of notes.json as a file. Equal data give equal bytes."""
    return json.dumps(data, ensure_ascii=False, separators=(",", ":")).encode() + b"\n"


def _voice(voice: TimedVoice, tuned: Tuned) -> dict[str, Any]:
    notes = [_note(note, tuned) for note in voice.notes]
    return {"name": voice.name, "label": voice.label, "notes": notes}


def _note(note: TimedNote, tuned: Tuned) -> dict[str, Any]:
    data: dict[str, Any] = {
        "id": note.id,
        "drawn": note.drawn,
        "at": note.at,
        "length": note.length,
        "semitones": list(note.semitones),
        "steps": [degree.steps for degree in note.degrees],
        "cents": list(tuned.cents.get(note.id, (0.0,) * len(note.semitones))),
    }
    if note.glide:
        data["glide"] = [note.glide.start, list(note.glide.semitones)]
    if note.joined:
        data["joined"] = True
    if note.ends_phrase:
        data["ends_phrase"] = True
    if note.graces:
        data["graces"] = [[one.before, one.length, one.semitones] for one in note.graces]
    if note.spoken:
        data["spoken"] = note.spoken
    data["level"] = note.level
    if note.swell:
        data["swell"] = [list(point) for point in note.swell]
    if note.syllable:
        data["syllable"] = note.syllable
    return data


def _number(value: float) -> float | int:
    """A whole number without its ".0"."""
    return int(value) if value == int(value) else value
