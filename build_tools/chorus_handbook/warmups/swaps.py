"""Finds exercises that could take the place of an item, and says why each of them could.

An exercise may take an item's place if it has the item's main goal among its own, is meant for the
same moment of a warm-up, has about the same impact, and is sung by every voice that sings in the
item. It must do in the build-up what the item does (`_keeps_its_place`). The warm-up must not run
over its time (if it did so already, it must get no longer), and `checks` must find nothing new, so
that it builds up as well as before.

Notices about new items are not counted, because a chorus with a short log has little that is not
new. Instead, exercises that are new come after all others, and never on a concert day or with level
3. Apart from that, the exercises with the strongest reasons come first. The strength of a reason is
our choice. Everything is a whole number, and the browser has the same rule (`browser/swaps.js`);
change them together (`tests/browser/test_tonight_rules.py`). Reasons become phrases in
`pages/swap_words.py` and `browser/tonight_words.js`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal, NamedTuple

from chorus_handbook.shared_facts import FACTS
from chorus_handbook.warmups.checks import findings
from chorus_handbook.warmups.clock import BETWEEN, timetable, total
from chorus_handbook.warmups.rotation import WEEK, WINDOW
from chorus_handbook.warmups.running_order import PlannedItem, RunningOrder

#: What a director may ask of a swap. "without": that it can be sung without a voice that is absent;
#: the warm-up and the candidates are then planned for the voices that are present.
Wish = Literal["easier", "shorter", "seated", "without", "gentler", "rested"]
#: The reasons for a swap. `Reason` explains the number that belongs to each.
ReasonCode = (
    Wish
    | Literal[
        "half-closed",
        "music",
        "goal",
        "also-goal",
        "second",
        "third",
        "known",
        "stay",
        "everyone",
        "time",
    ]
)

_RULE = FACTS["swaps"]
#: How many swaps are found at most, and how many reasons for each.
MOST, REASONS = _RULE["most"], _RULE["reasons"]
#: The strength of each reason; 0 for one that counts only if it is asked for.
_STRENGTHS: Mapping[str, int] = _RULE["strengths"]
#: By how many levels of impact a swap may differ, and how many it may be lower for the wish
#: "gentler".
_IMPACT, _GENTLER = _RULE["impact"], _RULE["gentler"]

#: The code of the finding that a warm-up has too many new items.
_TOO_NEW = "warmup-new"
#: The highest impact of quiet sound, and how many items at the end lead into the music.
_QUIET, _LEADING = 2, 2
#: The level of an exercise that takes some weeks to learn.
_HARD = 3


class Reason(NamedTuple):
    """Why an exercise could take an item's place: a code, and a number whose meaning depends on it.

    "shorter": by how many half-seconds it is shorter; "time": its length in half-seconds;
    "easier": its level, one lower once it is known; "gentler": its impact; "rested": how many weeks
    ago it was last sung; "stay": how many fewer changes of formation the warm-up has; "everyone":
    how many more voices sing. For other codes it is 0.
    """

    code: ReasonCode
    number: int = 0


@dataclass(frozen=True, slots=True)
class Candidate:
    """An exercise as it would be planned in an item's place, or the item itself.

    item: planned for the voices that are there at that time.
    goals: the names of its goals, the main goal first. `moment`: when in a warm-up it is meant for
        ("opening"); empty if it does not matter.
    seated: whether it is, or can be, sung seated. `quick`: whether it is quick, lively or wide.
    outings: on how many days it was sung lately, in the time in which an exercise counts as known
        (`rotation.KNOWN_WITHIN`). `rested`: how many days before the warm-up it was last sung; None
        if it never was.
    keys: the keys that are planned, as a file has them; None for all of them.
    """

    item: PlannedItem
    goals: tuple[str, ...]
    moment: str = ""
    seated: bool = False
    quick: bool = False
    outings: int = 0
    rested: int | None = None
    keys: str | None = None


@dataclass(frozen=True, slots=True)
class Swap:
    """An exercise that could take an item's place, as it would be planned, with its reasons, the
    strongest first. `keys`: as in `Candidate`."""

    item: PlannedItem
    reasons: tuple[Reason, ...]
    keys: str | None = None


def swaps(
    order: RunningOrder,
    place: int,
    own: Candidate,
    candidates: Sequence[Candidate],
    wish: Wish | None = None,
) -> list[Swap]:
    """The best swaps for the item at `place` (from 0), which is `own`, the best first; if there
    is a wish, only those that grant it. Empty if nothing fits."""
    planned = {item.slug for item in order.items}
    before = _finding_codes(order)
    ranked: list[tuple[bool, int, int, str, Swap]] = []
    for other in candidates:
        if other.item.slug in planned or not _has_same_aim(order, place, own, other, wish):
            continue
        items = [*order.items[:place], other.item, *order.items[place + 1 :]]
        changed = replace(order, items=items)
        if not _fits(order, changed) or not _finding_codes(changed) <= before:
            continue
        weighed = sorted(_weighed(order, changed, own, other, wish))[:REASONS]
        if wish and not weighed[0].wished:
            continue
        strength = sum(_STRENGTHS[one.reason.code] for one in weighed)
        swap = Swap(other.item, tuple(one.reason for one in weighed), other.keys)
        new = other.item.status == "new"
        ranked.append((new, -strength, _distance(own.item, other.item), other.item.slug, swap))
    return [swap for *_, swap in sorted(ranked, key=lambda one: one[:4])[:MOST]]


def _finding_codes(order: RunningOrder) -> set[tuple[str, int | None]]:
    """The codes of all findings with the places of their items, without those about new items."""
    return {(one.code, one.item) for one in findings(order) if one.code != _TOO_NEW}


def _has_same_aim(
    order: RunningOrder, place: int, own: Candidate, other: Candidate, wish: Wish | None
) -> bool:
    """Whether another exercise serves the same purpose at this place."""
    last = place == len(order.items) - 1
    higher = other.item.impact - own.item.impact
    gentler = wish == "gentler" and -_GENTLER <= higher <= 0
    singers = _singers(other.item)
    new = other.item.status == "new"
    return (
        own.item.main_goal in other.goals
        and (abs(higher) <= _IMPACT or gentler)
        and _keeps_its_place(order, place, own, other, wish)
        and other.moment in ("", "middle", own.moment, _moment_of(place, last=last))
        and (other.item.unites or not (last and own.item.unites))
        and (not other.item.keys or _singers(own.item) <= singers)
        and not other.item.unsung_key
        and not (new and (order.occasion == "concert" or other.item.level == _HARD))
    )


def _keeps_its_place(
    order: RunningOrder, place: int, own: Candidate, other: Candidate, wish: Wish | None
) -> bool:
    """Whether another exercise does in the build-up what the item does: it is sung if the item is;
    what is quiet while nothing louder has been sung stays quiet; the last item and a later block
    get no stronger; among the last two, what serves the music that follows serves it still; and
    nothing quick comes before calm music. For the wish "gentler" a silent exercise will do."""
    items, impact = order.items, other.item.impact
    sung = (impact == 1) == (own.item.impact == 1) or wish == "gentler"
    loud_before = any(_QUIET < item.impact for item in items[:place])
    quiet = loud_before or own.item.impact > _QUIET or is_quiet(other.item)
    ends = place == len(items) - 1 or any(item.at is not None for item in items[: place + 1])
    stronger = ends and impact > own.item.impact
    leads_in = place >= len(items) - _LEADING and bool(order.music & {*own.goals})
    serves = not leads_in or bool(order.music & {*other.goals})
    quick = order.calm and other.quick and impact > 1 and not own.quick
    return sung and quiet and serves and not (stronger or quick)


def is_quiet(item: PlannedItem) -> bool:
    """Whether an item is half-closed or gentle, or needs no voice."""
    return item.half_closed or item.impact <= _QUIET


def _moment_of(place: int, *, last: bool) -> str:
    """The moment of a warm-up that the item at `place` belongs to; empty in the middle."""
    return "opening" if place == 0 else "closing" if last else ""


def _singers(item: PlannedItem) -> set[str]:
    """The voices that sing in at least one of its keys."""
    return {voice for key in item.keys for voice in key}


def _fits(order: RunningOrder, changed: RunningOrder) -> bool:
    """Whether a changed order keeps to the time allowed, or gets no longer if it cannot."""
    time = total(changed.items)
    return order.allowed is None or time <= max(order.allowed, total(order.items))


class _Weighed(NamedTuple):
    """A reason with its sort keys: reasons that were asked for come first, then the strongest, then
    those that are first in the table of strengths. `weakness` is the strength, negative."""

    unasked: bool
    weakness: int
    rank: int
    reason: Reason

    @property
    def wished(self) -> bool:
        return not self.unasked


def _weighed(
    order: RunningOrder,
    changed: RunningOrder,
    own: Candidate,
    other: Candidate,
    wish: Wish | None,
) -> Iterator[_Weighed]:
    """The reasons to show for a swap: those that were asked for, those with a strength, and
    "time"."""
    ranks = {code: rank for rank, code in enumerate(_STRENGTHS)}
    for reason in _reasons(order, changed, own, other):
        code = reason.code
        wished = code == wish or (wish == "gentler" and code == "half-closed")
        if wished or _STRENGTHS[code] or code == "time":
            yield _Weighed(not wished, -_STRENGTHS[code], ranks[code], reason)


def _reasons(
    order: RunningOrder, changed: RunningOrder, own: Candidate, other: Candidate
) -> Iterator[Reason]:
    """All reasons that are true."""
    yield from _reasons_to_prefer(own.item, other.item)
    yield from _reasons_of_the_log(own, other)
    if order.music & {*other.goals}:
        yield Reason("music")
    if other.seated:
        yield Reason("seated")
    fewer = _moves(order) - _moves(changed)
    if fewer > 0:
        yield Reason("stay", fewer)
    yield Reason("time", other.item.length)  # true of any swap, so there is always a reason


def _reasons_to_prefer(before: PlannedItem, after: PlannedItem) -> Iterator[Reason]:
    """The reasons that compare what two items ask of singers."""
    if after.effort_to_learn < before.effort_to_learn:
        yield Reason("easier", after.effort_to_learn)
    if before.length - after.length >= BETWEEN:
        yield Reason("shorter", before.length - after.length)
    if not after.keys or all(part & after.there for part in after.parts):
        yield Reason("without")
    if after.impact < before.impact:
        yield Reason("gentler", after.impact)
    if after.half_closed and not before.half_closed:
        yield Reason("half-closed")
    yield Reason("goal" if after.main_goal == before.main_goal else "also-goal")
    more = len(_singers(after) - _singers(before))
    if before.keys and more:
        yield Reason("everyone", more)


def _reasons_of_the_log(own: Candidate, other: Candidate) -> Iterator[Reason]:
    """The reasons about how well the chorus knows an exercise. The second and the third time it
    is sung are what makes it known."""
    status = other.item.status
    if other.rested is not None and other.rested >= WINDOW:
        yield Reason("rested", other.rested // WEEK)
    if status == "settling" and other.outings in (1, 2):
        yield Reason("second" if other.outings == 1 else "third")
    if status == "known" and own.item.status != "known":
        yield Reason("known")


def _moves(order: RunningOrder) -> int:
    """How often the formation changes."""
    return sum(slot.moves for slot in timetable(order.items))


def _distance(own: PlannedItem, other: PlannedItem) -> int:
    """How much an exercise differs from another. A level of impact counts as much as a minute, a
    level of difficulty as half of one (our choice)."""
    weights: Mapping[str, int] = _RULE["distance"]
    return (
        weights["impact"] * abs(own.impact - other.impact)
        + weights["level"] * abs(own.effort_to_learn - other.effort_to_learn)
        + abs(own.length - other.length) // BETWEEN
    )
