"""What sounds together on every beat of an exercise, as chords of music21."""

from __future__ import annotations

import re
from fractions import Fraction

from music21 import chord, pitch

from chorus_handbook.music.measure import sounding_pitches
from chorus_handbook.music.score import Score
from chorus_handbook.pitch import Pitch


def heard(score: Score, tonic: Pitch) -> list[tuple[Fraction, chord.Chord]]:
    """Every beat on which something sounds, and what, lowest note first."""
    found = []
    moment = Fraction(0)
    while moment < score.length:
        sounding = {
            spelled(str(p))
            for part in score.parts
            for note in part.sung
            if note.onset <= moment < note.end
            for p in sounding_pitches(note, part, tonic, score.mode)
        }
        if sounding:
            notes = sorted((pitch.Pitch(name) for name in sounding), key=lambda p: p.ps)
            found.append((moment / score.meter.beat, chord.Chord(notes)))
        moment += score.meter.beat
    return found


def spelled(name: str) -> str:
    """music21 writes flats with a hyphen."""
    return re.sub("(?<=[A-G])b", "-", re.sub("(?<=[A-G])bb", "--", name))
