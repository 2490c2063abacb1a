"""The tables of checks of one exercise, and the functions that run them.

`CHECKS` compare an exercise with its measurements. `WRITTEN_CHECKS` look at its notation alone, and
run even when its fields are wrong. This module is imported only when a file has changed, because
for all other files the results of the last build are used.
"""

from __future__ import annotations

from chorus_handbook.claims.answers import answered, check_answers
from chorus_handbook.claims.bars import check_bars
from chorus_handbook.claims.crossing import check_crossing
from chorus_handbook.claims.dissonance import check_dissonance
from chorus_handbook.claims.impact import check_impact
from chorus_handbook.claims.ladder import check_ladder
from chorus_handbook.claims.level import check_level
from chorus_handbook.claims.line_lengths import check_line_lengths
from chorus_handbook.claims.minutes import check_minutes
from chorus_handbook.claims.motion import check_motion
from chorus_handbook.claims.phrase import check_phrase
from chorus_handbook.claims.playback_range import check_playback_range
from chorus_handbook.claims.range import check_range
from chorus_handbook.claims.run_length import check_run_length
from chorus_handbook.claims.say import check_spoken
from chorus_handbook.claims.steps import check_steps
from chorus_handbook.claims.subject import Check, Subject, WrittenCheck
from chorus_handbook.claims.syllables import check_syllables
from chorus_handbook.claims.tuning import check_tuning
from chorus_handbook.claims.voices import check_voices
from chorus_handbook.claims.words import check_words
from chorus_handbook.music.score import Score
from chorus_handbook.problems import Problem

#: The checks of one exercise, each with the name of its module.
CHECKS: tuple[tuple[str, Check], ...] = (
    ("words", check_words),
    ("impact", check_impact),
    ("say", check_spoken),
    ("voices", check_voices),
    ("range", check_range),
    ("motion", check_motion),
    ("minutes", check_minutes),
    ("steps", check_steps),
    ("level", check_level),
    ("phrase", check_phrase),
    ("crossing", check_crossing),
    ("dissonance", check_dissonance),
    ("ladder", check_ladder),
    ("tuning", check_tuning),
    ("playback_range", check_playback_range),
    ("run_length", check_run_length),
)

#: The checks of notation alone, each with the name of its module.
WRITTEN_CHECKS: tuple[tuple[str, WrittenCheck], ...] = (
    ("bars", check_bars),
    ("line_lengths", check_line_lengths),
    ("syllables", check_syllables),
)


def check_exercise(
    subject: Subject, *, complete: bool
) -> tuple[tuple[Problem, ...], list[Problem]]:
    """Run the checks of one exercise. Returns the notices that the author has answered, and all
    other problems, both in file order.

    `complete` says whether everything about the exercise could be measured. If not, an answer
    without its notice is not reported, because the notice may appear once the rest is measured.
    """
    found = sorted({problem for _, check in CHECKS for problem in check(subject)})
    answered_notices = answered(subject.entry, found)
    problems = [problem for problem in found if problem not in answered_notices]
    if complete:
        problems += check_answers(subject.entry, found)
    return answered_notices, sorted(problems)


def check_written(score: Score) -> list[Problem]:
    """Run the checks of notation alone. Returns the problems in file order."""
    return sorted(problem for _, check in WRITTEN_CHECKS for problem in check(score))
