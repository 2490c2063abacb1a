"""The root of a chord: the note on which its notes, as they are spelled, stand in thirds.

C E G stands on C in every inversion, and so does C E G Bb; B D F Ab stands on B. A second over a
root with a third or a perfect fifth is its ninth, so C F G stands on F. What is no pile of thirds
(C F B) has no root here.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable

from chorus_handbook.pitch import interval_name
from chorus_handbook.sound.ratios import chord_ratio

#: A spelled pitch class: steps above the tonic (0 to 6) and semitones (0 to 11).
PitchClass = tuple[int, int]
#: Steps above a root, in the order in which thirds pile up: root, third, fifth, seventh, ninth.
_PILE = (0, 2, 4, 6, 1)
_THIRD, _FIFTH, _NINTH = 1, 2, 4


def chord_root(classes: Collection[PitchClass], lowest: PitchClass) -> PitchClass | None:
    """The root of a chord of different notes, or None. Where several could be it, the one with the
    fewest thirds to pile up, then the lowest note of the chord."""
    found = []
    for one in classes:
        height = _height(classes, one)
        if height is not None:
            found.append((height, one != lowest, one))
    return min(found)[2] if found else None


def above(root: PitchClass, other: PitchClass) -> PitchClass:
    """The interval from a root up to a note."""
    return (other[0] - root[0]) % 7, (other[1] - root[1]) % 12


def members(root: PitchClass, classes: Iterable[PitchClass]) -> frozenset[str]:
    """The names of all intervals above the root: "M3", "P5" ..."""
    return frozenset(interval_name(*above(root, one)) for one in classes)


def _height(classes: Collection[PitchClass], root: PitchClass) -> int | None:
    """How many thirds the chord piles up on this root; None where it is no such pile."""
    intervals = [above(root, one) for one in classes]
    names = members(root, classes)
    pile = {_PILE.index(steps) for steps, _ in intervals if steps in _PILE}
    if len(pile) < len(intervals) or any(chord_ratio(*one, names) is None for one in intervals):
        return None
    fifth = "P5" in names if _NINTH in pile else _FIFTH in pile
    return max(pile) if _THIRD in pile or fifth else None
