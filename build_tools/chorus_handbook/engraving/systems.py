"""Decides where a score that is too wide is broken into systems (rows of staves).

Of all ways to break it into the fewest systems, the one with the lowest cost is taken, found by
dynamic programming. The cost is low for systems that are about equally wide and for breaks between
blocks (sections of the music that are marked as such), and high for a break inside a bar.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

#: The cost of a break inside a bar, and what a break between blocks saves. (For comparison, a
#: system that is empty costs 1.)
_INSIDE_BAR, _BETWEEN_BLOCKS = 0.5, 0.25


@dataclass(frozen=True, slots=True)
class MeasureWidth:
    """One measure: its width without clef, key signature and names; whether it `continues` a bar
    that was cut; whether it `opens` a block. All widths in this module are in the same unit."""

    width: float
    continues: bool = False
    opens: bool = False


@dataclass(frozen=True, slots=True)
class Margins:
    """The width of clef, key signature and names before the measures of the first system, and of
    later ones."""

    first: float
    later: float


def breaks(widths: Sequence[MeasureWidth], margins: Margins, page: float) -> list[int] | None:
    """The indices of the measures with which a new system begins (without the first measure), such
    that no system is wider than `page`; None if a single measure is wider."""
    count = len(widths)
    edges = [0.0]  # where measures begin if all stand in one row
    for measure in widths:
        edges.append(edges[-1] + measure.width)
    # For each number of systems and each measure that follows them: the lowest cost of all systems
    # up to there, and with which measure the last of these systems begins.
    cost: list[list[float]] = [[0.0] + [math.inf] * count]
    last_starts: list[list[int]] = [[0] * (count + 1)]
    while math.isinf(cost[-1][count]) and len(cost) <= count:
        row, origin = [math.inf] * (count + 1), [0] * (count + 1)
        for end in range(1, count + 1):
            for start in range(end - 1, -1, -1):
                width = edges[end] - edges[start] + (margins.later if start else margins.first)
                if edges[end] - edges[start] > page:
                    break
                if width > page:
                    continue
                here = cost[-1][start] + (1 - width / page) ** 2 + _break_cost(widths[start])
                if here < row[end]:
                    row[end], origin[end] = here, start
        cost.append(row)
        last_starts.append(origin)
    if math.isinf(cost[-1][count]):
        return None
    found, place = [], count
    for origin in last_starts[:0:-1]:  # from the last system back to the first
        place = origin[place]
        found.append(place)
    return found[-2::-1]  # forward again, without the start of the first system


def _break_cost(measure: MeasureWidth) -> float:
    """What it costs to begin a system with this measure."""
    if measure.continues:
        return _INSIDE_BAR
    return -_BETWEEN_BLOCKS if measure.opens else 0


def widest(widths: Sequence[MeasureWidth], margins: Margins, starts: Sequence[int]) -> float:
    """The width of the widest system when systems begin at `starts`."""
    edges = [0, *starts, len(widths)]
    return max(
        sum(s.width for s in widths[left:right]) + (margins.later if left else margins.first)
        for left, right in pairwise(edges)
    )
