"""Check of the lengths of lines that sound together (a block).

What it checks: that all lines of a block are equally long. In free meter, where voices wait for
each other at each bar line, they must have the same number of bars instead. Source: our choice,
because otherwise the lines could not be sung together.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from fractions import Fraction

from chorus_handbook.claims.wording import beats, counted, listed
from chorus_handbook.music.score import Meter, Score, WrittenBlock, WrittenLine
from chorus_handbook.problems import Problem


def check_line_lengths(score: Score) -> Iterator[Problem]:
    """Yields an error `voice-length` for each line that is not as long as most lines of its
    block."""
    for block in score.blocks:
        yield from _compare(block, score.meter)


def _compare(block: WrittenBlock, meter: Meter) -> Iterator[Problem]:
    """Report the lines of a block that are not as long as most of them."""

    def size(line: WrittenLine) -> Fraction | int:
        return len(line.bars) if meter.free else line.length

    def in_words(line: WrittenLine) -> str:
        return counted(len(line.bars), "bar") if meter.free else beats(line.length, meter)

    # The length of most lines is taken as right; if there is no majority, that of the first.
    usual, _ = Counter(size(line) for line in block.lines).most_common(1)[0]
    model = next(line for line in block.lines if size(line) == usual)
    for line in block.lines:
        if size(line) != usual:
            yield Problem(
                line.place,
                "voice-length",
                f"The line for {listed(line.voices)} has {in_words(line)}, but the line for "
                f"{listed(model.voices)}, sung at the same time, has {in_words(model)}.",
                "Give lines that sound together the same number of bars: in free meter they wait "
                'for each other at each "|".'
                if meter.free
                else "Make the lines equally long, or put an empty line between lines that are "
                'sung one after the other. Write "..." at the end of a line to prolong its last '
                "note to the end.",
            )
