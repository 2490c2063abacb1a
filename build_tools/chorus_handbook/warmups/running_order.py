"""A warm-up or a routine as its rules read it: whole numbers, and nothing else of the exercises.

Times are half-seconds, pitches MIDI numbers, sizes semitones, days as `date.toordinal` counts them.
`planning` makes one; `clock` and the checks read it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from chorus_handbook.entries.warm_up import Keep, Occasion
from chorus_handbook.warmups.rotation import Status

HALF_SECONDS = 2  # in a second
MINUTE = 60 * HALF_SECONDS


@dataclass(frozen=True, slots=True)
class KeyReach:
    """The lowest and highest note that a voice reaches in one key in any manner, which prepares it
    for higher and lower ones; and `open_lowest`, `open_highest`, what of it is sung with an open
    mouth and not glided over: None where all is hummed, trilled or glided."""

    lowest: int
    highest: int
    open_lowest: int | None = None
    open_highest: int | None = None


@dataclass(frozen=True, slots=True)
class PlannedItem:
    """One item of a running order.

    `length` is what it takes on the clock, `sound` for how long anything sounds in it, `singing`
    for how long a voice does. `lines` is the number of different lines that move, `unison` whether
    everyone sings one line. `families` are those of its goals, `unites` whether it brings a chorus
    together at the end. `half_closed`: hummed, trilled, blown through a straw. `keys` are the
    planned keys, each with the voices that can sing it; `nobody_in` names one that nobody present
    can. `weeks_running`: in how many weeks before this one it was sung without a gap.
    """

    slug: str
    title: str
    impact: int
    length: int
    singing: int = 0
    sound: int = 0
    level: int = 1
    status: Status = "known"
    lines: int = 0
    unison: bool = False
    leap: int = 0
    span: int = 0
    phrase: int = 0
    half_closed: bool = False
    is_round: bool = False
    tunes: bool = False
    families: frozenset[str] = frozenset()
    unites: bool = False
    formation: str = ""
    keys: tuple[Mapping[str, KeyReach], ...] = ()
    nobody_in: str = ""
    weeks_running: int = 0
    if_time: int | None = None
    keep: Keep | None = None


@dataclass(frozen=True, slots=True)
class RunningOrder:
    """The items in their order. `occasion` is None for a routine; `minutes`, in half-seconds, is
    how long it may take, None where nobody says. `comfortable` is the range of every voice, by
    name, with its label. `chord_follows`: it leads into a piece's first chord. `has_families`:
    whether the vocabulary sorts goals into families."""

    items: Sequence[PlannedItem]
    occasion: Occasion | None = "weekly"
    minutes: int | None = None
    comfortable: Mapping[str, tuple[str, int, int]] = field(default_factory=dict)
    chord_follows: bool = False
    has_families: bool = True

    def singing_before(self, index: int) -> int:
        """For how long a voice has sounded before an item."""
        return sum(item.singing for item in self.items[:index])


@dataclass(frozen=True, slots=True)
class Finding:
    """What a check has found: its code, the item it belongs to (None: the whole), the field of that
    item, what is wrong with the amount, and what would cure it."""

    code: str
    item: int | None
    message: str
    hint: str
    field: str = "exercise"

    def place_in(self) -> tuple[str | int, ...]:
        """Where it belongs in the file's fields."""
        return (self.field,) if self.item is None else ("items", self.item, self.field)
