"""Chords that stand: stretches of a pass in which nobody's pitch changes."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from operator import attrgetter

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
    moments = sorted(edges)
    sounding = sounding_at(timed.sung, moments)
    for at, end in pairwise(moments):
        gliding = any(note.glide and note.at + note.glide.start <= at for note in sounding[at])
        chord = Chord(at, end - at, sounding[at])
        if gliding or chord.length < timed.ticks:
            continue
        if len(chord.pitch_classes) >= classes:
            yield chord


def sounding_at(
    notes: Iterable[TimedNote], ticks: Iterable[int]
) -> dict[int, tuple[TimedNote, ...]]:
    """The notes that sound at each of these ticks, breaths not heeded, in the order in which they
    began."""
    waiting = deque(sorted(notes, key=attrgetter("at")))
    now: list[TimedNote] = []
    found = {}
    for tick in sorted(set(ticks)):
        now = [note for note in now if note.at + note.written > tick]
        while waiting and waiting[0].at <= tick:
            note = waiting.popleft()
            if note.at + note.written > tick:
                now.append(note)
        found[tick] = tuple(now)
    return found
