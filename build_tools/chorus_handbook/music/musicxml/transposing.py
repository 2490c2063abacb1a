"""Reads by what interval a transposing part sounds higher or lower than it is written.

In MusicXML, `pitch` is the written pitch of a note, and `transpose` the interval from there to the
pitch that sounds.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from chorus_handbook.pitch import Pitch

if TYPE_CHECKING:
    from lxml.etree import _Element

#: For each number of semitones from 0 to 11, the steps of the scale in an interval of that size, if
#: the file does not state them.
_DIATONIC = (0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6)


@dataclass(frozen=True, slots=True)
class Transposition:
    """The interval from the written to the sounding pitch, in steps of the scale and semitones;
    negative if it sounds lower."""

    steps: int = 0
    semitones: int = 0

    def sounding(self, written: Pitch) -> Pitch:
        """The pitch that sounds for a written one."""
        return written.moved(self.steps, self.semitones)


def read_transposition(element: _Element) -> Transposition:
    """The interval that a `transpose` element states. If its steps do not fit its semitones (12
    semitones and 0 steps, for example), they are computed from the semitones."""
    semitones = int(Fraction(element.findtext("chromatic", "0").strip()))
    octaves, rest = divmod(semitones, 12)
    steps = 7 * octaves + _DIATONIC[rest]
    stated = element.findtext("diatonic")
    if stated and abs(int(stated) - steps) <= 1:
        steps = int(stated)
    change = int(element.findtext("octave-change", "0"))
    double = element.find("double")
    if double is not None:
        change += 1 if double.get("above") == "yes" else -1
    return Transposition(steps + 7 * change, semitones + 12 * change)
