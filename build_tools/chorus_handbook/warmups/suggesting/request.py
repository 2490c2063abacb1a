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
#: The longest second block of a concert's warm-up, in minutes, and what part of the whole it is at
#: most. Source: common practice (two or three minutes of singing); the part is our choice.
_SECOND_BLOCK, _SECOND_PART = 5.0, 3


@dataclass(frozen=True, slots=True)
class Request:
    """What is asked for.

    day, starts, minutes, kind: as in the file of a warm-up.
    goals: the names of the goals of the music that follows. Each must be a goal of at least one
        item.
    keep, avoid: the slugs of exercises that must be in the warm-up, and of those that must not.
        `avoid_goals`, `avoid_soundings`: no item may have one of these goals, or be sung in one of
        these manners. `avoid_families`: no item may be mainly for a goal of one of these families.
        `avoid_formations`: nobody may have to stand like that.
    left_out: the slugs of exercises that nobody asked to avoid, but that do not suit the evening,
        such as four parts for children.
    present, few, there: as in the file of a warm-up.
    tired: whether voices are tired, or colds are going round.
    seed: a number other than 0 gives another suggestion that is nearly as good.
    again: the time of day at which a second block begins, right before a concert; else empty.
    right_before: whether this is such a second block by itself.
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
    avoid_families: tuple[str, ...] = ()
    avoid_formations: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()
    present: tuple[str, ...] = ()
    few: tuple[str, ...] = ()
    there: Mapping[str, str] = field(default_factory=dict)
    tired: bool = False
    seed: int = 0
    again: str = ""
    right_before: bool = False

    def second_block(self) -> Request | None:
        """The second block as a request of its own; None if there is none."""
        if not self.again:
            return None
        minutes = min(_SECOND_BLOCK, self.minutes / _SECOND_PART)
        keep: tuple[str, ...] = ()  # what must be sung is sung in the first block
        return replace(
            self, starts=self.again, minutes=minutes, keep=keep, again="", right_before=True
        )


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
        *(("avoid_families", "--avoid"), ("avoid_formations", "--avoid")),
        *(("keep", "--keep"), ("goals", "--lead-into")),
    ):
        for word in getattr(request, name):
            yield Wish(_words(flag, word), _without(name, word))
    if request.again:
        words = f"a second block at {request.again} (--second-block {request.again})"
        yield Wish(words, lambda one: replace(one, again=""))
    if request.kind != "weekly":
        words = f"{request.kind} (--kind {request.kind})"
        yield Wish(words, lambda one: replace(one, kind="weekly", left_out=()))
    minutes = f"{request.minutes:g}"
    words = f"{minutes} {'minute' if minutes == '1' else 'minutes'} (--minutes {minutes})"
    yield Wish(words, lambda one: replace(one, minutes=LONGEST))


def _words(flag: str, word: str) -> str:
    """The words of a wish that an option asks for, such as "with low-tide (--keep low-tide)"."""
    verbs = {"--avoid": "without", "--keep": "with", "--lead-into": "leading into"}
    return f"{verbs[flag]} {word} ({flag} {word})"


def _without(name: str, word: str) -> Callable[[Request], Request]:
    """A function that takes `word` out of the field `name` of a request."""

    def drop(request: Request) -> Request:
        left = tuple(one for one in getattr(request, name) if one != word)
        return replace(request, **{name: left})  # type: ignore[arg-type]

    return drop


def _without_there(voice: str) -> Callable[[Request], Request]:
    """A function that takes the hours of a voice out of a request."""

    def drop(request: Request) -> Request:
        there = {name: hours for name, hours in request.there.items() if name != voice}
        return replace(request, there=there)

    return drop
