"""Notes beyond a voice's comfortable range that nothing has prepared.

What it checks: that before a voice sings a note outside its comfortable range, it has sung within a
fourth of that note in an earlier item or an earlier key. Notes that are hummed, trilled or glided
over prepare for others and need no preparation themselves. Notes in the same key do not prepare:
otherwise every scale would prepare its own highest note (both our choice). Source: common practice.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.claims.wording import interval_of, listed
from chorus_handbook.pitch import named
from chorus_handbook.warmups.running_order import Finding, KeyReach, PlannedItem, RunningOrder

FOURTH = 5  # semitones
#: Stand for the notes of a voice that has sung nothing yet: far from every note that is sung.
_LOWEST_MIDI, _HIGHEST_MIDI = 0, 128


def check_extremes(order: RunningOrder) -> Iterator[Finding]:
    """Notice `warmup-extremes`, at most one for each item."""
    lowest: dict[str, int] = {}
    highest: dict[str, int] = {}
    for place, item in enumerate(order.items):
        notes: dict[str, str] = {}
        for key in item.keys:
            for voice, reach in key.items():
                if note := _unprepared(order, voice, reach, lowest, highest):
                    notes.setdefault(voice, note)
            for voice, reach in key.items():
                lowest[voice] = min(reach.lowest, lowest.get(voice, reach.lowest))
                highest[voice] = max(reach.highest, highest.get(voice, reach.highest))
        if notes:
            yield _finding(order, place, item, notes)


def _unprepared(
    order: RunningOrder,
    voice: str,
    reach: KeyReach,
    lowest: dict[str, int],
    highest: dict[str, int],
) -> str:
    """The name of a note outside the comfortable range that nothing has prepared; empty if there is
    none. `lowest` and `highest` hold what each voice has sung before, as MIDI numbers."""
    _, bottom, top = order.voices[voice]
    high, low = reach.open_highest, reach.open_lowest
    if high is not None and high > top and high - highest.get(voice, _LOWEST_MIDI) > FOURTH:
        return named(high)
    if low is not None and low < bottom and lowest.get(voice, _HIGHEST_MIDI) - low > FOURTH:
        return named(low)
    return ""


def _finding(order: RunningOrder, place: int, item: PlannedItem, notes: dict[str, str]) -> Finding:
    who = listed(f"{order.voices[voice].label} to {note}" for voice, note in notes.items())
    return Finding(
        "warmup-extremes",
        place,
        f"{item.named()} takes {who}: outside the comfortable range, and more than "
        f"{interval_of(FOURTH)} beyond any note sung before.",
        "Begin it in a key nearer the middle, or put a hum, a trill or a glide before it that "
        f"comes within {interval_of(FOURTH)} of that note.",
    )
