"""Two warm-ups at one time in one room.

What it checks: that no warm-up begins before another in the same room is over. Rooms of one name
are one room, whatever the case of its letters; warm-ups that name none are all in one. Source: our
choice, because two rooms at once are common, and one room at once is a mistake in a date.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from chorus_handbook.claims.duplicate_titles import plain_title
from chorus_handbook.entries.model import Text
from chorus_handbook.entries.warm_up import DAY, WarmUpFields
from chorus_handbook.problems import Problem


def check_rooms(warm_ups: Sequence[Text[WarmUpFields]]) -> Iterator[Problem]:
    """Error `warmup-twice` for each warm-up that begins during an earlier one in its room.
    `warm_ups` are in the order in which they begin."""
    last: dict[str, Text[WarmUpFields]] = {}
    for text in warm_ups:
        room = plain_title(text.front.room or "")
        before = last.get(room)
        if before and _begins(text) < _begins(before) + before.front.minutes:
            where = f"in {text.front.room}" if text.front.room else "and neither names a room"
            yield Problem(
                text.source.place_of("starts"),
                "warmup-twice",
                f"{before.source.path} begins at {before.front.starts} and takes "
                f"{before.front.minutes:g} min: this warm-up begins before it is over, {where}.",
                "Correct the date or the time, or write room: where each of them is.",
            )
        last[room] = text


def _begins(text: Text[WarmUpFields]) -> int:
    """Minutes from the first day of the calendar."""
    return text.front.day.toordinal() * DAY + text.front.begins
