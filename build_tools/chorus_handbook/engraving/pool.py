"""Exercises drawn over the processors.

The engraver gains nothing from threads, so each processor has a process of its own, started afresh
and told whole exercises, the longest first. Files of strangers are drawn in their own worker, which
is one for all, while the others are at work.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from concurrent.futures import as_completed
from concurrent.futures.process import BrokenProcessPool
from contextlib import suppress

from chorus_handbook.engraving.engine import EngravingError
from chorus_handbook.engraving.exercise import Drawable, Engraved, engrave_in_keys
from chorus_handbook.process_pool import ProcessPool

#: Names how many processes draw, where it shall not be one for each processor.
PROCESSES = "HANDBOOK_PROCESSES"
#: Fewer drawings than this are made sooner than another process has started.
_WORTH_SHARING = 60

#: What was drawn of an exercise, or why nothing was.
Drawn = tuple[Engraved, ...] | str


def draw_all(drawables: Sequence[Drawable]) -> Iterator[tuple[str, Drawn]]:
    """Every exercise in all its keys, by slug, as soon as it is drawn."""
    own = [drawable for drawable in drawables if drawable.score.file is None]
    drawings = sum(len(drawable.tonics) for drawable in own)
    count = min(processes(), drawings // _WORTH_SHARING + 1, len(own))
    done: set[str] = set()
    if count > 1:
        for slug, drawn in _shared(own, drawables, count):
            done.add(slug)
            yield slug, drawn
    for drawable in drawables:
        if drawable.slug not in done:
            yield drawable.slug, draw(drawable)


def _shared(
    own: Sequence[Drawable], drawables: Sequence[Drawable], count: int
) -> Iterator[tuple[str, Drawn]]:
    """What is drawn in so many processes, and meanwhile the files of strangers; less than all
    where there is no room for more processes."""
    longest_first = sorted(own, key=_length, reverse=True)
    with suppress(BrokenProcessPool, OSError), ProcessPool(count) as pool:
        asked = {pool.submit(draw, drawable): drawable.slug for drawable in longest_first}
        for drawable in drawables:
            if drawable.score.file is not None:
                yield drawable.slug, draw(drawable)
        for answer in as_completed(asked):
            yield asked[answer], answer.result()


def processes() -> int:
    """How many processes may draw: HANDBOOK_PROCESSES, or one for each processor."""
    told = os.environ.get(PROCESSES, "")
    return max(int(told), 1) if told.isdigit() else os.cpu_count() or 1


def draw(drawable: Drawable) -> Drawn:
    """One exercise in all its keys."""
    try:
        return engrave_in_keys(drawable)
    except EngravingError as error:
        return str(error)


def _length(drawable: Drawable) -> int:
    return len(drawable.tonics) * sum(len(part.events) for part in drawable.score.parts)
