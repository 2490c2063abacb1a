"""`roots`: the roots from which chords are tuned, beat by beat, as the author wrote them.

"1 - 4 - | 5 - 1 -": one item a beat, a degree of the mode with # or b before it, or - where the
root before stays. Bar lines are for the eye. What a degree sounds like is decided in `sound/`.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

_ROOT = re.compile(r"([#b]?)([1-7])")


@dataclass(frozen=True, slots=True)
class Root:
    """The root of a chord that lasts `beats`: `degree` is 1 to 7, `alter` in semitones from the
    mode's own degree."""

    degree: int
    alter: int
    beats: int


def parse_roots(text: str) -> tuple[Root, ...]:
    """Raises ValueError, with a sentence an author understands, when the text holds no roots."""
    roots: list[Root] = []
    for item in text.replace("|", " ").split():
        found = _ROOT.fullmatch(item)
        if found:
            roots.append(Root(int(found[2]), {"#": 1, "b": -1, "": 0}[found[1]], 1))
        elif item == "-" and roots:
            roots[-1] = Root(roots[-1].degree, roots[-1].alter, roots[-1].beats + 1)
        elif item == "-":
            raise ValueError(
                "- keeps the root before it, and there is none; begin with a degree, such as 1"
            )
        else:
            raise ValueError(
                f'"{item[:20]}" is not a root; write a degree from 1 to 7 for each beat, with # or '
                "b before it, and - where the root stays: 1 - 4 - | 5 - 1 -"
            )
    if not roots:
        raise ValueError("there is no root here; write a degree for each beat: 1 - 4 - | 5 - 1 -")
    return tuple(roots)
