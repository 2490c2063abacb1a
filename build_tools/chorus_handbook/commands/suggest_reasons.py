"""Puts the reasons for the items of a suggestion into words, without saying the same twice in one
list."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from chorus_handbook.chorus.model import Vocabulary
from chorus_handbook.commands.days import short_day
from chorus_handbook.warmups.suggesting.reasons import Code, Reason

#: How many reasons are given for an item at most.
_MOST = 2
_TIMES = {2: "second", 3: "third"}
#: For each code, how to say it: the first time in a list, and, in order of preference, later.
_SAID: dict[Code, tuple[str, ...]] = {
    "asked": ("you asked for it", "you asked for it too", "asked for as well"),
    "opener": ("the season's opener",),
    "closer": ("the season's closer",),
    "goal": (
        "mainly for {label}, which the music asks for",
        "mainly for {label} too",
        "once more for {label}",
    ),
    "also-goal": (
        "also for {label}, which the music asks for",
        "also for {label}",
        "for {label} by the way",
    ),
    "leads-in": ("for {label}, straight into the music",),
    "settling": ("its {nth} time, so that it settles{if_sung}", "its {nth} time too{if_sung}"),
    "new": ("the one new item",),
    "rests": ("not sung for {weeks}{if_sung}", "not sung for {weeks} either{if_sung}"),
    "learned": (
        "not sung for {weeks}, but learned before{if_sung}",
        "learned, and not sung for {weeks} either{if_sung}",
    ),
    "known": ("needs no teaching: sung {times}", "sung {times}", "also sung {times}"),
    "half-closed": (
        "half-closed, so it spares tired voices",
        "half-closed too",
        "half-closed as well",
    ),
    "fewer-keys": ("in fewer keys, to save {saved}", "in fewer keys too"),
}
#: The same for "known", if it is known only by the evenings that are planned before.
_NOT_YET = ("needs no teaching{if_sung}", "known by then{if_sung}")
#: The same for "again", by what the exercise is in the season.
_AGAIN = {
    "opener": ("again, to bring you back together",),
    "closer": ("again, so that you go on together with a sound you know",),
    "": ("again, so that nothing needs explaining", "again as well", "again too"),
}


class ReasonWords:
    """Puts into words the reasons why items were suggested, one item after another. It remembers
    its phrases, so that a list does not repeat one while there are others, and has its longer form
    only once."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self.vocabulary = vocabulary
        self.said: set[str] = set()

    def of_item(self, reasons: Sequence[Reason]) -> list[str]:
        """The first reasons of an item as phrases, such as "its second time"; at least one, and
        `_MOST` at most. `reasons` are all of them, the most important first. A reason for which no
        new phrase is left is passed over, unless there is no other."""
        phrases: list[str] = []
        for reason in reasons:
            if len(phrases) < _MOST and (phrase := self._say(reason)):
                phrases.append(phrase)
        return phrases or [self._filled(_phrases(reasons[0])[-1], reasons[0])]

    def _say(self, reason: Reason) -> str:
        """A reason as a phrase that has not been said; empty if none is left."""
        first, *later = _phrases(reason)
        phrase = self._filled(first, reason)
        once = {phrase, first} if later else {phrase}
        if reason.code == "stage" and "," in first:
            once.add(first.partition(", ")[2])  # "now that the voice is warm" is said once as well
        if not once & self.said:
            self.said |= once
            return phrase
        for other in later:
            phrase = self._filled(other, reason)
            if phrase not in self.said:
                self.said.add(phrase)
                return phrase
        return ""

    def _filled(self, phrase: str, reason: Reason) -> str:
        """A phrase with what it names filled in."""
        return phrase.format(
            label=self._label(reason.word),
            goal=self._label(reason.goal),
            nth=_TIMES.get(reason.number, "next"),
            times=_times(reason.number),
            weeks=f"{reason.number} {'week' if reason.number == 1 else 'weeks'}",
            saved="voices" if reason.word == "concert" else "time",
            if_sung=f" ({if_sung(reason.planned)})" if reason.planned else "",
        )

    def _label(self, goal: str) -> str:
        """The label of a goal, as inside a sentence; other words as they are."""
        goals = self.vocabulary.goals
        return goals[goal].label.lower() if goal in goals else goal


def _phrases(reason: Reason) -> tuple[str, ...]:
    """The ways to say a reason."""
    if reason.code == "stage":
        shorter = reason.word.partition(",")[0]
        if shorter.startswith(("now that", "with time")):  # another reason names the goal
            return (reason.word,)
        other = (shorter,) if shorter != reason.word or "{goal}" in shorter else ()
        return (reason.word, *other, f"{shorter} too", f"{shorter} once more")
    if reason.code == "again":
        return _AGAIN[reason.word]
    if reason.code == "known" and reason.planned:
        so_far = f"{_times(reason.number)} so far, " if reason.number else ""
        return tuple(f"{'sung ' if so_far else ''}{so_far}{phrase}" for phrase in _NOT_YET)
    return _SAID[reason.code]


def _times(number: int) -> str:
    return {1: "once", 2: "twice"}.get(number, f"{number} times")


def if_sung(days: Sequence[int]) -> str:
    """What to add to a phrase that is true only if an exercise is sung on these days, as planned;
    empty if there are none. Days are numbered as by `date.toordinal`."""
    if not days:
        return ""
    *before, last = (short_day(date.fromordinal(day)) for day in days)
    named = f"{', '.join(before)} and {last}" if before else last
    return f"if it is sung on {named}, as planned"
