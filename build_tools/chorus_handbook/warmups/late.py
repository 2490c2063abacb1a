"""Makes a warm-up fit into less time, because it starts late, without harm to its build-up.

The steps are taken in this order, and only as far as needed:

- items that are sung only if there is time are left out, in the order that their author gave them
- nothing is taught, so each item takes only the time that it takes once it is known
- the longest items are sung in fewer keys
- further items are left out: first those with no goal of the music that follows, then those that
  have one among others, then those that are mainly for one; among these first what is new or has
  rested, and last what the chorus is still learning by repetition

For tired voices what is sung on a half-closed sound is spared: all that is sung with an open mouth
goes before it, whatever else is said above.

At last, what was left out and would fit after all, because something longer went later, is taken
back, except for items that are sung only if there is time.

These are never among the further items: the last one, one that stays for a season, a first one
for body or breath, and the quiet sound with which the voices begin. A later block begins at its
own time, however late the first began, so it stays as planned, and the first is shortened instead.

No step is taken after which `checks` would find anything that they did not find before, so the
build-up stays as safe as it was. Source of what stays: common practice; the order of the steps is
our choice. The browser has the same rule (`browser/late.js`); change them together
(`tests/browser/test_tonight_rules.py`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from chorus_handbook.entries.warm_up import WarmUpItem
from chorus_handbook.warmups import clock
from chorus_handbook.warmups.checks.body import wakes
from chorus_handbook.warmups.checks.close import check_close
from chorus_handbook.warmups.key_choice import fewer, row_text
from chorus_handbook.warmups.planning import known_length
from chorus_handbook.warmups.running_order import MINUTE, RunningOrder
from chorus_handbook.warmups.swaps import is_quiet
from chorus_handbook.warmups.tonight import Tonight, changed, finding_codes, join_in_among

#: The statuses of items, in the order in which items are left out.
_LEFT_OUT_FIRST = ("new", "resting", "known", "settling")
#: How many items a warm-up, or its first block, keeps at least (our choice).
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
    still too long; 0 if it fits. `join_in`: after how many of the items latecomers join in; None if
    the plan does not say, or they begin with the others."""

    items: Items
    left_out: tuple[int, ...]
    over: int
    join_in: int | None


def shorten(tonight: Tonight, time: int, *, gentle: bool = False) -> Shortened:
    """The warm-up in `time` half-seconds, or as near to it as is safe. `gentle`: for tired voices,
    so that items on half-closed sounds stay longest."""
    return _Shortening(tonight, time, gentle).result()


def _harm(order: RunningOrder) -> set[tuple[str, str]]:
    """What `checks` find (`finding_codes`), and how a first block ends if another follows: no
    check asks that, but after a late start it must not end on full singing instead of a close."""
    codes = finding_codes(order)
    if len(order.blocks) > 1:
        first = replace(order, items=order.blocks[0], chord_follows=False)
        codes |= {(one.code, f"first block: {first.items[-1].slug}") for one in check_close(first)}
    return codes


