"""Which lines are sung in a score, and how many of them sound at once."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from fractions import Fraction
from itertools import accumulate

from chorus_handbook.music.score import LEADER, Degree, Note, Score

#: A note of a line: where it begins and ends, in quarters, and what is sung or spoken.
Event = tuple[Fraction, Fraction, Degree | None, tuple[Degree, ...], str | None]
Line = tuple[Event, ...]


def lines_by_block(score: Score) -> list[set[Line]]:
    """The different lines of the chorus in each block; the leader stands apart. Voices with the
    same notes throughout a block are on one line, in whatever octave."""
    lines: list[set[Line]] = [set() for _ in block_starts(score)]
    for part in score.parts:
        if part.voice == LEADER:
            continue
        for block, notes in enumerate(notes_by_block(part.notes, score)):
            lines[block].add(tuple((n.onset, n.end, n.degree, n.below, n.spoken) for n in notes))
    return lines


def notes_by_block(notes: Iterable[Note], score: Score) -> list[list[Note]]:
    """Notes of one voice, in the blocks in which they begin."""
    starts = block_starts(score)
    blocks: list[list[Note]] = [[] for _ in starts]
    for note in notes:
        blocks[bisect_right(starts, note.onset) - 1].append(note)
    return blocks


def block_starts(score: Score) -> list[Fraction]:
    """Where the blocks begin, in quarters; a score has at least one."""
    return [block.onset for block in score.blocks] or [Fraction(0)]


def at_once(lines: Iterable[Line]) -> int:
    """How many of the lines sound together at the fullest moment."""
    changes = [
        (time, change)
        for line in lines
        for on, off, *_ in line
        for time, change in ((on, 1), (off, -1))
    ]
    return max(accumulate((change for _, change in sorted(changes)), initial=0))
