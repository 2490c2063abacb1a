"""Records what an engraver's drawing contains while `compact` reads it: which notes, measures and
syllables were drawn, and where the measures lie. Lengths are in units of the drawing."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from html import unescape

#: Where one measure lies: its system, counted from 0, and its left and right edge.
Extent = tuple[int, float, float]

#: The classes (in the SVG) of signs that may be first in a measure, and of the meter, which may
#: stand before them.
_MUSIC, _METER = frozenset(("notehead", "rest", "mRest", "multiRest")), "meterSig"
BEGINNINGS = _MUSIC | {_METER}
#: The classes of the groups that are recorded.
NOTED = frozenset(("note", "measure", "staff", "syl"))
#: The beginning of a group (with its "/" if it is empty), or the end of one.
_GROUPS = re.compile(r"<g(?=[ />])[^>]*?(/?)>|</g>")
_GROUP = re.compile(r'<g (?:id="([^"]*)" )?class="(note|staff|syl)[ "][^>]*>')
_TAG = re.compile(r"<[^>]*>")


@dataclass(slots=True)
class Drawn:
    """What one drawing contains, in the order of the drawing.

    notes, measure_ids: the ids of its notes and of its measures.
    syllables: the texts of its syllables.
    staves: how many staves there are, each counted once in every measure.
    measures: where each measure lies.
    """

    notes: list[str] = field(default_factory=list)
    measure_ids: list[str] = field(default_factory=list)
    syllables: list[str] = field(default_factory=list)
    staves: int = 0
    measures: list[Extent] = field(default_factory=list)
    #: The x positions of signs that may be first in a measure: of meters (True), of others (False).
    _begins: dict[bool, list[float]] = field(default_factory=lambda: {True: [], False: []})

    def group(self, kind: str, name: str) -> None:
        """Record that a group begins, of the class `kind` and with the id `name`."""
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
        """Skip a hidden group of the SVG `raw`; its notes, staves and syllables count as drawn.

        The opening tag of the group reaches from the index `start` to `place`. Returns the index
        after the group's end. Raises ValueError if the group never ends.
        """
        end = _end_of_group(raw, place)
        for found in _GROUP.finditer(raw, start, end):
            self.group(found[2], found[1])
            if found[2] == "syl":
                inside = raw[found.end() : raw.find("</g>", found.end())]
                self.syllables[-1] = unescape(_TAG.sub("", inside))
        return end

    def staff_line(self, system: int, left: float, right: float) -> None:
        """Record a line of a staff. The first one in a measure gives the measure's edges."""
        if len(self.measures) < len(self.measure_ids):
            self.measures.append((system, left, right))

    def begins(self, kind: str, x: float) -> None:
        """Record a sign at `x` in a group whose class `kind` is among BEGINNINGS."""
        self._begins[kind == _METER].append(x)

    @property
    def lead(self) -> float:
        """The width of what stands before the first note of a system (clef and key signature),
        without the meter; 0 if no measure was drawn."""
        if not self.measures:
            return 0
        return min(self._begins[True] or self._begins[False] or [0]) - self.measures[0][1]


def _end_of_group(raw: str, place: int) -> int:
    """The index after the end of the group whose opening tag ends at `place`. Raises ValueError if
    the group never ends."""
    depth = 1
    for tag in _GROUPS.finditer(raw, place):
        # </g> has no group 1; for <g/>, which holds nothing, it is "/"
        depth += -1 if tag[1] is None else not tag[1]
        if not depth:
            return tag.end()
    raise ValueError("the engraver began a group that never ends")
