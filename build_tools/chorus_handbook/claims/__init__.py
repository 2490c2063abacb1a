"""What authors state, held against what was measured, one file a check.

`CHECKS` is the ordered table of checks on one exercise, `WRITTEN_CHECKS` of those on its notation
alone, `STOCK_CHECKS` of those on the stock as a whole. A check passes over what is missing: an
exercise without notation has nothing to measure. Notices that the author has answered in the file
are set apart.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from chorus_handbook.chorus import Setting
from chorus_handbook.claims.answers import answered, check_answers
from chorus_handbook.claims.bars import check_bars
from chorus_handbook.claims.crossing import check_crossing
from chorus_handbook.claims.doubles import check_doubles
from chorus_handbook.claims.hearing import check_hearing
from chorus_handbook.claims.impact import check_impact
from chorus_handbook.claims.ladder import check_ladder
from chorus_handbook.claims.long_run import check_long_run
from chorus_handbook.claims.minutes import check_minutes
from chorus_handbook.claims.motion import check_motion
from chorus_handbook.claims.phrase import check_phrase
from chorus_handbook.claims.range import check_range
from chorus_handbook.claims.related import check_related
from chorus_handbook.claims.say import check_spoken
from chorus_handbook.claims.subject import Check, Subject, WrittenCheck
from chorus_handbook.claims.syllables import check_syllables
from chorus_handbook.claims.tuning import check_tuning
from chorus_handbook.claims.unequal import check_unequal
from chorus_handbook.claims.voices import check_voices
from chorus_handbook.claims.words import check_words
from chorus_handbook.entries.model import Entries
from chorus_handbook.music import Music
from chorus_handbook.problems import Problem
from chorus_handbook.voices import Ladder

#: The checks on one exercise.
CHECKS: tuple[tuple[str, Check], ...] = (
    ("words", check_words),
    ("impact", check_impact),
    ("say", check_spoken),
    ("voices", check_voices),
    ("range", check_range),
    ("motion", check_motion),
    ("minutes", check_minutes),
    ("phrase", check_phrase),
    ("crossing", check_crossing),
    ("ladder", check_ladder),
    ("tuning", check_tuning),
    ("hearing", check_hearing),
    ("long_run", check_long_run),
)

#: The checks on notation as written, made for broken front matter and drafts as well.
WRITTEN_CHECKS: tuple[tuple[str, WrittenCheck], ...] = (
    ("bars", check_bars),
    ("unequal", check_unequal),
    ("syllables", check_syllables),
)

#: The checks on all exercises together.
STOCK_CHECKS: tuple[tuple[str, Callable[[Entries], Iterator[Problem]]], ...] = (
    ("related", check_related),
    ("doubles", check_doubles),
)


@dataclass(frozen=True, slots=True)
class Claims:
    """What came of the checks. `answered`: by slug, the notices that the author has answered, in
    file order; their reasons stand in the front matter under `answers`, by code."""

    answered: Mapping[str, tuple[Problem, ...]] = field(
        default_factory=lambda: MappingProxyType({})
    )


def check_claims(
    entries: Entries,
    music: Music,
    setting: Setting,
    ladders: Mapping[str, Ladder] = MappingProxyType({}),
) -> tuple[Claims, list[Problem]]:
    """Hold every exercise against its notes, the chorus and the other exercises.

    Returns the answered notices, and all other findings in file order.
    """
    problems: list[Problem] = []
    settled: dict[str, tuple[Problem, ...]] = {}
    for entry in entries.entries:
        subject = Subject(
            entry,
            music.scores.get(entry.slug),
            music.facts.get(entry.slug),
            setting.chorus,
            setting.vocabulary,
            ladders.get(entry.slug),
        )
        found = sorted({p for _, check in CHECKS for p in check(subject)})
        done = answered(entry, found)
        if done:
            settled[entry.slug] = done
        problems += [problem for problem in found if problem not in done]
        if setting.chorus and setting.vocabulary and music.complete(entry):
            problems += check_answers(entry, found)  # else the notice may only not be seen
    for slug in sorted({*music.scores, *music.drafts}):
        score = music.scores.get(slug) or music.drafts[slug]
        for _, written_check in WRITTEN_CHECKS:
            problems += written_check(score)
    for _, stock_check in STOCK_CHECKS:
        problems += stock_check(entries)
    return Claims(MappingProxyType(settled)), sorted(problems)
