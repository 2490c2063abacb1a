"""Ladders of whole handbooks, recomputed with music21."""

from __future__ import annotations

from music21 import interval, pitch

from checked import Checked
from chorus_handbook.pitch import Pitch


def theirs(name: Pitch) -> pitch.Pitch:
    return pitch.Pitch(str(name).replace("b", "-"))


def compared_with_music21(demo: Checked) -> int:
    """Lowest and highest notes of the first key, which are checked elsewhere, moved by music21's
    named intervals and held against the words of chorus.yml. How many were compared."""
    chorus = demo.config.chorus
    assert chorus and demo.config.vocabulary
    sounding = {entry.slug: entry.front.sounding for entry in demo.entries.entries}
    compared = 0
    for slug, ladder in demo.ladders.items():
        facts = demo.facts[slug]
        voices = {voice.voice: voice for voice in facts.voices if voice.lowest}
        easy = {p.voice for p in demo.scores[slug].parts if any(n.easy for n in p.notes)}
        for rung in ladder.rungs:
            move = interval.Interval(theirs(facts.keys[0]), theirs(rung.tonic))
            for name, step in rung.voices.items():
                if name in easy:
                    continue
                low, high = (
                    move.transposePitch(theirs(note)).midi  # type: ignore[no-untyped-call]
                    for note in (voices[name].lowest, voices[name].highest)
                    if note
                )
                singer = chorus.voices[name]
                if any(note.glide_at is not None for note in demo.scores[slug].parts[0].sung):
                    continue  # glided notes may go further: below
                manner = demo.config.vocabulary.soundings[sounding[slug]]
                limits = singer.widest if manner.widest and singer.widest else singer.limits
                inner = [pitch.Pitch(n.replace("b", "-")).midi for n in _ends(singer.comfortable)]
                outer = [pitch.Pitch(n.replace("b", "-")).midi for n in _ends(limits)]
                expected = (
                    "out"
                    if low < outer[0] or high > outer[1]
                    else "edge"
                    if low < inner[0] or high > inner[1]
                    else "comfortable"
                )
                assert step.state == expected, (slug, rung.tonic, name)
                compared += 1
    return compared


def _ends(notes: object) -> tuple[str, str]:
    return notes.lowest, notes.highest  # type: ignore[attr-defined]
