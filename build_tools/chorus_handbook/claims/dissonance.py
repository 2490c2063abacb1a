"""Check for dissonances in a round on the first beat of a bar.

What it checks: the notes that sound together when a bar begins. A second, a seventh or a tritone
between two of them (in any octave), or a fourth above the lowest note, is a dissonance, unless all
notes belong to the tonic chord. Intervals are measured in semitones. Source: these are the
dissonances of counterpoint, which are avoided on strong beats (common practice); that the tonic
chord may have its fifth in the bass is our choice. A dissonance may be meant, so it is only a
notice.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator
from fractions import Fraction
from itertools import combinations
from typing import NamedTuple

from chorus_handbook.claims.subject import Subject
from chorus_handbook.claims.wording import listed, span, to_answer
from chorus_handbook.music.chord_names import TONIC_CHORD
from chorus_handbook.music.measure import sounding_pitches
from chorus_handbook.music.score import Degree, Note, Score
from chorus_handbook.pitch import Pitch
from chorus_handbook.problems import Problem

#: In semitones, with octaves taken off: seconds, the tritone and sevenths; and the fourth.
_DISSONANT, _FOURTH = (1, 2, 6, 10, 11), 5


class _SungPitch(NamedTuple):
    """A pitch that sounds, who sings it, and the note it belongs to."""

    pitch: Pitch
    voice: str
    note: Note


def check_dissonance(subject: Subject) -> Iterator[Problem]:
    """Notice `round-dissonance`, at most one for a round: its first dissonance, and the numbers of
    other bars that have one."""
    score, facts = subject.score, subject.facts
    if score is None or facts is None or score.line is None:
        return
    found = [
        (bar, pair)
        for bar, start in enumerate(score.bar_starts, 0 if score.pickup else 1)
        if bar and (pair := _dissonance(_sounding_at(start, score, facts.keys[0])))
    ]
    if not found:
        return
    (bar, ((low, lower, _), (high, higher, note))), *more = found
    bars = [str(bar) for bar, _ in more]
    others = f" Others: bar{'s' * (len(bars) > 1)} {listed(bars)}." if bars else ""
    yield Problem(
        note.place,
        "round-dissonance",
        f"On the first beat of bar {bar}, {higher} on {high} is {span(low, high)} above {lower} "
        f"on {low} (first key).{others}",
        "Change a note, or let the entries follow at another distance or in another order. If it "
        f"is meant, {to_answer('round-dissonance')}.",
    )


def _sounding_at(moment: Fraction, score: Score, tonic: Pitch) -> list[_SungPitch]:
    """The pitches that sound at a moment (in quarters), from low to high; empty when they all
    belong to the tonic chord."""
    notes = []
    for part in score.parts:
        place = bisect_right(part.sung, moment, key=lambda note: note.onset) - 1
        if place >= 0 and part.sung[place].end > moment:
            notes.append((part, part.sung[place]))
    degrees = [d for _, note in notes for d in (note.degree, *note.below) if d]
    if all(Degree(degree.steps % 7, degree.alter) in TONIC_CHORD for degree in degrees):
        return []
    pitches = (
        _SungPitch(pitch, part.voice, note)
        for part, note in notes
        for pitch in sounding_pitches(note, part, tonic, score.mode)
    )
    return sorted(pitches, key=lambda sung: sung.pitch.midi)


def _dissonance(sounding: list[_SungPitch]) -> tuple[_SungPitch, _SungPitch] | None:
    """The first two pitches that form a dissonance, from the lowest upward; None without any."""
    for low, high in combinations(sounding, 2):
        semitones = (high.pitch.midi - low.pitch.midi) % 12
        above_lowest = low.pitch.midi == sounding[0].pitch.midi
        if semitones in _DISSONANT or (semitones == _FOURTH and above_lowest):
            return low, high
    return None
