"""Chords that stand: stretches of a pass in which nobody's pitch changes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from chorus_handbook.sound.timed import Timed, TimedNote


@dataclass(frozen=True, slots=True)
class Chord:
    """The notes that sound together from tick `at` on, for `length` ticks."""

    at: int
    length: int
    notes: tuple[TimedNote, ...]

    @property
    def pitch_classes(self) -> frozenset[int]:
        """Semitones above the tonic, octaves left out."""
        return frozenset(semitone % 12 for note in self.notes for semitone in note.semitones)


def standing_chords(timed: Timed, classes: int = 2) -> Iterator[Chord]:
    """Chords of at least so many pitch classes that stand for a beat or more, in order. A breath
    does not end a chord, a glide does: while it lasts no chord stands."""
    edges = {0, timed.length}
    for note in timed.sung:
        edges |= {note.at, note.at + note.written}
        if note.glide:
            edges.add(note.at + note.glide.start)
    for at, end in pairwise(sorted(edges)):
        sounding = tuple(n for n in timed.sung if n.at <= at < n.at + n.written)
        gliding = any(note.glide and note.at + note.glide.start <= at for note in sounding)
        chord = Chord(at, end - at, sounding)
        if not gliding and len(chord.pitch_classes) >= classes and chord.length >= timed.ticks:
            yield chord
