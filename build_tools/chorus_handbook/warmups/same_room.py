"""Checks that no two warm-ups take place in one room at the same time.

A warm-up must not begin before an earlier one in the same room has ended. Room names are compared
without regard to capitals; all warm-ups without a room count as being in the same one, and one
without a room may be in that of any other, so that its author is asked. Source: our choice: two
warm-ups at once are common in two rooms, but in one room they mean that a date or a time is wrong.
The page of a draft has the same rule (`browser/same_room.js`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from chorus_handbook.claims.duplicate_titles import comparable
from chorus_handbook.entries.model import Text
from chorus_handbook.entries.warm_up import DAY, WarmUpFields
from chorus_handbook.problems import Problem


def check_rooms(warm_ups: Sequence[Text[WarmUpFields]]) -> Iterator[Problem]:
    """Error `warmup-twice` for each warm-up that begins during an earlier one in the same room, or
    else notice `warmup-room` if just one of the two names a room. `warm_ups` must be sorted by when
    they begin."""
    last: dict[str, Text[WarmUpFields]] = {}  # in each room, the one that ends last
    for text in warm_ups:
        room = comparable(text.front.room or "")
        before = last.get(room)
        if before and _begins(text) < _ends(before):
            written = text.front.room
            same = f"both are in {written}" if written else "neither names a room"
            yield Problem(
                text.source.place_of("starts"),
                "warmup-twice",
                f"This warm-up begins before the one in {before.source.path} has ended: that one "
                f"begins at {before.front.starts} and takes {before.front.minutes:g} min, and "
                f"{same}.",
                'Correct the date or the time of one, or write in the field "room" of each where '
                "it is.",
            )
        elif asked := [one for name, one in last.items() if _unclear(room, name)]:
            latest = max(asked, key=_ends)
            if _begins(text) < _ends(latest):
                yield _question(text, latest)
        if before is None or _ends(text) > _ends(before):
            last[room] = text


def _unclear(room: str, other: str) -> bool:
    """Whether just one of two rooms is named."""
    return bool(room) != bool(other)


def _question(text: Text[WarmUpFields], before: Text[WarmUpFields]) -> Problem:
    """Asks where a warm-up is that begins during an earlier one, if just one names a room."""
    room = text.front.room or before.front.room
    which = "that one names no room" if text.front.room else "this one names no room"
    return Problem(
        text.source.place_of("starts"),
        "warmup-room",
        f"Is this warm-up in another room than the one in {before.source.path}? It begins before "
        f"that one has ended ({before.front.starts}, {before.front.minutes:g} min); one is in "
        f"{room}, and {which}.",
        'If so, write in the field "room" where it is. If not, correct the date or the time of '
        "one.",
    )


def _begins(text: Text[WarmUpFields]) -> int:
    """When a warm-up begins, in minutes since the beginning of the calendar (`toordinal`)."""
    return text.front.day.toordinal() * DAY + text.front.begins


def _ends(text: Text[WarmUpFields]) -> float:
    """When a warm-up ends, in the same unit."""
    return _begins(text) + text.front.minutes
