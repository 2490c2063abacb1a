"""The field `roots`: the root of the chord on each beat, from which the tuning of chords in just
intonation is computed (by `sound/tuning.py`).

Its text, such as "1 - 4 - | 5 - 1 -", has one item for each beat: a degree of the scale, with # or
b before it if it is altered, or - where the root stays the same. Bar lines are ignored.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

#: An accidental, if any, and a degree.
_ROOT = re.compile(r"([#b]?)([1-7])")


@dataclass(frozen=True, slots=True)
class Root:
    """The root of a chord. `degree` is its degree of the scale (1 to 7), `alter` is 1 if it is
    raised by a semitone from there and -1 if it is lowered, and `beats` is for how many beats it
    lasts."""

    degree: int
    alter: int
    beats: int


def parse_roots(text: str) -> tuple[Root, ...]:
    """The roots that the text of the field states, in order. Raises ValueError when it is wrong,
    with a message for authors."""
    roots: list[Root] = []
    for item in text.replace("|", " ").split():
        found = _ROOT.fullmatch(item)
        if found:
            roots.append(Root(int(found[2]), {"#": 1, "b": -1, "": 0}[found[1]], 1))
        elif item == "-" and roots:
            roots[-1] = Root(roots[-1].degree, roots[-1].alter, roots[-1].beats + 1)
        elif item == "-":
            raise ValueError(
                '"-" continues the root before it, and there is none; begin with a degree, '
                'such as "1"'
            )
        else:
            raise ValueError(
                f'"{item[:20]}" cannot be read as a root; for each beat, write a degree from 1 to '
                '7, with "#" or "b" before it if it is altered, or "-" where the root stays the '
                'same, as in "1 - 4 - | 5 - 1 -"'
            )
    if not roots:
        raise ValueError(
            'there is no root here; write a degree for each beat, such as "1 - 4 - | 5 - 1 -"'
        )
    return tuple(roots)
