"""Where a score that is wider than its page is broken into systems.

All ways to break it are weighed at once, so that the systems come out about equally wide instead
of leaving one bar alone on the last, and so that a break falls between blocks rather than within
one, and inside a bar only when nothing else fits.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

#: What a break costs against an empty system, and what is gained by one between blocks.
_INSIDE_BAR, _BETWEEN_BLOCKS = 0.5, 0.25


@dataclass(frozen=True, slots=True)
class Stretch:
    """One measure: `width` without what stands before the first note of a system; `continues`: it
    is a later piece of a bar; `opens`: a block begins with it."""

    width: float
    continues: bool = False
    opens: bool = False


@dataclass(frozen=True, slots=True)
class Margins:
    """What stands before the measures of the first system, and of later ones."""

    first: float
    later: float


def breaks(stretches: Sequence[Stretch], margins: Margins, page: float) -> list[int] | None:
    """The measures that begin a system, the very first left out, so that none is wider than
    `page`; None when a measure alone is wider. All sizes in one unit."""
    count = len(stretches)
    edges = [0.0]
    for stretch in stretches:
        edges.append(edges[-1] + stretch.width)
    cost: list[list[float]] = [[0.0] + [math.inf] * count]
    came: list[list[int]] = [[0] * (count + 1)]
    while math.isinf(cost[-1][count]) and len(cost) <= count:
        row, origin = [math.inf] * (count + 1), [0] * (count + 1)
        for end in range(1, count + 1):
            for start in range(end - 1, -1, -1):
                width = edges[end] - edges[start] + (margins.later if start else margins.first)
                if edges[end] - edges[start] > page:
                    break
                if width > page:
                    continue
                here = cost[-1][start] + (1 - width / page) ** 2 + _break_cost(stretches[start])
                if here < row[end]:
                    row[end], origin[end] = here, start
        cost.append(row)
        came.append(origin)
    if math.isinf(cost[-1][count]):
        return None
    found, place = [], count
    for origin in came[:0:-1]:
        place = origin[place]
        found.append(place)
    return found[-2::-1]


def _break_cost(stretch: Stretch) -> float:
    if stretch.continues:
        return _INSIDE_BAR
    return -_BETWEEN_BLOCKS if stretch.opens else 0


def widest(stretches: Sequence[Stretch], margins: Margins, starts: Sequence[int]) -> float:
    """The width of the widest system when systems begin at `starts`."""
    edges = [0, *starts, len(stretches)]
    return max(
        sum(s.width for s in stretches[left:right]) + (margins.later if left else margins.first)
        for left, right in pairwise(edges)
    )
