"""Check of the field `level`: how soon an exercise is learned by ear, from 1 to 3.

What it checks: that the stated level is not lower than the level that `music/level.py` computes
from the notes. A higher level is never wrong, because there may be more to learn than the notes.
Source: our choice; docs/writing/level.md explains the rule.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.chorus.model import LEVEL_WORDS
from chorus_handbook.claims.subject import Subject
from chorus_handbook.claims.wording import listed, to_answer
from chorus_handbook.problems import Problem


def check_level(subject: Subject) -> Iterator[Problem]:
    """Yields a notice `level-claim` when the stated level is below the measured level."""
    stated, facts = subject.front.level, subject.facts
    if stated is None or facts is None or stated >= facts.difficulty.level:
        return
    level = facts.difficulty.level
    features = facts.difficulty.features.items()
    why = [f"the {name} (level {value})" for name, value in features if value > 1]
    yield Problem(
        subject.place_of("level"),
        "level-claim",
        f"The level is stated as {stated} ({LEVEL_WORDS[stated]}), but the notes are of level "
        f"{level} ({LEVEL_WORDS[level]}), because of {listed(why)}.",
        f'Write "level: {level}", or make the notes simpler. If your singers learn it sooner, '
        f"{to_answer('level-claim')}.",
    )
