"""High keys for older singers.

What it checks: that in a seated warm-up, which is also one for older singers, no voice sings above
what is comfortable with an open mouth, even if all keys are sung two semitones lower. In other
warm-ups such notes only need preparation (see `extremes`). Source: common practice, by which older
singers begin two semitones lower. A plan cannot go below the keys of an exercise, so the pages say
"two semitones lower" beside the first key, and a notice is due only where that is not enough (our
choice).
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.warmups.findings import LIMITS, Finding, found, notes
from chorus_handbook.warmups.running_order import RunningOrder

#: By how many semitones older singers begin lower.
LOWER: int = LIMITS["seated_lower"]


def check_seated(order: RunningOrder) -> Iterator[Finding]:
    """Yields a notice `warmup-seated` for each item that is too high; it names the highest note of
    each voice concerned."""
    if order.occasion != "seated":
        return
    for place, item in enumerate(order.items):
        tops: dict[str, int] = {}
        for key in item.keys:
            for voice, reach in key.items():
                top = order.voices[voice].high
                if reach.open_highest is not None and reach.open_highest - LOWER > top:
                    tops[voice] = max(tops.get(voice, 0), reach.open_highest)
        if tops:
            yield found(order, "seated", place, notes=notes(tops))