class _Shortening:
    """Shortens one warm-up to `time` half-seconds."""

    def __init__(self, tonight: Tonight, time: int, gentle: bool) -> None:
        self.tonight, self.time, self.gentle = tonight, time, gentle
        self.planned = tonight.order(tonight.items)
        self.first_block = len(self.planned.blocks[0])  # how many items it has
        late = max(0, round(tonight.text.front.minutes * MINUTE) - time)
        self.starts = clock.time_of_day(tonight.text.front.begins, late)
        begun_late = tonight.order(tonight.items, starts=self.starts)
        self.harm_before = _harm(self.planned) | _harm(begun_late)
        self.quiet_at_first = self._begins_quietly(range(len(tonight.items)))

    def result(self) -> Shortened:
        """The warm-up after as many steps as are needed and safe."""
        items = dict(enumerate(self.tonight.items))
        items = self._without(items, self._optional())
        items = whole = self._known(items)
        short = self._in_fewer_keys(items)
        while self._over(short) > 0 and (rest := self._without_one(items)) is not None:
            items, short = rest, self._in_fewer_keys(rest)
        for place in reversed(self._left_out_order()):
            if place in whole and place not in short:
                more = {p: item for p, item in whole.items() if p == place or p in short}
                with_it = self._in_fewer_keys(more)
                if self._over(with_it) <= 0 and self._safe(with_it):
                    short = with_it
        left_out = [place for place in self._left_out_order() if place not in short]
        return Shortened(short, tuple(left_out), max(0, self._over(short)), self._join_in(short))

    def _over(self, items: Items) -> int:
        """By how many half-seconds the items take too long; negative if there is time left."""
        return clock.total(self.tonight.order([*items.values()]).items) - self.time

    def _safe(self, items: Items) -> bool:
        """Whether the items, begun late, have no harm (`_harm`) that the plan had not. Voices come
        and go when they would, so a section that comes late misses less."""
        join_in = self._join_in(items)
        order = self.tonight.order([*items.values()], starts=self.starts, join_in=join_in)
        return _harm(order) <= self.harm_before

    def _join_in(self, items: Items) -> int | None:
        """After how many of these items latecomers join in."""
        return join_in_among(self.tonight.text.front.join_in, items)

    def _optional(self) -> list[int]:
        """The places of the items of the first block that are sung only if there is time, the first
        to go first."""
        return [place for place in self._cut_order() if not self._spared(place)]

    def _cut_order(self) -> list[int]:
        """The same with those that are spared."""
        cut = clock.cut_order(self.planned.items)
        return [place for place in cut if place < self.first_block]

    def _spared(self, place: int) -> bool:
        """Whether an item stays longer than others because it is gentle to tired voices."""
        return self.gentle and self.planned.items[place].half_closed

    def _enough(self, items: Items) -> bool:
        """Whether enough items of the first block are left."""
        return sum(place < self.first_block for place in items) >= _FEWEST_ITEMS

    def _begins_quietly(self, places: Iterable[int]) -> bool:
        """Whether the first of the planned items at `places` that needs a voice is quiet."""
        sung = (self.planned.items[place] for place in places)
        return next((is_quiet(item) for item in sung if item.impact > 1), False)

    def _without(self, items: Items, places: Sequence[int]) -> Items:
        """The items without as many of those at `places` as must go."""
        for place in places:
            rest = {other: item for other, item in items.items() if other != place}
            if self._over(items) > 0 and self._enough(rest) and self._safe(rest):
                items = rest
        return items

    def _without_one(self, items: Items) -> Items | None:
        """The items without the one that is needed least; None if all are needed."""
        for place in self._left_out_order():
            rest = {other: item for other, item in items.items() if other != place}
            may_go = place in items and self._may_go(place) and self._enough(rest)
            quiet = self._begins_quietly(rest) or not self.quiet_at_first
            if may_go and quiet and self._safe(rest):
                return rest
        return None

    def _may_go(self, place: int) -> bool:
        """Whether an item of the first block may be left out: not its last, nor an opener or closer
        of the season, nor what wakes body or breath at the beginning."""
        last = place == self.first_block - 1
        opens = place == 0 and wakes(self.planned.items[place])
        return not (last or opens) and self.tonight.items[place].keep is None

    def _left_out_order(self) -> list[int]:
        """The places of the first block: first those that are sung only if there is time, then the
        others, beginning with the one that is needed least."""
        optional, planned, cut = self._optional(), self.planned.items, self._cut_order()
        others = [place for place in range(self.first_block) if place not in optional]
        others.sort(
            key=lambda place: (
                self._spared(place),
                cut.index(place) if place in cut else len(cut),
                self._for_the_music(place),
                _LEFT_OUT_FIRST.index(planned[place].status),
                -planned[place].length,
                -place,
            )
        )
        return [*optional, *others]

    def _for_the_music(self, place: int) -> int:
        """2 if an item is mainly for a goal of the music that follows, 1 if it has one among its
        other goals, else 0."""
        numbers, music = self.tonight.stock[self.planned.items[place].slug], self.planned.music
        return bool(music & {*numbers.goals}) + (numbers.main_goal in music)

    def _known(self, items: Items) -> Items:
        """The items, those of the first block with the time that each takes once it is known, if
        that is shorter and still needed."""
        for place, item in [*items.items()]:
            if place >= self.first_block:
                break
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
        """The items, with keys left out of whichever of the first block is longest until they fit
        or none can be shortened."""
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
        """The places of the items of the first block, that of the longest item first."""
        lengths = {p: self._length(item) for p, item in items.items() if p < self.first_block}
        yield from sorted(lengths, key=lambda place: (-lengths[place], -place))

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
