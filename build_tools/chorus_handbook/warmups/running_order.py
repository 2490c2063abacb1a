"""A warm-up or a routine reduced to the numbers that the checks need.

Times are in half-seconds, pitches are MIDI numbers, intervals are in semitones; all are whole
numbers, so that results do not depend on rounding. `planning` makes a running order; `clock` and
the checks read it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from chorus_handbook.entries.warm_up import Keep, Occasion
from chorus_handbook.records import planning_numbers
from chorus_handbook.source.names import as_name
from chorus_handbook.warmups.rotation import Status

#: A second and a minute, in half-seconds.
SECOND, MINUTE = planning_numbers.SECOND, planning_numbers.MINUTE


class VoiceRange(NamedTuple):
    """A voice's label, and its lowest and highest comfortable note as MIDI numbers."""

    label: str
    low: int
    high: int


@dataclass(frozen=True, slots=True)
class KeyReach:
    """What one voice sings in one key, as MIDI numbers. `lowest` and `highest` include notes that
    are hummed, trilled or glided over. `open_lowest` and `open_highest` include only notes sung
    with an open mouth and not glided over; None if there are none."""

    lowest: int
    highest: int
    open_lowest: int | None = None
    open_highest: int | None = None


@dataclass(frozen=True, slots=True)
class PlannedItem:
    """One item of a running order; times in half-seconds, intervals in semitones.

    length: how long it takes, with the talk in it. `singing`: the singing time of the voice that
        sings most. `sound`: for how long any music sounds.
    impact: how much effort it asks of the voice, from 1 (silent) to 5 (loud).
    level: how hard it is to learn, from 1 to 3. `status`: how well the chorus knows it.
    lines: the number of different lines that move. `unison`: whether everyone sings one line.
    leap: its widest leap. `span`: from its lowest to its highest note.
    phrase: its longest phrase.
    half_closed: whether it is hummed, trilled or blown through a straw.
    main_goal: the name of the first of its goals.
    breath_free: whether everyone breathes when they like, so that no phrase is too long. That is so
        if all its lines stay on one note, or if sharing the breath is one of its goals.
    from_above: whether everyone begins on their highest note. `active`: whether bodies move in it.
    parts: the names of the voices of each different line; a unison has one line. `there`: the
        voices that are there when it is sung.
    comment: what the author of the warm-up wrote about it: the variation and the note.
    at: if a later block begins with it, when, in half-seconds from the start; else None.
    families: the families of its goals. `unites`: whether it brings a chorus together, and so suits
        the end.
    formation: how the singers stand; empty if it does not matter. `as_they_stand`: whether it may
        as well be sung in the formation of the item before.
    keys: for each planned key, the names of the voices that are present and can sing it.
        `unsung_key`: the tonic of the first planned key that no voice present can sing; empty if
        there is none.
    weeks_running: in how many weeks in a row before this one it was sung.
    if_time: its rank among the items to leave out when time is short, 1 first; else None.
    keep: "opener" or "closer" if the chorus begins or ends every warm-up of a season with it; else
        None.
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
    main_goal: str = ""
    breath_free: bool = False
    from_above: bool = False
    active: bool = False
    parts: tuple[frozenset[str], ...] = ()
    there: frozenset[str] = frozenset()
    comment: str = ""
    at: int | None = None
    families: frozenset[str] = frozenset()
    unites: bool = False
    formation: str = ""
    as_they_stand: bool = False
    keys: tuple[Mapping[str, KeyReach], ...] = ()
    unsung_key: str = ""
    weeks_running: int = 0
    if_time: int | None = None
    keep: Keep | None = None

    def named(self, fact: str = "") -> str:
        """Its title in quotation marks for a message, with the name of its file, which authors
        edit, if the title does not say it, and a fact such as "impact 4"."""
        facts = [self.slug] if as_name(self.title) != self.slug else []
        facts += [fact] if fact else []
        return f'"{self.title}"' + (f" ({', '.join(facts)})" if facts else "")

    @property
    def effort_to_learn(self) -> int:
        """Its level; one lower once the chorus knows it, but never below 1."""
        return max(1, self.level - (self.status == "known"))


@dataclass(frozen=True, slots=True)
class RunningOrder:
    """The items of a warm-up or a routine, in order.

    occasion: the kind of warm-up; None for a routine.
    allowed: how long it may take, in half-seconds; None for a routine.
    voices: the label and the comfortable range of every voice, keyed by its name.
    music: the names of the goals of the piece that follows. `calm`: whether the piece has goals,
        and none of them is one of quick, lively or wide music.
    chord_follows: whether the first chord of a piece follows the last item.
    has_families: whether the vocabulary sorts goals into families.
    few: the names of the voices with one or two singers.
    arrivals: maps the name of each voice that comes late to when it arrives, in half-seconds from
        the start.
    join_in: the item (from 1) after which latecomers join in; None if the author does not say.
    """

    items: Sequence[PlannedItem]
    occasion: Occasion | None = "weekly"
    allowed: int | None = None
    voices: Mapping[str, VoiceRange] = field(default_factory=dict)
    music: frozenset[str] = frozenset()
    calm: bool = False
    chord_follows: bool = False
    has_families: bool = True
    few: frozenset[str] = frozenset()
    arrivals: Mapping[str, int] = field(default_factory=dict)
    join_in: int | None = None

    @property
    def blocks(self) -> list[list[PlannedItem]]:
        """The items in one list, or in several where a later block begins with `PlannedItem.at`."""
        blocks: list[list[PlannedItem]] = [[]]
        for item in self.items:
            if item.at is not None and blocks[-1]:
                blocks.append([])
            blocks[-1].append(item)
        return blocks

    def singing_before(self, index: int) -> int:
        """The singing time before the item at `index`, in half-seconds."""
        return sum(item.singing for item in self.items[:index])
