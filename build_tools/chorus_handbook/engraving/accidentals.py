"""Decides which accidentals are printed: those that follow neither from the key signature nor from
an earlier note in the bar.
"""

from __future__ import annotations

from chorus_handbook.pitch import Pitch

#: Steps in the order in which sharps enter a signature (F C G D A E B); flats enter in reverse.
_SHARPS = (3, 0, 4, 1, 5, 2, 6)
#: MEI's names for printed accidentals, by alteration in semitones.
_PRINTED = {-3: "tf", -2: "ff", -1: "f", 0: "n", 1: "s", 2: "x", 3: "ts"}
#: MEI's names for alterations that sound without being printed.
_SOUNDING = {-3: "tf", -2: "ff", -1: "f", 1: "s", 2: "ss", 3: "ts"}


class Accidentals:
    """The state of one staff: an accidental holds for its line or space to the end of the bar."""

    def __init__(self, fifths: int) -> None:
        """`fifths`: sharps (positive) or flats (negative); no signature has more than seven."""
        fifths = max(-7, min(7, fifths))
        altered = _SHARPS[:fifths] if fifths >= 0 else _SHARPS[fifths:]
        self._signature = dict.fromkeys(altered, 1 if fifths > 0 else -1)
        self._bar: dict[tuple[int, int], int] = {}

    def new_bar(self) -> None:
        """Forget the accidentals of the bar before; only the key signature applies."""
        self._bar.clear()

    def attributes(self, pitch: Pitch, tied: bool) -> str:
        """The MEI attributes of a note's accidental; a note tied to one before prints none."""
        place = (pitch.step, pitch.octave)
        known = self._bar.get(place, self._signature.get(pitch.step, 0))
        if tied or pitch.alter == known:
            sounding = _SOUNDING.get(pitch.alter)
            return f' accid.ges="{sounding}"' if sounding else ""
        self._bar[place] = pitch.alter
        return f' accid="{_PRINTED[pitch.alter]}"'
