"""Puts into words which voices come late to a warm-up or leave early (its field `there`)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from chorus_handbook.catalogue import _, listed
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries.warm_up import WarmUpFields, read_there
from chorus_handbook.warmups import clock
from chorus_handbook.warmups.running_order import MINUTE


def presence(front: WarmUpFields, chorus: Chorus) -> list[str]:
    """Which voices come late or leave early: "Bass from 19:40", "Alto until 19:55"."""
    return [
        _from_until(_labels(name, chorus), *read_there(hours))
        for name, hours in front.there.items()
    ]


def joins_by_item(front: object, slots: Sequence[clock.Slot], chorus: Chorus) -> list[list[str]]:
    """For each item, phrases such as "Bass from 19:40" for the voices that have come or left since
    the item before began. `front` has the fields of the plan; a routine has no such phrases."""
    found: list[list[str]] = [[] for _slot in slots]
    if not isinstance(front, WarmUpFields):
        return found
    begins = [slot.begins // MINUTE for slot in slots]
    for name, hours in front.there.items():
        voices = _labels(name, chorus)
        first, last = read_there(hours)
        for place, now in enumerate(begins):
            before = begins[place - 1] if place else 0
            if first is not None and before < front.minutes_after_start(first) <= now:
                found[place].append(_from_until(voices, first, None))
            if last is not None and before < front.minutes_after_start(last) <= now:
                found[place].append(_from_until(voices, None, last))
    return found


def during(front: object, slot: clock.Slot, chorus: Chorus) -> Iterator[str]:
    """Phrases for the voices that are absent during an item or a part of it: "Bass from 19:38",
    "without Alto". `slot` says when the item begins and ends."""
    if not isinstance(front, WarmUpFields):
        return
    begins, ends = slot.begins / MINUTE, slot.ends / MINUTE
    after = front.minutes_after_start
    for name, hours in front.there.items():
        voices = _labels(name, chorus)
        first, last = read_there(hours)
        if first is not None and begins < after(first):
            yield _from_until(voices, first, None)
        elif last is not None and begins >= after(last):
            yield _("without {voices}", voices=voices)
        elif last is not None and ends > after(last):
            yield _from_until(voices, None, last)


def _labels(name: str, chorus: Chorus) -> str:
    return listed(chorus.voices[voice].label for voice in chorus.named(name) or ())


def _from_until(voices: str, first: int | None, last: int | None) -> str:
    begins = "" if first is None else clock.time_of_day(first, 0)
    ends = "" if last is None else clock.time_of_day(last, 0)
    if begins and ends:
        return _("{voices} from {begins} until {ends}", voices=voices, begins=begins, ends=ends)
    # Translators: Bass from 19:40
    if begins:
        return _("{voices} from {time}", voices=voices, time=begins)
    return _("{voices} until {time}", voices=voices, time=ends)
