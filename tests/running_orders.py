"""Running orders made by hand, for tests of the rules of a warm-up."""

from __future__ import annotations

from dataclasses import replace

from chorus_handbook.warmups.checks import findings
from chorus_handbook.warmups.running_order import (
    MINUTE,
    SECOND,
    KeyReach,
    PlannedItem,
    RunningOrder,
    VoiceRange,
)

#: An item of two minutes, in which a voice sings for a minute and a half.
ITEM = PlannedItem("item", "Item", 3, 2 * MINUTE, 90 * SECOND, 100 * SECOND)

BODY = replace(ITEM, title="Body", impact=1, singing=0, sound=0, families=frozenset({"body"}))
TRILL = replace(ITEM, title="Trill", impact=2, unison=True, half_closed=True, leap=7, span=7)
HUM = replace(TRILL, title="Hum", families=frozenset({"breath", "sound"}))
UNISON = replace(ITEM, title="Unison", unison=True, lines=1, leap=4, span=7)
ARPEGGIO = replace(ITEM, title="Arpeggio", impact=4, unison=True, lines=1, leap=5, span=12)
RANGE = replace(ARPEGGIO, title="Range", families=frozenset({"reach"}))
CHORD = replace(ITEM, title="Chord", lines=4, families=frozenset({"ears"}), unites=True)
ROUND = replace(ITEM, title="Round", lines=3, is_round=True, families=frozenset({"ears"}))
BLEND = replace(UNISON, title="Blend", families=frozenset({"ears"}), unites=True)
TOGETHER = replace(BLEND, title="Together")
CALL = replace(ITEM, title="Call", impact=5, sound=40 * SECOND, singing=30 * SECOND)

#: A voice that is comfortable from C4 to F5.
VOICES = {"soprano": VoiceRange("Soprano", 60, 77)}


def order(*items: PlannedItem, **fields: object) -> RunningOrder:
    """A running order of half an hour."""
    whole = RunningOrder(items, allowed=30 * MINUTE, voices=VOICES)
    return replace(whole, **fields)  # type: ignore[arg-type]


def codes(*items: PlannedItem, **fields: object) -> list[str]:
    """The codes of all that is found in such an order."""
    return [finding.code for finding in findings(order(*items, **fields))]


def sings(lowest: int, highest: int, *, open_mouth: bool = True) -> tuple[dict[str, KeyReach], ...]:
    """One key in which the soprano sings so low and so high."""
    open_notes = (lowest, highest) if open_mouth else (None, None)
    return ({"soprano": KeyReach(lowest, highest, *open_notes)},)
