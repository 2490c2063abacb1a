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
    """The accidentals of one staff. An accidental is valid for its line or space up to the end of
    the bar. `fifths` is the number of sharps (negative: flats) in the key signature."""

    def __init__(self, fifths: int) -> None:
        fifths = max(-7, min(7, fifths))  # no signature has more than seven
        altered = _SHARPS[:fifths] if fifths >= 0 else _SHARPS[fifths:]
        self._signature = dict.fromkeys(altered, 1 if fifths > 0 else -1)
        # by step and octave, the alteration that is valid in this bar
        self._bar: dict[tuple[int, int], int] = {}

    def new_bar(self) -> None:
        """Forget the accidentals of the bar before; only the key signature applies."""
        self._bar.clear()

    def attributes(self, pitch: Pitch, tied: bool) -> str:
        """The MEI attribute of a note's accidental, which may be empty. For a note that is `tied`
        to the note before, no accidental is printed."""
        place = (pitch.step, pitch.octave)
        known = self._bar.get(place, self._signature.get(pitch.step, 0))
        if tied or pitch.alter == known:
            sounding = _SOUNDING.get(pitch.alter)
            return f' accid.ges="{sounding}"' if sounding else ""
        self._bar[place] = pitch.alter
        return f' accid="{_PRINTED[pitch.alter]}"'
