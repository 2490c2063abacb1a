"""Finds what singers are to practise at home before the next warm-ups, and what they sang last.

Nothing here depends on today's date: a warm-up counts as past once it, or a later one, has a log.
The pages have all others, of which the browser picks the next one by its date
(`browser/at_home.js`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from chorus_handbook.entries.model import Text
from chorus_handbook.entries.warm_up import WarmUpFields
from chorus_handbook.warmups.texts import warm_ups_in


@dataclass(frozen=True, slots=True)
class Evening:
    """A warm-up as singers see it at home: its date (2026-09-03), the time of day when it starts,
    the path of its page, its title, and the slugs of exercises: those to practise for it, or those
    that were sung."""

    date: str
    starts: str
    page: str
    title: str
    exercises: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class AtHome:
    """What singers practise at home, and what they sang last.

    to_practise: the coming warm-ups whose files name exercises to practise beforehand, in the order
        of their dates.
    last: the last warm-up of which a file says that anything was sung, with only the exercises that
        were sung; None if no file says so.
    """

    to_practise: tuple[Evening, ...] = ()
    last: Evening | None = None

    @property
    def exercises(self) -> tuple[str, ...]:
        """The slugs of the exercises of `to_practise` and `last`, each once."""
        evenings = [*self.to_practise, *([self.last] if self.last else [])]
        return tuple(dict.fromkeys(slug for one in evenings for slug in one.exercises))

    def for_exercise(self, slug: str) -> tuple[Evening, ...]:
        """The warm-ups for which the exercise `slug` is to be practised."""
        return tuple(one for one in self.to_practise if slug in one.exercises)


def at_home_in(texts: Sequence[Text[Any]]) -> AtHome:
    """What singers practise at home, and what they sang last. `texts` holds all texts of the
    handbook; those that are not warm-ups are ignored."""
    warm_ups = warm_ups_in(texts)
    logged = [any(item.sung for item in text.front.items) for text in warm_ups]
    # How many warm-ups are past: all up to the last one that has a log.
    past = len(logged) - logged[::-1].index(True) if True in logged else 0
    last = None
    for text in warm_ups[:past]:
        exercises = [item.exercise for item in text.front.items if item.sung == "yes"]
        last = _evening(text, exercises) if exercises else last
    picked = [_evening(text, text.front.at_home) for text in warm_ups[past:] if text.front.at_home]
    return AtHome(tuple(picked), last)


def _evening(text: Text[WarmUpFields], exercises: Sequence[str]) -> Evening:
    """The warm-up `text` with these exercises, each once."""
    unique = tuple(dict.fromkeys(exercises))
    return Evening(text.front.date, text.front.starts, text.page, text.title, unique)
