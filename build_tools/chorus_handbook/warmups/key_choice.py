"""Chooses among an exercise's own keys: lower ones, or fewer of them.

A *row* is the keys in which an item is sung, in that order: the MIDI numbers of their tonics. No
item gets a key that its exercise does not have, because the handbook could neither show nor play
it. The browser has the same rules (`browser/key_choice.js`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

from chorus_handbook.records.planning_numbers import PlanningNumbers
from chorus_handbook.warmups.running_order import VoiceRange

#: How many keys an item keeps at least when it is made shorter (our choice: with only one there is
#: no step from key to key, which is what warms up).
FEWEST_KEYS = 2


def row_text(tonics: Sequence[int], numbers: PlanningNumbers) -> str | None:
    """A row of keys as the field `keys` of an item has it, such as "D4 up to F4"; None for all keys
    of the exercise."""
    if tuple(tonics) == numbers.tonics:
        return None
    names = dict(zip(numbers.tonics, numbers.keys, strict=True))
    back = _goes_back(tonics)
    first, turn = tonics[0], tonics[len(tonics) // 2 if back else -1]
    if len(tonics) == 1:
        return names[first]
    text = f"{names[first]} {'up' if turn > first else 'down'} to {names[turn]}"
    tones = abs(tonics[1] - tonics[0]) == 2
    return text + (" and back" if back else "") + (" by whole tones" if tones else "")


def fewer(tonics: Sequence[int]) -> tuple[int, ...]:
    """A row of keys without its last key; if it goes there and back, without the key where it turns
    and one beside that. The same row if it has few keys already."""
    if len(tonics) <= FEWEST_KEYS or (_goes_back(tonics) and len(tonics) == 3):
        return tuple(tonics)
    if _goes_back(tonics):
        half = len(tonics) // 2
        return (*tonics[:half], *tonics[half + 2 :])
    return tuple(tonics[:-1])


def lower(
    tonics: Sequence[int],
    semitones: int,
    numbers: PlanningNumbers,
    there: Sequence[str],
    voices: Mapping[str, VoiceRange],
) -> tuple[int, ...]:
    """A row of keys about `semitones` lower: each key becomes the nearest of the exercise's own
    keys that is at least so much lower.

    A key is left out if the exercise goes no lower, or if a voice that sings in the row and is
    present (in `there`) would step out or would have a note below both its comfortable range and
    its lowest note of the row. Returns the row unchanged if the keys that are left make no row.
    """
    lowest_notes = {
        voice: [_lowest(numbers, voice, key) for key in tonics if _sings(numbers, voice, key)]
        for voice in numbers.voices
        if voice in there
    }
    floors = {
        voice: min(voices[voice].low, *lowest) for voice, lowest in lowest_notes.items() if lowest
    }
    row: list[int] = []
    for key in tonics:
        nearest = max((own for own in numbers.tonics if own <= key - semitones), default=None)
        if nearest is None or row[-1:] == [nearest]:
            continue
        if all(
            _sings(numbers, voice, nearest) and _lowest(numbers, voice, nearest) >= floor
            for voice, floor in floors.items()
        ):
            row.append(nearest)
    return tuple(row) if _is_row(row) else tuple(tonics)


def _goes_back(tonics: Sequence[int]) -> bool:
    """Whether a row ends in the key in which it began."""
    return len(tonics) > 2 and tonics[0] == tonics[-1]


def _is_row(tonics: Sequence[int]) -> bool:
    """Whether these keys can be written as a row: by equal steps, one way or there and back."""
    half = len(tonics) // 2 + 1 if _goes_back(tonics) else len(tonics)
    there, back = [*tonics[:half]], [*tonics[half - 1 :]]
    steps = {after - before for before, after in pairwise(there)}
    return (
        bool(tonics)
        and len(steps) <= 1
        and all(abs(step) in (1, 2) for step in steps)
        and (half == len(tonics) or back == there[::-1])
    )


def _place(numbers: PlanningNumbers, key: int) -> int:
    """The place of a key among all keys of the exercise, from 0."""
    return numbers.tonics.index(key)


def _sings(numbers: PlanningNumbers, voice: str, key: int) -> bool:
    """Whether a voice sings in a key, rather than stepping out because it is out of range."""
    octaves = numbers.octaves.get(voice)  # by key; None for a key in which the voice steps out
    return octaves is None or octaves[_place(numbers, key)] is not None


def _lowest(numbers: PlanningNumbers, voice: str, key: int) -> int:
    """The lowest note of a voice in a key in which it sings."""
    octaves = numbers.octaves.get(voice)
    moved = (octaves[_place(numbers, key)] or 0) if octaves else 0
    return numbers.voices[voice].lowest + key - numbers.tonics[0] + 12 * moved
