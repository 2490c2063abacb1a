"""Finds the chords of a timed score and their roots, and the chord that is played beforehand to
give the key.

A pitch class is a pair: the step from the tonic as it is spelled (0 to 6), and its semitones above
the tonic (0 to 11). The root of a chord, from which it is tuned, is the note above which its notes
can be stacked in thirds, as they are spelled: C for C E G in every inversion and for C E G Bb; B
for B D F Ab. A second above a root that also has a third or a fifth counts as its ninth, so the
root of C F G is F. A chord that cannot be stacked in thirds (C F B) has no root here. The names of
chords are found elsewhere (`music/chord_names.py`)."""

from __future__ import annotations

from bisect import bisect_right
from collections import deque
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from operator import attrgetter

from chorus_handbook.music.chord_names import (
    TONIC_CHORD,
    ChordName,
    NamedChord,
    PitchClass,
    interval_above,
    intervals_above,
    name_chord,
)
from chorus_handbook.pitch import interval_name
from chorus_handbook.sound.ratios import away, chord_ratio
from chorus_handbook.sound.timed import TimedNote, TimedPass

#: Steps above a root when thirds are stacked: root, third, fifth, seventh, ninth.
_PILE = (0, 2, 4, 6, 1)
#: Indexes in `_PILE`: how many thirds above the root these notes stand.
_THIRD, _FIFTH, _NINTH = 1, 2, 4


@dataclass(frozen=True, slots=True)
class SoundingChord:
    """Notes that sound together without change, from tick `at` for `length` ticks (a beat has
    `TimedPass.ticks`)."""

    at: int
    length: int
    notes: tuple[TimedNote, ...]

    @property
    def pitches(self) -> list[tuple[int, PitchClass]]:
        """For every note, its semitones above the key's tonic (as in `TimedNote.semitones`) and its
        pitch class; lowest first."""
        return sorted(
            pitch
            for note in self.notes
            for pitch in zip(note.semitones, classes_of(note), strict=True)
        )

    @property
    def semitone_classes(self) -> frozenset[int]:
        """The semitones of its notes above the tonic, modulo 12."""
        return frozenset(semitone % 12 for note in self.notes for semitone in note.semitones)


def sustained_chords(timed: TimedPass) -> Iterator[SoundingChord]:
    """The chords of two pitch classes or more that last a beat or more, in order."""
    return (chord for chord in sounding_chords(timed, 2) if chord.length >= timed.ticks)


def sounding_chords(timed: TimedPass, least_classes: int) -> Iterator[SoundingChord]:
    """The chords with at least `least_classes` different notes (pitch classes in semitones, however
    they are spelled), in order, however short they are. A breath does not end a chord. A glide
    does, and there are no chords while it lasts."""
    edges = {0, timed.length}
    for note in timed.sung:
        edges |= {note.at, note.at + note.written}
        if note.glide:
            edges.add(note.at + note.glide.start)
    moments = sorted(edges)
    sounding = sounding_at(timed.sung, moments)
    for at, end in pairwise(moments):
        gliding = any(note.glide and note.at + note.glide.start <= at for note in sounding[at])
        chord = SoundingChord(at, end - at, sounding[at])
        if not gliding and len(chord.semitone_classes) >= least_classes:
            yield chord


def named_chords(timed: TimedPass) -> tuple[NamedChord, ...]:
    """The chords of three pitch classes or more that have a name and last a beat or more, in order.
    If the notes of a chord change but its name stays the same, it counts as one chord."""
    found: list[tuple[int, int, ChordName, tuple[str, ...]]] = []
    for chord in sounding_chords(timed, 3):
        at, end, pitches = chord.at, chord.at + chord.length, chord.pitches
        name = name_chord({one for _, one in pitches}, pitches[0][1], timed.mode)
        if name and found and found[-1][1:3] == (at, name):  # the same chord goes on
            at, _, _, notes = found.pop()
            found.append((at, end, name, notes))
        elif name:
            notes = tuple(dict.fromkeys(note.drawn for note in chord.notes if note.at == at))
            found.append((at, end, name, notes))

    def bar(tick: int) -> int:
        """The number of the bar; a pickup is bar 0."""
        return bisect_right(timed.bars, tick) - (1 if timed.pickup else 0)

    return tuple(
        NamedChord(at / timed.ticks, (end - at) / timed.ticks, bar(at), bar(end - 1), name, notes)
        for at, end, name, notes in found
        if end - at >= timed.ticks
    )


def sounding_at(
    notes: Iterable[TimedNote], ticks: Iterable[int]
) -> dict[int, tuple[TimedNote, ...]]:
    """The notes that sound at each of these ticks, in the order in which they began. A note that
    ends early for a breath counts for its written length."""
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


def classes_of(note: TimedNote) -> tuple[PitchClass, ...]:
    """The pitch classes of a note, in the order of its pitches."""
    return tuple(
        (degree.steps % 7, semitones % 12)
        for degree, semitones in zip(note.degrees, note.semitones, strict=True)
    )


def chord_root(classes: Collection[PitchClass], lowest: PitchClass) -> PitchClass | None:
    """The root of the chord of these pitch classes; None if they cannot be stacked in thirds. Of
    several possible roots, the one with the fewest thirds above it is taken. Among equal ones,
    `lowest`, the pitch class of the chord's lowest note, is preferred."""
    found = []
    for one in classes:
        height = _height(classes, one)
        if height is not None:
            found.append((height, one != lowest, one))
    return min(found)[2] if found else None


def _height(classes: Collection[PitchClass], root: PitchClass) -> int | None:
    """How many thirds stand above `root` when the chord is stacked in thirds; None if it cannot be
    stacked on this root, or if one of its intervals above the root has no just ratio."""
    intervals = [interval_above(root, one) for one in classes]
    names = intervals_above(root, classes)
    pile = {_PILE.index(steps) for steps, _ in intervals if steps in _PILE}
    if len(pile) < len(intervals) or any(chord_ratio(*one, names) is None for one in intervals):
        return None
    # Under a ninth without a third, only a perfect fifth shows the root: if a diminished one did,
    # C F B would be a chord on B.
    fifth = "P5" in names if _NINTH in pile else _FIFTH in pile
    return max(pile) if _THIRD in pile or fifth else None


def lead_chord(timed: TimedPass) -> tuple[int, ...]:
    """The chord that gives a key, in semitones above its tonic (as in `TimedNote.semitones`); empty
    where nobody sings. It is the triad on the tonic, minor in minor modes, in the octave whose
    middle is nearest to the middle of what is sung, so that every voice can take its note from
    it."""
    sung = [semitone for note in timed.sung for semitone in note.semitones]
    if not sung:
        return ()
    triad = [degree.semitones(timed.mode) for degree in TONIC_CHORD]
    middle = (min(sung) + max(sung)) / 2 - (triad[0] + triad[-1]) / 2
    octave = round(middle / 12)
    return tuple(semitone + 12 * octave for semitone in triad)


def lead_cents(timed: TimedPass) -> tuple[float, ...]:
    """How far each note of `lead_chord` in just intonation differs from equal temperament, in
    cents; empty if nobody sings."""
    if not timed.sung:
        return ()
    triad = [(degree.steps, degree.semitones(timed.mode)) for degree in TONIC_CHORD]
    names = frozenset(interval_name(*one) for one in triad)
    ratios = [(chord_ratio(*one, names), one[1]) for one in triad]
    return tuple(round(away(ratio, semitones), 2) for ratio, semitones in ratios if ratio)
