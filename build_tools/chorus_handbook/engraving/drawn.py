"""Notes, while an engraver's drawing is read, what of the document is in it and where its measures
lie."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from html import unescape

#: Where one measure lies: its system, counted from 0, and its left and right edge in units.
Extent = tuple[int, float, float]

#: What may begin the music of a measure, and the meter before it.
_MUSIC, _METER = frozenset(("notehead", "rest", "mRest", "multiRest")), "meterSig"
BEGINNINGS = _MUSIC | {_METER}
#: Classes of groups that are noted.
NOTED = frozenset(("note", "measure", "staff", "syl"))
_GROUPS = re.compile(r"<g(?=[ />])[^>]*?(/?)>|</g>")
_GROUP = re.compile(r'<g (?:id="([^"]*)" )?class="(note|staff|syl)[ "][^>]*>')
_TAG = re.compile(r"<[^>]*>")


@dataclass(slots=True)
class Drawn:
    """The ids of the drawn `notes` and measures, the texts of the `syllables`, how many `staves`
    there are in all measures together, and where the `measures` lie."""

    notes: list[str] = field(default_factory=list)
    measure_ids: list[str] = field(default_factory=list)
    syllables: list[str] = field(default_factory=list)
    staves: int = 0
    measures: list[Extent] = field(default_factory=list)
    _begins: dict[bool, list[float]] = field(default_factory=lambda: {True: [], False: []})

    def group(self, kind: str, name: str) -> None:
        """A group of this class and id begins."""
        match kind:
            case "note":
                self.notes.append(name)
            case "measure":
                self.measure_ids.append(name)
            case "staff":
                self.staves += 1
            case "syl":
                self.syllables.append("")

    def skip(self, raw: str, start: int, place: int) -> int:
        """Skip a group that begins at `start` with a tag that ends at `place`, because it is
        hidden: what is in it counts as drawn. Returns where it ends. Raises ValueError."""
        end = _behind_group(raw, place)
        for found in _GROUP.finditer(raw, start, end):
            self.group(found[2], found[1])
            if found[2] == "syl":
                inside = raw[found.end() : raw.find("</g>", found.end())]
                self.syllables[-1] = unescape(_TAG.sub("", inside))
        return end

    def staff_line(self, system: int, left: float, right: float) -> None:
        """A line of a staff: the first one of a measure begins and ends where the measure does."""
        if len(self.measures) < len(self.measure_ids):
            self.measures.append((system, left, right))

    def begins(self, kind: str, x: float) -> None:
        """A sign in a group of a kind that is among BEGINNINGS."""
        self._begins[kind == _METER].append(x)

    @property
    def lead(self) -> float:
        """How much stands before the first note of a system, without the meter, in units."""
        if not self.measures:
            return 0
        return min(self._begins[True] or self._begins[False] or [0]) - self.measures[0][1]


def _behind_group(raw: str, place: int) -> int:
    """Where the group ends that was opened before this place."""
    depth = 1
    for tag in _GROUPS.finditer(raw, place):
        depth += -1 if tag[1] is None else not tag[1]
        if not depth:
            return tag.end()
    raise ValueError("the engraver began a group that never ends")
