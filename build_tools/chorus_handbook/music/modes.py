"""The modes (scales) that a score may have, and their names."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal, NamedTuple, get_args

ModeName = Literal["major", "minor", "dorian", "phrygian", "lydian", "mixolydian"]


class Mode(NamedTuple):
    """A mode.

    start: the degree of the major scale, counted from 0, on which the scale of this mode starts.
    fifths: how many sharps its key signature has more than that of major on the same tonic
        (negative: fewer sharps, or more flats).
    church: its other name, as a church mode; empty if it has none.
    """

    start: int
    fifths: int
    church: str = ""


MODES: Mapping[str, Mode] = {
    "major": Mode(0, 0, "ionian"),
    "dorian": Mode(1, -2),
    "phrygian": Mode(2, -4),
    "lydian": Mode(3, 1),
    "mixolydian": Mode(4, -1),
    "minor": Mode(5, -3, "aeolian"),
}
_NAMES: tuple[ModeName, ...] = get_args(ModeName)
#: Every mode by all of its names.
MODE_NAMES: Mapping[str, ModeName] = {
    **{name: name for name in _NAMES},
    **{MODES[name].church: name for name in _NAMES if MODES[name].church},
}
