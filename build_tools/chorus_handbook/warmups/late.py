"""Makes a warm-up fit into less time: it starts late, and its build-up stays the same.

The steps are taken in this order, and only as far as needed:

- items that are sung only if there is time are left out, in the order that their author gave them
- nothing is taught, so each item takes only the time that it takes once it is known
- the longest items are sung in fewer keys
- further items are left out, first the new ones, then those that are known least, but never the
  last item and none that stays for a season

No step is taken that would make `checks` find anything that they did not find before: what makes
the build-up safe stays. The order of the steps is our choice. The browser has the same rule
(`browser/late.js`); change them together (`tests/browser/test_tonight_rules.py`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from chorus_handbook.entries.warm_up import WarmUpItem
from chorus_handbook.warmups import clock
from chorus_handbook.warmups.key_choice import fewer, row_text
from chorus_handbook.warmups.planning import known_length
from chorus_handbook.warmups.running_order import MINUTE
from chorus_handbook.warmups.tonight import Tonight, changed, finding_codes

#: The statuses of items, in the order in which items are left out.
_LEFT_OUT_FIRST = ("new", "resting", "settling", "known")
#: How many items a warm-up keeps at least (our choice).
_FEWEST_ITEMS = 2
#: Minutes in a file are rounded up to this part of a minute, in half-seconds.
_QUARTER = MINUTE // 4

#: The places of items in the plan, from 0, and what is sung of each.
Items = dict[int, WarmUpItem]


@dataclass(frozen=True, slots=True)
class Shortened:
    """A warm-up made shorter. `items`: what is sung, by the place in the plan. `left_out`: the
    places of items that are not, in the order in which they were left out. `over`: by how many
    half-seconds it still is too long; 0 if it fits."""

    items: Items
    left_out: tuple[int, ...]
    over: int


def shorten(tonight: Tonight, time: int) -> Shortened:
    """The warm-up in `time` half-seconds, or as near to it as is safe."""
    return _Shortening(tonight, time).result()


class _Shortening:
    def __init__(self, tonight: Tonight, time: int) -> None:
        self.tonight, self.time = tonight, time
        self.codes_before = finding_codes(tonight.order(tonight.items))

    def result(self) -> Shortened:
        items = dict(enumerate(self.tonight.items))
        items = self._without(items, self._optional())
        items = self._known(items)
        while True:
            short = self._in_fewer_keys(items)
            if self._over(short) <= 0:
                break
            rest = self._without_one(items)
            if rest is None:
                break
            items = rest
        left_out = [place for place in self._left_out_order() if place not in short]
        return Shortened(short, tuple(left_out), max(0, self._over(short)))

    def _over(self, items: Items) -> int:
        return clock.total(self.tonight.order([*items.values()]).items) - self.time

    def _safe(self, items: Items) -> bool:
        return finding_codes(self.tonight.order([*items.values()])) <= self.codes_before

    def _optional(self) -> list[int]:
        return clock.cut_order(self.tonight.order(self.tonight.items).items)

    def _without(self, items: Items, places: Sequence[int]) -> Items:
        """The items without as many of those at `places` as must go."""
        for place in places:
            rest = {other: item for other, item in items.items() if other != place}
            if self._over(items) > 0 and len(rest) >= _FEWEST_ITEMS and self._safe(rest):
                items = rest
        return items

    def _without_one(self, items: Items) -> Items | None:
        """The items without the one that is needed least; None if all are needed."""
        for place in self._left_out_order():
            rest = {other: item for other, item in items.items() if other != place}
            may_go = place in items and self._may_go(place) and len(rest) >= _FEWEST_ITEMS
            if may_go and self._safe(rest):
                return rest
        return None

    def _may_go(self, place: int) -> bool:
        last = place == len(self.tonight.items) - 1
        return not last and self.tonight.items[place].keep is None

    def _left_out_order(self) -> list[int]:
        """All places: first those that are sung only if there is time, then the others, beginning
        with the one that is needed least."""
        optional = self._optional()
        planned = self.tonight.order(self.tonight.items).items
        others = [place for place in range(len(planned)) if place not in optional]
        others.sort(
            key=lambda place: (
                _LEFT_OUT_FIRST.index(planned[place].status),
                -planned[place].length,
                -place,
            )
        )
        return [*optional, *others]

    def _known(self, items: Items) -> Items:
        """The items, each with the time that it takes once it is known, if that is shorter."""
        for place, item in items.items():
            known = self._with_known_time(item)
            if self._over(items) > 0 and self._length(known) < self._length(item):
                short = items | {place: known}
                if self._safe(short):
                    items = short
        return items

    def _with_known_time(self, item: WarmUpItem) -> WarmUpItem:
        time = known_length(item, self.tonight.stock[item.exercise])
        quarters = -(-time // _QUARTER)  # rounded up
        return changed(item, minutes=quarters / 4)

    def _length(self, item: WarmUpItem) -> int:
        return self.tonight.order([item]).items[0].length

    def _in_fewer_keys(self, items: Items) -> Items:
        """The items with keys left out of the longest, one after another."""
        stuck: set[int] = set()
        while self._over(items) > 0:
            place = next((place for place in self._longest(items) if place not in stuck), None)
            if place is None:
                break
            shorter = self._in_one_key_fewer(items[place])
            short = None if shorter is None else items | {place: shorter}
            if short is None or not self._safe(short):
                stuck.add(place)
            else:
                items = short
        return items

    def _longest(self, items: Items) -> Iterator[int]:
        lengths = {place: self._length(item) for place, item in items.items()}
        yield from sorted(items, key=lambda place: (-lengths[place], -place))

    def _in_one_key_fewer(self, item: WarmUpItem) -> WarmUpItem | None:
        """The item in one key fewer (in two, if they go there and back); None if it has few keys,
        or takes as long all the same."""
        tonics = self.tonight.tonics(item)
        row = fewer(tonics)
        if row == tonics:
            return None
        short = changed(item, keys=row_text(row, self.tonight.stock[item.exercise]))
        if item.minutes is not None:
            short = self._with_known_time(short)
        return short if self._length(short) < self._length(item) else None
