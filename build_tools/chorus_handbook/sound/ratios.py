"""Just intervals: which ratio a spelled interval has, and how far it lies from equal temperament.

The seven degrees of the major scale are those of three pure triads (4:5:6) on 1, 4 and 5. A raised
degree leads upward: it lies a just semitone (16/15) below the next degree. A lowered degree leads
downward: it lies as much above the degree before it. Where the next degree is a semitone away
already (#3, #7, b4, b1), and for all further alterations, 25/24 is added or taken off. All ratios
are products of 2, 3 and 5, and those of an interval and its inversion make an octave. What is
spelled differently is tuned differently: #4 is 45/32, b5 is 64/45. This is for lines; chords that
stand have their own numbers (`chord_ratio`).

Intervals are given as steps and semitones upward, within an octave (0 to 6 and 0 to 11).
"""

from __future__ import annotations

from fractions import Fraction
from math import log2

from chorus_handbook.pitch import NATURALS, interval_name

CHROMATIC_SEMITONE = Fraction(25, 24)
#: Degrees 1 to 7 of the major scale.
MAJOR_SCALE = tuple(Fraction(r) for r in "1 9/8 5/4 4/3 3/2 5/3 15/8".split())
#: By step and semitones away from the major scale's own degree.
_ALTERED = {
    (step, alter): Fraction(ratio)
    for step, alter, ratio in (
        (0, 1, "135/128"),
        (1, 1, "75/64"),
        (2, 1, "125/96"),
        (3, 1, "45/32"),
        (4, 1, "25/16"),
        (5, 1, "225/128"),
        (6, 1, "125/64"),
        (0, -1, "24/25"),
        (1, -1, "16/15"),
        (2, -1, "6/5"),
        (3, -1, "32/25"),
        (4, -1, "64/45"),
        (5, -1, "8/5"),
        (6, -1, "16/9"),
        (2, -2, "256/225"),
        (6, -2, "128/75"),
    )
}
#: Degrees that have a second value, a comma away: 2 is the fifth above 5, or 10/9 as the fourth
#: above 6; b7 is the fourth above 4, or 9/5 as the third under 2.
SECOND_VALUES = {"M2": Fraction(10, 9), "m7": Fraction(9, 5)}

#: Members of a chord above its root. Sevenths depend on what else sounds: see `chord_ratio`.
_CHORD = {
    "P1": Fraction(1),
    "m2": Fraction(16, 15),
    "M2": Fraction(9, 8),
    "m3": Fraction(6, 5),
    "M3": Fraction(5, 4),
    "d5": Fraction(7, 5),
    "P5": Fraction(3, 2),
    "A5": Fraction(25, 16),
    "d7": Fraction(17, 10),
    "m7": Fraction(9, 5),
    "M7": Fraction(15, 8),
}
#: The seventh of a chord with a major third: 4:5:6:7.
HARMONIC_SEVENTH = Fraction(7, 4)


def scale_ratio(steps: int, semitones: int) -> Fraction:
    """The ratio of a spelled interval above a fixed note."""
    alter = _alteration(steps, semitones)
    known = (steps, alter) in _ALTERED or alter == 0
    nearest = alter if known else max(-1, min(alter, 1))
    base = _ALTERED[steps, nearest] if nearest else MAJOR_SCALE[steps]
    return base * CHROMATIC_SEMITONE ** (alter - nearest)


def chord_ratio(steps: int, semitones: int, others: frozenset[str]) -> Fraction | None:
    """The ratio of a chord's member above its root, None for what is no member. `others` names
    the intervals of all members above the root: a minor seventh over a major third is 7/4, else
    9/5, a pure minor third above the fifth."""
    name = interval_name(steps, semitones)
    if name == "m7" and "M3" in others:
        return HARMONIC_SEVENTH
    return _CHORD.get(name)


def cents(ratio: Fraction) -> float:
    """The size of a ratio in cents."""
    return 1200 * log2(ratio)


def away(ratio: Fraction, semitones: int) -> float:
    """How many cents a ratio lies above so many semitones of equal temperament, octaves apart."""
    return (cents(ratio) - 100 * semitones + 600) % 1200 - 600


def _alteration(steps: int, semitones: int) -> int:
    """Semitones away from the major scale's own degree."""
    return (semitones - NATURALS[steps] + 6) % 12 - 6
