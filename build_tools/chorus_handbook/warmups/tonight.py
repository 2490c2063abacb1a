"""A warm-up that can be changed on the evening itself, and all exercises that could be sung
instead.

`late` makes it shorter and `tired_voices` gentler; `swaps` finds what may take an item's place. All
of them change items as they are written in a file; `Tonight.order` makes the running order of the
changed items: their times, keys and voices. The browser has the same rules (`browser/tonight.js`).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from chorus_handbook.chorus.model import Chorus, Vocabulary
from chorus_handbook.entries.model import Text
from chorus_handbook.entries.warm_up import WarmUpFields, WarmUpItem
from chorus_handbook.records.planning_numbers import PlanningNumbers
from chorus_handbook.warmups import clock
from chorus_handbook.warmups.checks import findings
from chorus_handbook.warmups.key_choice import fewer, row_text
from chorus_handbook.warmups.planning import order_of, planned_item, planned_places
from chorus_handbook.warmups.rotation import KNOWN_WITHIN, Log
from chorus_handbook.warmups.running_order import RunningOrder, VoiceRange
from chorus_handbook.warmups.swaps import Candidate


@dataclass(frozen=True, slots=True)
class Tonight:
    """A warm-up with what is needed to plan it differently. `text` is the warm-up as it is written.
    `stock` has, keyed by slug, the planning numbers of all planned exercises and of those that
    could take their places. `log` has the days on which each was sung."""

    text: Text[WarmUpFields]
    stock: Mapping[str, PlanningNumbers]
    chorus: Chorus
    vocabulary: Vocabulary
    log: Log

    @property
    def items(self) -> tuple[WarmUpItem, ...]:
        """The items as they are written."""
        return tuple(self.text.front.items)

    @property
    def voices(self) -> Mapping[str, VoiceRange]:
        """The label and the comfortable range of each voice, keyed by its name."""
        return self.order(()).voices

    def order(self, items: Sequence[WarmUpItem], **fields: Any) -> RunningOrder:
        """The running order of the same warm-up with other items, and other values in `fields`."""
        front = self.text.front.model_copy(update={"items": [*items], **fields})
        text = Text(self.text.kind, self.text.source, self.text.title, front)
        return order_of(text, self.stock, self.chorus, self.vocabulary, self.log)

    def tonics(self, item: WarmUpItem) -> tuple[int, ...]:
        """The keys in which an item is sung, as the MIDI numbers of their tonics."""
        numbers = self.stock[item.exercise]
        return tuple(numbers.tonics[place] for place in planned_places(item, numbers))

    def candidates(self, items: Sequence[WarmUpItem], index: int) -> list[Candidate]:
        """Every exercise of `stock` as it would be planned in place of the item at `index` of
        `items`: in all its keys, or in as many as there is time for."""
        order = self.order(items)
        there, time = order.items[index].there, self.time_for(order, index)
        return [
            self.fitting(instead(items[index], slug), there, time) for slug in sorted(self.stock)
        ]

    def time_for(self, order: RunningOrder, index: int) -> int:
        """How long an item may take in place of the one at `index`, in half-seconds."""
        length = order.items[index].length
        return max(length, (order.allowed or 0) - clock.total(order.items) + length)

    def fitting(self, item: WarmUpItem, there: Iterable[str], time: int) -> Candidate:
        """`item` as a candidate for another item's place while the voices `there` are present. Its
        last keys are left out until it takes no longer than `time` half-seconds, or has few keys
        left."""
        candidate = self.candidate(item, there)
        while candidate.item.length > time:
            tonics = self.tonics(item)
            row = fewer(tonics)
            if row == tonics:
                break
            item = changed(item, keys=row_text(row, self.stock[item.exercise]))
            candidate = self.candidate(item, there)
        return candidate

    def candidate(self, item: WarmUpItem, there: Iterable[str]) -> Candidate:
        """`item` as a candidate for another item's place while the voices `there` are present."""
        numbers, day = self.stock[item.exercise], self.text.front.day.toordinal()
        days = self.log.before(item.exercise, day)
        return Candidate(
            planned_item(item, numbers, self.text.front, self.log, there),
            numbers.goals,
            moment=numbers.moment,
            seated=numbers.seated,
            quick=numbers.quick,
            keys=item.keys,
            outings=sum(day - sung <= KNOWN_WITHIN for sung in days),
            rested=day - days[-1] if days else None,
        )


def finding_codes(order: RunningOrder) -> set[tuple[str, str]]:
    """The codes of all that `checks` find in `order`, each with the slug of the exercise that it is
    about, or "" if it is about the whole warm-up. Because exercises are named and not places, a
    finding stays the same when items before it are left out."""
    return {
        (one.code, "" if one.item is None else order.items[one.item].slug)
        for one in findings(order)
    }


def join_in_among(join_in: int | None, places: Iterable[int]) -> int | None:
    """Where latecomers join in if only the items at `places` (from 0) of a plan are sung: after how
    many of these. In the whole plan they join in after `join_in` items. None if they begin with the
    others, or the plan does not say."""
    return sum(place < join_in for place in places) or None if join_in else None


def instead(item: WarmUpItem, slug: str) -> WarmUpItem:
    """The exercise `slug` in place of `item`. Who leads it, whether it may be left out, and when a
    later block begins with it stay the same."""
    return WarmUpItem(exercise=slug, by=item.by, if_time=item.if_time, at=item.at)


def changed(item: WarmUpItem, **fields: Any) -> WarmUpItem:
    """The item with other values in these fields."""
    return item.model_copy(update=fields)
