"""`level` against what the notes ask of an ear.

What it checks: that the director's statement of how soon it is learned is not below what the rule
in `music.level` finds in the notes. Stated higher is never wrong: notes are not all there is to
learn. Source: our choice; docs/writing/level.md has the rule.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.chorus.model import LEVEL_WORDS
from chorus_handbook.claims.subject import Subject
from chorus_handbook.claims.wording import listed
from chorus_handbook.problems import Problem


def check_level(subject: Subject) -> Iterator[Problem]:
    """Notice `level-claim` when the level is below the one measured."""
    stated, facts = subject.front.level, subject.facts
    if stated is None or facts is None or stated >= facts.difficulty.level:
        return
    level = facts.difficulty.level
    why = [f"{name} {value}" for name, value in facts.difficulty.features.items() if value > 1]
    yield Problem(
        subject.place_of("level"),
        "level-claim",
        f"Level {stated} ({LEVEL_WORDS[stated]}) is lower than the notes suggest, which is {level} "
        f"({LEVEL_WORDS[level]}): {listed(why)}.",
        f"Write level: {level}, or make the notes simpler. If your singers learn it sooner, write "
        "your reason under answers: level-claim: ...",
    )
