"""Spells the keys of an exercise: decides, for example, between F sharp and G flat major.

The author names the first and the last key; these names are kept if their key signatures have at
most six accidentals. All other keys get a name with at most six accidentals. If there are two such
names, we take the one in which the notes need fewer double accidentals; if both need as many, the
one with flats (common practice).
"""

from __future__ import annotations

from collections import Counter

from chorus_handbook.entries.keys import KeyPath
from chorus_handbook.music.modes import MODES
from chorus_handbook.music.score import Degree, Score
from chorus_handbook.pitch import LETTERS, NATURALS, Pitch

#: The most sharps or flats that a key signature may have.
MOST_ACCIDENTALS = 6


def signature(tonic: Pitch, mode: str) -> int:
    """Sharps (positive) or flats (negative) in the signature of the key on `tonic`."""
    return tonic.fifths + MODES[mode].fifths


def spell_keys(score: Score, path: KeyPath) -> tuple[Pitch, ...]:
    """The tonic of each key of `path`, such as C4, in the order of singing."""
    named_by_author = {
        pitch.midi: pitch
        for pitch in (path.turn, path.start)
        if abs(signature(pitch, score.mode)) <= MOST_ACCIDENTALS
    }
    degrees = Counter(
        degree
        for part in score.parts
        for note in part.sung
        for degree in (note.degree, *note.below, *note.graces)
        if degree is not None
    )
    first = path.start.midi
    tonics = {first + distance: Pitch(0, 0, 0) for distance in path.semitones()}
    for midi in tonics:
        tonics[midi] = named_by_author.get(midi) or _spell(midi, score.mode, degrees)
    return tuple(tonics[first + distance] for distance in path.semitones())


def _spell(midi: int, mode: str, degrees: Counter[Degree]) -> Pitch:
    """The best name of the tonic with this MIDI number. `degrees` says how often each degree occurs
    in the score."""

    def cost(tonic: Pitch) -> tuple[int, int]:
        doubles = sum(
            count for degree, count in degrees.items() if abs(degree.in_key(tonic, mode).alter) >= 2
        )
        return doubles, signature(tonic, mode)

    names = (_named(midi, step, alter) for step in range(len(LETTERS)) for alter in (-1, 0, 1))
    return min(
        (name for name in names if name and abs(signature(name, mode)) <= MOST_ACCIDENTALS),
        key=cost,
    )


def _named(midi: int, step: int, alter: int) -> Pitch | None:
    """The pitch with this MIDI number, letter and alteration, if there is one."""
    octaves, rest = divmod(midi - NATURALS[step] - alter, 12)
    return Pitch(step, alter, octaves - 1) if rest == 0 else None
