"""Puts into words what somebody who plans a rehearsal wants to know: how soon an exercise is
learned, how long it takes, and where in a warm-up it belongs."""

from __future__ import annotations

from math import ceil

from chorus_handbook.catalogue import _, ngettext
from chorus_handbook.chorus.model import LEVEL_WORDS, MOMENT_WORDS
from chorus_handbook.entries.model import FrontMatter
from chorus_handbook.music.facts import Facts
from chorus_handbook.music.learning import known_minutes, level_of
from chorus_handbook.pages.number_words import amount


def to_learn(front: FrontMatter, facts: Facts | None) -> str:
    """The level, such as "To learn: at once"; empty when it is not known."""
    word = level_word(front, facts)
    return _("To learn: {level}", level=word) if word else ""


def level_word(front: FrontMatter, facts: Facts | None) -> str:
    """The level without the words "To learn"; empty when it is not known."""
    level = level_of(front, facts)
    return _(LEVEL_WORDS[level]) if level else ""


def times(front: FrontMatter, facts: Facts | None) -> str:
    """How long it takes the first time, and later: "3 minutes, 1½ once known"."""
    return _times(minutes(front.minutes), front, facts)


def minutes_in_table(front: FrontMatter, facts: Facts | None) -> str:
    """The two times for a table column with the heading "Minutes": "3, 1½ once known"."""
    return _times(amount(front.minutes), front, facts)


def _times(first: str, front: FrontMatter, facts: Facts | None) -> str:
    known = known_minutes(front, facts)
    if known == front.minutes:
        return first
    # Translators: 3 minutes, 1½ once known
    return _("{minutes}, {known} once known", minutes=first, known=amount(known))


def when(front: FrontMatter) -> str:
    """The part of a warm-up it belongs to: "When: early"; empty when that is not stated."""
    return _("When: {moment}", moment=_(MOMENT_WORDS[front.moment])) if front.moment else ""


def minutes(value: float) -> str:
    """A length: "3 minutes", "1 minute", "half a minute", "1½ minutes"."""
    if value == 0.5:
        return _("half a minute")
    return ngettext("{n} minute", "{n} minutes", ceil(value), n=amount(value))
