"""Keeps the scores that were read last in memory.

The record of an exercise has no notes. A build without a cache needs the score of an exercise three
times within seconds, for its record, its sound and its drawings. So that the notation is not read
three times, the last scores are kept.
"""

from __future__ import annotations

from chorus_handbook.music.score import Score
from chorus_handbook.records.record import Exercise

#: How many scores are kept: those of a usual handbook, a few megabytes.
_MOST = 100
_scores: dict[tuple[str, str], Score] = {}


def remember_score(exercise: Exercise, score: Score) -> None:
    """Keep the score of an exercise; the oldest one is dropped if there are too many."""
    while len(_scores) >= _MOST:
        del _scores[next(iter(_scores))]
    _scores[_key(exercise)] = score


def recent_score(exercise: Exercise) -> Score | None:
    """The score of an exercise if it is still kept; otherwise None."""
    return _scores.get(_key(exercise))


def _key(exercise: Exercise) -> tuple[str, str]:
    """The two cache keys of an exercise. Together they depend on everything in its score except
    source positions. One alone would not do: the entries of a round, for example, change its sound
    but no drawing."""
    return exercise.drawings, exercise.sound
