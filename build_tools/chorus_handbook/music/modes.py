"""The modes that a score may have, by every name that a notation gives them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal, NamedTuple, get_args

ModeName = Literal["major", "minor", "dorian", "phrygian", "lydian", "mixolydian"]


class Mode(NamedTuple):
    """`start`: the degree of the major scale on which the mode starts, counted from 0; `fifths`:
    its signature against that of major on the same tonic; `church`: its name among the church
    modes, where that is another."""

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
