"""What a director asks of a suggested warm-up, and each part of that as a wish.

When no warm-up meets a request, wishes are dropped one by one to find out which of them do not go
together (`conflicts`); their words are those that the director is told.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import NamedTuple

from chorus_handbook.entries.warm_up import Occasion

#: The longest time that a warm-up may have at all, in minutes.
LONGEST = 60.0


@dataclass(frozen=True, slots=True)
class Request:
    """What is asked for.

    day, starts, minutes, kind: as in the file of a warm-up.
    goals: the goals of the music that follows, by name. Each must be a goal of at least one item.
    keep, avoid: the slugs of exercises that must be in the warm-up, and of those that must not.
        `avoid_goals`, `avoid_soundings`: no item may have one of these goals, or be sung in one of
        these manners.
    present, few, there: as in the file of a warm-up.
    tired: whether voices are tired, or colds are going round.
    seed: a number other than 0 gives another suggestion that is nearly as good.
    """

    day: date
    starts: str
    minutes: float
    kind: Occasion = "weekly"
    goals: tuple[str, ...] = ()
    keep: tuple[str, ...] = ()
    avoid: tuple[str, ...] = ()
    avoid_goals: tuple[str, ...] = ()
    avoid_soundings: tuple[str, ...] = ()
    present: tuple[str, ...] = ()
    few: tuple[str, ...] = ()
    there: Mapping[str, str] = field(default_factory=dict)
    tired: bool = False
    seed: int = 0


class Wish(NamedTuple):
    """One thing that was asked for: how to name it, such as "tired voices (--tired)", and a
    function that returns a request without it."""

    words: str
    drop: Callable[[Request], Request]


def wishes(request: Request) -> Iterator[Wish]:
    """Everything that a request asks for, one by one. `conflicts` drops wishes in this order, and
    those that are dropped early are less likely to be named as what stands in the way."""
    if request.tired:
        yield Wish("tired voices (--tired)", lambda one: replace(one, tired=False))
    for voice in request.few:
        yield Wish(f"few singers (--few {voice})", _without("few", voice))
    for voice, hours in request.there.items():
        yield Wish(f"{voice} {hours} (--there)", _without_there(voice))
    if request.present:
        only = ", ".join(request.present)
        yield Wish(f"only {only} (--present)", lambda one: replace(one, present=()))
    for name, flag in (
        *(("avoid", "--avoid"), ("avoid_goals", "--avoid"), ("avoid_soundings", "--avoid")),
        *(("keep", "--keep"), ("goals", "--lead-into")),
    ):
        for word in getattr(request, name):
            yield Wish(_words(flag, word), _without(name, word))
    if request.kind != "weekly":
        words = f"{request.kind} (--kind {request.kind})"
        yield Wish(words, lambda one: replace(one, kind="weekly"))
    minutes = f"{request.minutes:g}"
    words = f"{minutes} {'minute' if minutes == '1' else 'minutes'} (--minutes {minutes})"
    yield Wish(words, lambda one: replace(one, minutes=LONGEST))


def _words(flag: str, word: str) -> str:
    verbs = {"--avoid": "without", "--keep": "with", "--lead-into": "leading into"}
    return f"{verbs[flag]} {word} ({flag} {word})"


def _without(name: str, word: str) -> Callable[[Request], Request]:
    def drop(request: Request) -> Request:
        left = tuple(one for one in getattr(request, name) if one != word)
        return replace(request, **{name: left})  # type: ignore[arg-type]

    return drop


def _without_there(voice: str) -> Callable[[Request], Request]:
    def drop(request: Request) -> Request:
        there = {name: hours for name, hours in request.there.items() if name != voice}
        return replace(request, there=there)

    return drop
