"""The frequency ratios of just intervals, and how far they are from equal temperament.

The seven degrees of the major scale are those of three pure triads (4:5:6) on degrees 1, 4 and 5. A
raised degree is a just semitone (16/15) below the next degree; a lowered degree is as much above
the degree before it. When the next degree is already a semitone away (#3, #7, b4, b1), and for
further accidentals, the ratio is changed by 25/24. All ratios are products of 2, 3 and 5, and an
interval and its inversion make an octave. Different spellings have different ratios: #4 is 45/32,
b5 is 64/45. This is for melody; sustained chords have ratios of their own (`chord_ratio`).

Intervals are given as steps (0 to 6) and semitones (0 to 11) upward.
"""

from __future__ import annotations

from fractions import Fraction
from math import log2

from chorus_handbook.pitch import NATURALS, interval_name

#: The ratio by which a further accidental changes a degree.
CHROMATIC_SEMITONE = Fraction(25, 24)
#: Degrees 1 to 7 of the major scale.
MAJOR_SCALE = tuple(Fraction(r) for r in "1 9/8 5/4 4/3 3/2 5/3 15/8".split())
#: Degrees 1 to 7 raised and lowered, by step and semitones away from the major scale.
_ALTERED = {
    (step, alter): Fraction(ratio)
    for alter, ratios in (
        (1, "135/128 75/64 125/96 45/32 25/16 225/128 125/64"),
        (-1, "24/25 16/15 6/5 32/25 64/45 8/5 16/9"),
    )
    for step, ratio in enumerate(ratios.split())
} | {(2, -2): Fraction(256, 225), (6, -2): Fraction(128, 75)}
#: Degrees that may also have a second ratio, a comma away: 2 is usually the fifth above 5, but 10/9
#: as the fourth above 6; b7 is usually the fourth above 4, but 9/5 as the third under 2.
SECOND_VALUES = {"M2": Fraction(10, 9), "m7": Fraction(9, 5)}

#: Members of a chord above its root. Sevenths depend on what else sounds: see `chord_ratio`.
_CHORD = {
    name: Fraction(ratio)
    for name, ratio in zip(
        "P1 m2 M2 m3 M3 d5 P5 A5 d7 m7 M7".split(),
        "1 16/15 9/8 6/5 5/4 7/5 3/2 25/16 17/10 9/5 15/8".split(),
        strict=True,
    )
}
#: The seventh of a chord with a major third: 4:5:6:7.
HARMONIC_SEVENTH = Fraction(7, 4)


def scale_ratio(steps: int, semitones: int) -> Fraction:
    """The ratio in just intonation of an interval above a note, as a degree of the major scale on
    that note, raised or lowered if its spelling says so."""
    alter = _alteration(steps, semitones)
    known = (steps, alter) in _ALTERED or alter == 0
    # the nearest alteration with a ratio; the rest of the way goes by chromatic semitones
    nearest = alter if known else max(-1, min(alter, 1))
    base = _ALTERED[steps, nearest] if nearest else MAJOR_SCALE[steps]
    return base * CHROMATIC_SEMITONE ** (alter - nearest)


def chord_ratio(steps: int, semitones: int, others: frozenset[str]) -> Fraction | None:
    """The ratio of a note of a chord above its root; None for an interval that chords do not have.
    `others` has the names of the intervals of all its notes: with a major third, a minor seventh is
    7/4; without, it is 9/5, a pure minor third above the fifth."""
    name = interval_name(steps, semitones)
    if name == "m7" and "M3" in others:
        return HARMONIC_SEVENTH
    return _CHORD.get(name)


def cents(ratio: Fraction) -> float:
    """The size of a ratio in cents."""
    return 1200 * log2(ratio)


def away(ratio: Fraction, semitones: int) -> float:
    """By how many cents a ratio is larger than this many semitones of equal temperament, without
    whole octaves (from -600 to 600)."""
    return (cents(ratio) - 100 * semitones + 600) % 1200 - 600


def _alteration(steps: int, semitones: int) -> int:
    """By how many semitones an interval is larger than the degree of the major scale with the same
    number of steps; negative if it is smaller."""
    return (semitones - NATURALS[steps] + 6) % 12 - 6
