"""Check of the lengths of bars.

What it checks: that every bar has as many beats as the meter says. With a pickup, the first bar has
the beats of the pickup instead; the last bar of a block (lines that sound together) may be shorter
by the pickup, and then the next block may begin with the pickup again. Bars in free meter are not
checked. Only music in `degrees` notation has bars to check here: the readers of other notations
check bars themselves.
Source: common practice of notation; that blocks, not only whole pieces, may end with a short bar is
our choice, because a block is often one line of music.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from chorus_handbook.claims.wording import beats
from chorus_handbook.music.score import Score, WrittenBar, WrittenBlock, WrittenLine
from chorus_handbook.problems import Problem


def check_bars(score: Score) -> Iterator[Problem]:
    """Yields an error `bar-length` for each bar that is too short or too long."""
    if score.meter.free:
        return
    before: WrittenBlock | None = None
    for block in score.blocks:
        for line in block.lines:
            for index, bar in enumerate(line.bars):
                allowed = _allowed(score, before, line, index)
                if bar.length not in allowed:
                    following = line.bars[index + 1] if index + 1 < len(line.bars) else None
                    yield _wrong_length(score, bar, allowed, following)
        before = block


def _allowed(
    score: Score, before: WrittenBlock | None, line: WrittenLine, index: int
) -> tuple[Fraction, ...]:
    """The lengths, in quarters, that the bar of a line with this index (from 0) may have; the first
    of them is the usual one. `before` is the block before, None for the first block."""
    full, pickup = score.meter.bar, score.pickup
    if not pickup:
        return (full,)
    if index == 0 and before is None:
        return (pickup,)
    allowed = [full]
    if index == 0 and before is not None and _ends_short(before, full - pickup):
        allowed.append(pickup)
    if index == len(line.bars) - 1:
        allowed.append(full - pickup)
    return tuple(allowed)


def _ends_short(block: WrittenBlock, length: Fraction) -> bool:
    """Whether any line of the block ends with a bar of this length (in quarters)."""
    return any(line.bars and line.bars[-1].length == length for line in block.lines)


def _wrong_length(
    score: Score, bar: WrittenBar, allowed: tuple[Fraction, ...], following: WrittenBar | None
) -> Problem:
    """The problem of a bar that has none of the lengths in `allowed`. `following` is the next bar
    of its line, None for the last bar."""
    meter, expected = score.meter, allowed[0]
    has = beats(bar.length, meter)
    if expected != meter.bar:
        message = f"The first bar has {has}, but the pickup is {beats(expected, meter)}."
        hint = (
            'Write only the beats of the pickup before the first "|", or change the number after '
            '"pickup:".'
        )
    else:
        needs, _, _ = beats(expected, meter).partition(" beat")  # the number alone
        bar_line = _wrong_bar_line(score, bar, following)
        message = f"This bar has {has}, but {meter} needs {needs}{bar_line}."
        hint = _how_to_fix(score, bar, following)
    return Problem(bar.place, "bar-length", message, hint)


def _wrong_bar_line(score: Score, bar: WrittenBar, following: WrittenBar | None) -> str:
    """What to add to the message if a bar line is missing or at the wrong place, such as ": a bar
    line is missing"; otherwise an empty text."""
    full = score.meter.bar
    if bar.length > full and bar.length % full == 0:
        missing = bar.length / full - 1
        return ": a bar line is missing" if missing == 1 else f": {missing} bar lines are missing"
    if not _shifted(score, bar, following):
        return ""
    return f": the bar line after it comes too {'late' if bar.length > full else 'early'}"


def _shifted(score: Score, bar: WrittenBar, following: WrittenBar | None) -> bool:
    """Whether this bar and the next one together have the length of two bars."""
    return following is not None and bar.length + following.length == 2 * score.meter.bar


def _how_to_fix(score: Score, bar: WrittenBar, following: WrittenBar | None) -> str:
    """The hint for a bar of the wrong length: what to write so that it has its full length.
    `following` is the next bar of its line, None for the last bar."""
    full = score.meter.bar
    if score.meter.compound:
        beat = f'In {score.meter} a beat is a dotted quarter, such as the three eighths "1.2.3". '
    else:
        beat = ""
    if bar.length > full and bar.length % full == 0:
        return f'{beat}Write "|" after every {beats(full, score.meter)}.'
    if _shifted(score, bar, following):
        where = "earlier" if bar.length > full else "later"
        return f'{beat}Write the "|" {beats(abs(bar.length - full), score.meter)} {where}.'
    if bar.length < full:
        missing = beats(full - bar.length, score.meter)
        return (
            f'{beat}Add {missing}: write "-" to prolong the note by a beat, or "0" for a beat of '
            "rest."
        )
    surplus = beats(bar.length - full, score.meter)
    return f'{beat}Delete {surplus}, or put a dot between notes that share one beat, as in "1.2".'
