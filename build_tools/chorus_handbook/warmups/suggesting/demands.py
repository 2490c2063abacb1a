"""Says what an exercise demands of a chorus: whether it depends on a formation, is quiet, takes
weeks to learn, or needs a voice that is warm already. The other modules of `suggesting` use these
functions.
"""

from __future__ import annotations

from chorus_handbook.chorus.model import Vocabulary
from chorus_handbook.warmups.checks.join_in import HIGHEST_IMPACT, suits_latecomers
from chorus_handbook.warmups.running_order import KeyReach, PlannedItem

#: The formations, by their pictures, on which no exercise depends: in an arc, in a circle, in rows
#: or scattered it is sung much the same. Pairs, a square with a section on each side, and chairs
#: are part of an exercise. Source: common practice; which are which is our choice.
ANY_FORMATION = frozenset({"arc", "circle", "rows", "scattered"})
#: The picture of pairs, in which nobody hears a chord in parts as a whole (common practice).
PAIRS = "facing-pairs"
#: The highest impact and the highest level of an exercise with which a voice can begin to sing.
#: Source: common practice.
GENTLE_IMPACT, GENTLE_LEVEL = 2, 1
#: The impact of light singing.
LIGHT_IMPACT = 3
#: The level of an exercise that takes some weeks to learn.
HARD = 3


def depends_on_formation(formation: str | None, vocabulary: Vocabulary) -> bool:
    """Whether an exercise with this formation depends on it."""
    shown = vocabulary.formations.get(formation or "")
    return bool(shown and shown.diagram not in ANY_FORMATION)


def in_pairs(formation: str | None, vocabulary: Vocabulary) -> bool:
    """Whether everyone turns to a neighbour in this formation, for which nobody has to walk."""
    shown = vocabulary.formations.get(formation or "")
    return bool(shown and shown.diagram == PAIRS)


def is_quiet(item: PlannedItem) -> bool:
    """Whether an item is half-closed (a hum, a trill or a straw) or gentle, or needs no voice."""
    return item.half_closed or item.impact <= GENTLE_IMPACT


def is_open_line(item: PlannedItem) -> bool:
    """Whether everyone sings one line in an item with an open mouth, lightly at most."""
    opened = any(reach.open_highest is not None for key in item.keys for reach in key.values())
    return item.unison and opened and not item.half_closed and 1 < item.impact <= LIGHT_IMPACT


def in_parts_and_hard(item: PlannedItem) -> bool:
    """Whether an item has different lines for several voices and takes some weeks to learn."""
    return item.level == HARD and not item.unison and item.impact > 1


def sings(voice: str, item: PlannedItem) -> bool:
    """Whether a voice sings in an item. In an item without notes every voice does, unless it is
    silent."""
    return any(voice in key for key in item.keys) if item.keys else item.impact > 1


def begins_gently(voice: str, comfortable: tuple[int, int], item: PlannedItem) -> bool:
    """Whether a voice that has not sung yet can begin with an item: half-closed or gentle, learned
    at once, and within its comfortable range (two MIDI numbers). Source: common practice."""
    within = all(
        comfortable[0] <= reach.lowest and reach.highest <= comfortable[1]
        for reach in _reaches(voice, item)
    )
    return (
        is_quiet(item)
        and within
        and item.effort_to_learn <= GENTLE_LEVEL
        and suits_latecomers(item)
    )


def asks_much(voice: str, comfortable: tuple[int, int], item: PlannedItem, *, quick: bool) -> bool:
    """Whether an item is quick, strong, high or hard for a voice that has only just begun."""
    high = any((reach.open_highest or 0) > comfortable[1] for reach in _reaches(voice, item))
    return quick or high or item.impact > HIGHEST_IMPACT or item.level == HARD


def _reaches(voice: str, item: PlannedItem) -> list[KeyReach]:
    """What a voice sings in each of an item's keys in which it sings."""
    return [key[voice] for key in item.keys if voice in key]
