"""Check for dissonances in a round on the first beat of a bar.

What it checks: that the notes which sound together when a bar begins form no dissonance. A second,
a seventh or a tritone between two of them (in any octave), or a fourth above the lowest note, is a
dissonance, unless all notes belong to the tonic chord. Intervals are measured in semitones. Source:
these are the dissonances of counterpoint, which are avoided on strong beats (common practice); that
the tonic chord may have its fifth in the bass is our choice. A dissonance may be meant, so it is
only a notice.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator
from fractions import Fraction
from itertools import combinations
from typing import NamedTuple

from chorus_handbook.claims.subject import Subject
from chorus_handbook.claims.wording import listed, span, to_answer, verb
from chorus_handbook.music.chord_names import TONIC_CHORD
from chorus_handbook.music.measure import sounding_pitches
from chorus_handbook.music.score import Degree, Note, Score
from chorus_handbook.pitch import Pitch
from chorus_handbook.problems import Problem

#: Intervals in semitones, without whole octaves: seconds, the tritone and sevenths; and the fourth.
_DISSONANT, _FOURTH = (1, 2, 6, 10, 11), 5


class _SungPitch(NamedTuple):
    """A pitch that sounds, the voice that sings it, and the note it belongs to."""

    pitch: Pitch
    voice: str
    note: Note


def check_dissonance(subject: Subject) -> Iterator[Problem]:
    """Yields at most one notice `round-dissonance` for a round. It says where the first dissonance
    is, and which other bars have one."""
    score, facts = subject.score, subject.facts
    if score is None or facts is None or score.line is None:  # not a round
        return
    dissonances = {}  # by the number of a bar
    for bar, start in enumerate(score.bar_starts, 0 if score.pickup else 1):
        pair = _dissonance(_sounding_at(start, score, facts.keys[0]))
        if pair and bar:  # bar 0 is a pickup, which has no strong beat
            dissonances[bar] = pair
    if not dissonances:
        return
    first, *others = dissonances
    (low, lower, _), (high, higher, note) = dissonances[first]
    more = ""
    if others:
        bars = f"Bar{'s' * (len(others) > 1)} {listed(map(str, others))}"
        more = f" {bars} also {verb(others, 'begins', 'begin')} with a dissonance."
    yield Problem(
        note.place,
        "round-dissonance",
        f"On the first beat of bar {first}, {higher} on {high} is {span(low, high)} above {lower} "
        f"on {low} (in the first key).{more}",
        'Change a note, or let the voices enter at another distance ("after:") or in another order '
        f'("entries:"). If the dissonance is meant, {to_answer("round-dissonance")}.',
    )


def _sounding_at(moment: Fraction, score: Score, tonic: Pitch) -> list[_SungPitch]:
    """The pitches that sound at a moment (in quarters) in the key on `tonic`, from low to high;
    empty when all of them belong to the tonic chord."""
    notes = []
    for part in score.parts:
        last = bisect_right(part.sung, moment, key=lambda note: note.onset) - 1  # begun by then
        if last >= 0 and part.sung[last].end > moment:
            notes.append((part, part.sung[last]))
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
    """The first two pitches, from the lowest upward, that form a dissonance; None if none do."""
    for low, high in combinations(sounding, 2):
        semitones = (high.pitch.midi - low.pitch.midi) % 12
        above_lowest = low.pitch.midi == sounding[0].pitch.midi
        if semitones in _DISSONANT or (semitones == _FOURTH and above_lowest):
            return low, high
    return None
