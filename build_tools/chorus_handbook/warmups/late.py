"""Makes a warm-up fit into less time, because it starts late, without harm to its build-up.

The steps are taken in this order, and only as far as needed:

- items that are sung only if there is time are left out, in the order that their author gave them
- nothing is taught, so each item takes only the time that it takes once it is known
- the longest items are sung in fewer keys
- further items are left out, first the new ones, then those that are known least, but never the
  last item and none that stays for a season

No step is taken after which `checks` would find anything that they did not find before, so the
build-up stays as safe as it was. The order of the steps is our choice. The browser has the same
rule (`browser/late.js`); change them together (`tests/browser/test_tonight_rules.py`).
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
#: The minutes of an item are rounded up to a multiple of this, in half-seconds.
_QUARTER = MINUTE // 4

#: The items that are sung, each by its place in the plan (from 0), which stays the same when other
#: items are left out.
Items = dict[int, WarmUpItem]


@dataclass(frozen=True, slots=True)
class Shortened:
    """A warm-up made shorter. `items`: what is sung. `left_out`: the places of the items that are
    not, in the order in which they were left out. `over`: by how many half-seconds the warm-up is
    still too long; 0 if it fits."""

    items: Items
    left_out: tuple[int, ...]
    over: int


def shorten(tonight: Tonight, time: int) -> Shortened:
    """The warm-up in `time` half-seconds, or as near to it as is safe."""
    return _Shortening(tonight, time).result()


class _Shortening:
    """Shortens one warm-up to `time` half-seconds."""

    def __init__(self, tonight: Tonight, time: int) -> None:
        self.tonight, self.time = tonight, time
        self.codes_before = finding_codes(tonight.order(tonight.items))

    def result(self) -> Shortened:
        """The warm-up after as many steps as are needed and safe."""
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
        """By how many half-seconds the items take too long; negative if there is time left."""
        return clock.total(self.tonight.order([*items.values()]).items) - self.time

    def _safe(self, items: Items) -> bool:
        """Whether `checks` find nothing in these items that they did not find in the plan."""
        return finding_codes(self.tonight.order([*items.values()])) <= self.codes_before

    def _optional(self) -> list[int]:
        """The places of the items that are sung only if there is time, the first to go first."""
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
        """Whether an item may be left out: not the last, nor an opener or closer of the season."""
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
        """The items, each with the time that it takes once it is known, if that is shorter and
        still needed."""
        for place, item in items.items():
            known = self._with_known_time(item)
            if self._over(items) > 0 and self._length(known) < self._length(item):
                short = items | {place: known}
                if self._safe(short):
                    items = short
        return items

    def _with_known_time(self, item: WarmUpItem) -> WarmUpItem:
        """The item with the minutes that it takes once it is known."""
        time = known_length(item, self.tonight.stock[item.exercise])
        quarters = -(-time // _QUARTER)  # rounded up
        return changed(item, minutes=quarters / 4)

    def _length(self, item: WarmUpItem) -> int:
        """How long an item takes, in half-seconds."""
        return self.tonight.order([item]).items[0].length

    def _in_fewer_keys(self, items: Items) -> Items:
        """The items, with keys left out of whichever is longest until they fit or none can be
        shortened."""
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
        """The places of the items, that of the longest item first."""
        lengths = {place: self._length(item) for place, item in items.items()}
        yield from sorted(items, key=lambda place: (-lengths[place], -place))

    def _in_one_key_fewer(self, item: WarmUpItem) -> WarmUpItem | None:
        """The item in one key fewer (in two, if the keys go there and back); None if it has few
        keys, or would take as long without them."""
        tonics = self.tonight.tonics(item)
        row = fewer(tonics)
        if row == tonics:
            return None
        short = changed(item, keys=row_text(row, self.tonight.stock[item.exercise]))
        if item.minutes is not None:
            short = self._with_known_time(short)
        return short if self._length(short) < self._length(item) else None
