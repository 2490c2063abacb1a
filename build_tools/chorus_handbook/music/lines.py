"""Finds the different lines that are sung in a score, and how many of them sound at once.

Voices that sing the same notes, in whatever octave, sing one line. A *block* is a part of the score
in which the same lines sound together; blocks follow one another.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from fractions import Fraction
from itertools import accumulate
from typing import NamedTuple

from chorus_handbook.music.score import LEADER, Degree, Note, Score


class LineNote(NamedTuple):
    """A note of a line: the moments at which it begins and ends, in quarters, and what is sung or
    spoken (the fields of `Note` with these names)."""

    onset: Fraction
    end: Fraction
    degree: Degree | None
    below: tuple[Degree, ...]
    spoken: str | None


Line = tuple[LineNote, ...]


def lines_by_block(score: Score) -> list[set[Line]]:
    """For each block of the score, the set of different lines of the chorus, without the leader."""
    lines: list[set[Line]] = [set() for _ in block_starts(score)]
    for part in score.parts:
        if part.voice == LEADER:
            continue
        for block, notes in enumerate(notes_by_block(part.notes, score)):
            lines[block].add(
                tuple(LineNote(n.onset, n.end, n.degree, n.below, n.spoken) for n in notes)
            )
    return lines


def notes_by_block(notes: Iterable[Note], score: Score) -> list[list[Note]]:
    """The notes of one voice, grouped by the block in which they begin."""
    starts = block_starts(score)
    blocks: list[list[Note]] = [[] for _ in starts]
    for note in notes:
        blocks[bisect_right(starts, note.onset) - 1].append(note)
    return blocks


def block_starts(score: Score) -> list[Fraction]:
    """The moments at which the blocks of a score begin, in quarters. A score without blocks counts
    as one block."""
    return [block.onset for block in score.blocks] or [Fraction(0)]


def at_once(lines: Iterable[Line]) -> int:
    """The greatest number of these lines that sound at the same time."""
    # How the number of sounding lines changes, and when. At one moment, ends (-1) sort first.
    changes = [
        (moment, change)
        for line in lines
        for note in line
        for moment, change in ((note.onset, 1), (note.end, -1))
    ]
    return max(accumulate((change for _, change in sorted(changes)), initial=0))
