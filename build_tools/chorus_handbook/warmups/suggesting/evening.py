"""Says whether an item suits an evening at all: tired voices, the first warm-up after a break, a
concert, and what the chorus has sung too often lately. And how long an item takes at least.
"""

from __future__ import annotations

from collections.abc import Mapping

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.warmups.checks.running import TOO_MANY_WEEKS
from chorus_handbook.warmups.checks.strong import LONGEST as LONGEST_STRONG
from chorus_handbook.warmups.running_order import MINUTE, SECOND, PlannedItem
from chorus_handbook.warmups.suggesting.demands import (
    GENTLE_IMPACT,
    GENTLE_LEVEL,
    HARD,
    in_parts_and_hard,
    is_quiet,
)
from chorus_handbook.warmups.suggesting.request import Request

#: The highest impact when voices are tired or after a break: light singing.
_TIRED_IMPACT = 3
#: The highest impact right before a concert. Source: common practice (voices are warm by then).
_CALM_IMPACT = 3
#: After a break, no item has a wider span than this, in semitones (our choice).
_SPAN_AFTER_BREAK = 12
#: What an item takes besides its music: talk, and time to breathe and listen in each key, in
#: half-seconds. Our choice.
_TALK, _BREATH = 15 * SECOND, 3 * SECOND
#: An exercise that takes some weeks to learn needs at least this long, in half-seconds, even once
#: it is known (our choice: in less time it can be sung, but nobody listens to it). A known one that
#: is meant for the end is spared this: it is sung once or twice, and the music follows.
_TIME_FOR_PARTS = 2 * MINUTE
#: Items are planned in quarters of a minute: whoever has both hands raised reads no seconds.
_QUARTER = MINUTE // 4
#: How far above the middle of its comfortable range a tired voice may go where it is not quiet, in
#: semitones: a fifth. It may go down to the end of that range, since it is height that tires.
_MIDDLE = 7


def least_length(item: PlannedItem, moment: str) -> int:
    """How long an item is planned for, in half-seconds, in whole quarters of a minute: its own
    length, or what its music, the breaths and the talk take, if that is longer. `moment`: the
    moment that its author means it for."""
    needed = item.length
    if item.keys:
        needed = max(needed, item.sound + len(item.keys) * _BREATH + _TALK)
    at_the_end = moment == "closing" and item.status == "known"
    if in_parts_and_hard(item) and not at_the_end:
        needed = max(needed, _TIME_FOR_PARTS)
    return -(-needed // _QUARTER) * _QUARTER


def suits(
    request: Request,
    item: PlannedItem,
    ranges: Mapping[str, tuple[int, int]],
    *,
    again: bool,
    quick: bool,
    swells: bool,
) -> bool:
    """Whether an item suits the evening. `ranges`: the comfortable range of each voice. `again`:
    whether it is the first warm-up after a break. `quick`, `swells`: as in `Candidate`."""
    lively = item.impact > 1 and (quick or swells)
    if request.tired and (lively or not _spares(item, ranges)):
        return False
    return _allowed(request, item) and (not again or _low_and_slow(item, quick=quick))


def teaches_nothing(request: Request) -> bool:
    """Whether nothing may be new: tired voices do not learn, and on concert day nothing is new."""
    return request.tired or request.kind == "concert"


def _low_and_slow(item: PlannedItem, *, quick: bool) -> bool:
    """Whether an item suits the first warm-up after a break: it must not be quick, wide, strong or
    hard, and if it is new, it must be gentle. Any item without the voice suits."""
    if item.impact == 1:
        return True
    if item.status == "new" and (item.impact > GENTLE_IMPACT or item.level > GENTLE_LEVEL):
        return False
    hard = item.level == HARD and item.status != "known"
    wide = item.span > _SPAN_AFTER_BREAK
    return item.impact <= _TIRED_IMPACT and not (quick or wide or hard)


def _spares(item: PlannedItem, ranges: Mapping[str, tuple[int, int]]) -> bool:
    """Whether an item spares tired voices: it is half-closed or quiet, or it takes no voice high or
    below its comfortable range. (Where one that is neither half-closed nor quiet may stand:
    `steps.may_stand_tired`.)"""
    if is_quiet(item):
        return True
    return all(
        2 * (reach.highest - _MIDDLE) <= sum(ranges[voice]) and reach.lowest >= ranges[voice][0]
        for key in item.keys
        for voice, reach in key.items()
    )


def comfortable(chorus: Chorus) -> Mapping[str, tuple[int, int]]:
    """The comfortable range of each voice, as MIDI numbers."""
    ranges = {name: voice.comfortable for name, voice in chorus.voices.items()}
    return {name: (one.low, one.high) for name, one in ranges.items()}


def _allowed(request: Request, item: PlannedItem) -> bool:
    """Whether the request, the length of strong singing, and the log let an item be chosen."""
    if request.tired and item.impact > _TIRED_IMPACT:
        return False
    if request.right_before and item.impact > _CALM_IMPACT:
        return False
    if item.impact == 5 and item.sound > LONGEST_STRONG:
        return False
    if item.weeks_running >= TOO_MANY_WEEKS and item.keep is None:
        return False
    return not (item.status == "new" and (item.level == HARD or teaches_nothing(request)))
