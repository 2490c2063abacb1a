"""Exercises drawn over the processors.

The engraver gains nothing from threads, so each processor has a process of its own, started afresh
and told whole exercises, the longest first. Files of strangers are drawn in their own worker, which
is one for all, while the others are at work.
"""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from concurrent.futures.process import BrokenProcessPool

from chorus_handbook.engraving.engine import EngravingError
from chorus_handbook.engraving.exercise import Engraved, Exercise, engrave_in_keys
from chorus_handbook.process_pool import ProcessPool

#: Names how many processes draw, where it shall not be one for each processor.
PROCESSES = "HANDBOOK_PROCESSES"
#: Fewer drawings than this are made sooner than another process has started.
_WORTH_SHARING = 60

#: What was drawn of an exercise, or why nothing was.
Drawn = tuple[Engraved, ...] | str


def draw_all(exercises: Sequence[Exercise]) -> Mapping[str, Drawn]:
    """Every exercise in all its keys, by slug, in the order in which they were asked for."""
    own = [exercise for exercise in exercises if exercise.score.file is None]
    drawings = sum(len(exercise.tonics) for exercise in own)
    count = min(processes(), drawings // _WORTH_SHARING + 1, len(own))
    if count < 2:
        return {exercise.slug: draw(exercise) for exercise in exercises}
    found: dict[str, Drawn] = {}
    longest_first = sorted(own, key=_length, reverse=True)
    try:
        with ProcessPool(count) as pool:
            asked = {exercise.slug: pool.submit(draw, exercise) for exercise in longest_first}
            for exercise in exercises:
                if exercise.score.file is not None:
                    found[exercise.slug] = draw(exercise)
            for slug, answer in asked.items():
                found[slug] = answer.result()
    except (BrokenProcessPool, OSError):  # no room for more processes: one will do
        pass
    return {e.slug: found[e.slug] if e.slug in found else draw(e) for e in exercises}


def processes() -> int:
    """How many processes may draw: HANDBOOK_PROCESSES, or one for each processor."""
    told = os.environ.get(PROCESSES, "")
    return max(int(told), 1) if told.isdigit() else os.cpu_count() or 1


def draw(exercise: Exercise) -> Drawn:
    """One exercise in all its keys."""
    try:
        return engrave_in_keys(exercise)
    except EngravingError as error:
        return str(error)


def _length(exercise: Exercise) -> int:
    return len(exercise.tonics) * sum(len(part.events) for part in exercise.score.parts)
