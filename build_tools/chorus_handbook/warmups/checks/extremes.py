"""Notes beyond a voice's comfortable range that nothing has prepared.

What it checks: that before a voice sings a note outside its comfortable range, it has sung within a
fourth of that note in an earlier item or an earlier key. Notes that are hummed, trilled or glided
over prepare for others and need no preparation themselves. Notes in the same key do not prepare:
otherwise every scale would prepare its own highest note (both our choice). Source: common practice.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.warmups.findings import LIMITS, Finding, found, interval, notes
from chorus_handbook.warmups.running_order import KeyReach, RunningOrder

#: How near an earlier note must be to one that it prepares: a fourth, in semitones.
FOURTH: int = LIMITS["prepared_within"]
#: What counts as the highest and the lowest note so far of a voice that has sung nothing yet: both
#: are too far from every note to prepare it.
_LOWEST_MIDI, _HIGHEST_MIDI = 0, 128


def check_extremes(order: RunningOrder) -> Iterator[Finding]:
    """Yields a notice `warmup-extremes` for each item in which a voice sings a note that nothing
    has prepared; it names one such note of each voice."""
    lowest: dict[str, int] = {}
    highest: dict[str, int] = {}
    for place, item in enumerate(order.items):
        unprepared: dict[str, int] = {}
        for key in item.keys:
            for voice, reach in key.items():
                note = _unprepared(order, voice, reach, lowest, highest)
                if note is not None:
                    unprepared.setdefault(voice, note)
            for voice, reach in key.items():
                lowest[voice] = min(reach.lowest, lowest.get(voice, reach.lowest))
                highest[voice] = max(reach.highest, highest.get(voice, reach.highest))
        if unprepared:
            yield found(
                order, "extremes", place, notes=notes(unprepared), interval=interval(FOURTH)
            )


def _unprepared(
    order: RunningOrder,
    voice: str,
    reach: KeyReach,
    lowest: dict[str, int],
    highest: dict[str, int],
) -> int | None:
    """A note that the voice sings with an open mouth outside its comfortable range and that nothing
    has prepared; None if there is none. `lowest` and `highest` hold the lowest and the highest note
    that each voice has sung before. All notes are MIDI numbers."""
    _, bottom, top = order.voices[voice]  # of the comfortable range
    high, low = reach.open_highest, reach.open_lowest
    if high is not None and high > top and high - highest.get(voice, _LOWEST_MIDI) > FOURTH:
        return high
    if low is not None and low < bottom and lowest.get(voice, _HIGHEST_MIDI) - low > FOURTH:
        return low
    return None
