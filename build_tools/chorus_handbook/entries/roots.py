"""The field `roots`: the root of the chord on each beat, from which just tuning is computed.

"1 - 4 - | 5 - 1 -" has one item for each beat: a degree of the scale, with # or b before it if it
is altered, or - when the root stays the same. Bar lines are ignored. `sound/tuning.py` uses the
roots.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

#: An accidental, if any, and a degree.
_ROOT = re.compile(r"([#b]?)([1-7])")


@dataclass(frozen=True, slots=True)
class Root:
    """A chord root that lasts for `beats` beats. `degree` is its degree of the scale, 1 to 7, and
    `alter` how many semitones it is raised (1) or lowered (-1) from there."""

    degree: int
    alter: int
    beats: int


def parse_roots(text: str) -> tuple[Root, ...]:
    """Read the text of the field. Raises ValueError when it is wrong, with a message for
    authors."""
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
                f'"{item[:20]}" cannot be read as a root; write a degree from 1 to 7 for '
                "each beat, with # or b before it if it is altered, and - where the root stays: "
                '"1 - 4 - | 5 - 1 -"'
            )
    if not roots:
        raise ValueError(
            'there is no root here; write a degree for each beat, such as "1 - 4 - | 5 - 1 -"'
        )
    return tuple(roots)
