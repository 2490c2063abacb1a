"""Makes a warm-up gentler for an evening on which voices are tired, or colds are going round.

Keys are two semitones lower wherever the exercises and the voices go so low (`key_choice`). An item
of more than impact 3 is swapped for an exercise with the same goal, or left out if there is none.
The first half of the keys of an item that is sung with an open mouth are sung on a half-closed
sound instead (a hum, a trill or a straw). The pages also say that whoever has a cold or is hoarse
only listens.

Source: common practice, by which tired voices begin lower, softer and on half-closed sounds; the
numbers are our choice. It makes a warm-up lighter and heals nobody. The browser has the same rule
(`browser/tired_voices.js`); change them together (`tests/browser/test_tonight_rules.py`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from chorus_handbook.entries.warm_up import WarmUpItem
from chorus_handbook.warmups.key_choice import lower, row_text
from chorus_handbook.warmups.swaps import Swap, swaps
from chorus_handbook.warmups.tonight import Tonight, changed, instead

#: By how many semitones keys are lowered, and the highest impact that an item may still have.
SEMITONES, IMPACT = 2, 3
#: The main goal of exercises for words, which cannot be hummed.
_WORDS = "diction"


@dataclass(frozen=True, slots=True)
class Gentler:
    """A warm-up made gentler; places are those in the plan, from 0.

    items: what is sung, by place.
    swaps: the exercises that take the places of others, with their reasons, by place. `left_out`:
        the places of items for which there was nothing gentler.
    not_lower: the places of items that begin less than two semitones lower, because their exercise
        or a voice goes no lower.
    half_closed: how many keys are sung on a half-closed sound, by place; only for items that have
        such keys.
    """

    items: dict[int, WarmUpItem]
    swaps: dict[int, Swap]
    left_out: tuple[int, ...]
    not_lower: tuple[int, ...]
    half_closed: dict[int, int]


def make_gentler(tonight: Tonight) -> Gentler:
    """The warm-up for tired voices. Strong items for which there is no swap are left out, but never
    the last item that is left."""
    order = tonight.order(tonight.items)
    items = {
        place: _lowered(tonight, item, order.items[place].there)
        for place, item in enumerate(tonight.items)
    }
    taken: dict[int, Swap] = {}
    left_out: list[int] = []
    for place in range(len(tonight.items)):
        if tonight.stock[items[place].exercise].impact <= IMPACT:
            continue
        if swap := _instead(tonight, items, place):
            taken[place] = swap
            items[place] = changed(instead(items[place], swap.item.slug), keys=swap.keys)
        elif len(items) > 1:
            del items[place]
            left_out.append(place)
    return Gentler(
        items,
        taken,
        tuple(left_out),
        tuple(place for place in items if _begins_as_high(tonight, place, items[place])),
        dict(_half_closed(tonight, items)),
    )


def _lowered(tonight: Tonight, item: WarmUpItem, there: Iterable[str]) -> WarmUpItem:
    """The item in lower keys, if it has any that suit the voices `there`."""
    numbers, tonics = tonight.stock[item.exercise], tonight.tonics(item)
    row = lower(tonics, SEMITONES, numbers, sorted(there), tonight.voices)
    return item if row == tonics else changed(item, keys=row_text(row, numbers))


def _instead(tonight: Tonight, items: Mapping[int, WarmUpItem], place: int) -> Swap | None:
    """The best swap for the item at a place that is gentle enough; None if there is none."""
    order = tonight.order([*items.values()])
    index = [*items].index(place)
    there, time = order.items[index].there, tonight.time_for(order, index)
    candidates = [
        tonight.fitting(_lowered(tonight, instead(items[place], slug), there), there, time)
        for slug in sorted(tonight.stock)
        if tonight.stock[slug].impact <= IMPACT
    ]
    own = tonight.candidate(items[place], there)
    return next(iter(swaps(order, index, own, candidates, "gentler")), None)


def _begins_as_high(tonight: Tonight, place: int, item: WarmUpItem) -> bool:
    """Whether an item that stays begins less than two semitones lower than planned."""
    planned = tonight.items[place]
    if item.exercise != planned.exercise:
        return False
    now, before = tonight.tonics(item), tonight.tonics(planned)
    return bool(now) and before[0] - now[0] < SEMITONES


def _half_closed(tonight: Tonight, items: Mapping[int, WarmUpItem]) -> Iterator[tuple[int, int]]:
    """The pairs of `Gentler.half_closed`."""
    for place, item in items.items():
        numbers, keys = tonight.stock[item.exercise], len(tonight.tonics(item))
        sung = keys and numbers.singing and not numbers.half_closed
        if sung and numbers.main_goal != _WORDS:
            yield place, (keys + 1) // 2
