"""Measures the width of an engraver's drawing and of its measures, without parsing it.

Most first drawings only serve to find out where systems must be broken. They are measured and
thrown away.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

#: Where one measure lies: its system, counted from 0, and its left and right edge in units.
Extent = tuple[int, float, float]

_PAGE = re.compile(r'<svg\b.*?<svg\b[^>]*?\bviewBox="0 0 (\S+) ', re.DOTALL)
_BEGINS = re.compile(r'<g (?:id="([^"]*)" )?class="(system|measure)\b')
#: The first line of a staff: in a measure it begins and ends where the measure does.
_STAFF = re.compile(r'class="staff\b[^>]*><path d="M(\S+) \S+ L(\S+) ')
#: What may begin the music of a measure, and the meter before it, with the signs they consist of.
_SIGNS = re.compile(r'class="(meterSig|notehead|rest|mRest|multiRest)\b[^>]*>((?:<use [^>]*>)+)')
_GROUPS = re.compile(r"<g(?=[ />])[^>]*?(/?)>|</g>")
_PLACE = re.compile(r"translate\(([^,]+),")


@dataclass(frozen=True, slots=True)
class Extents:
    """The width of a drawing, the left and right edge of each measure with its id, and the space
    before the first note of a system without the meter (`lead`)."""

    width: float
    measures: list[Extent]
    measure_ids: list[str]
    lead: float


def extents(raw: str) -> Extents:
    """Measure a drawing. Raises ValueError where it is not what the engraver draws."""
    page = _PAGE.search(raw)
    if page is None:
        raise ValueError("the engraver drew no page")
    system = -1
    measures: list[Extent] = []
    names = []
    for begins in _BEGINS.finditer(raw, page.end()):
        if begins[2] == "system":
            system += 1
            continue
        line = _STAFF.search(raw, begins.end())
        if line is None:
            raise ValueError("the engraver drew a measure without a staff")
        measures.append((system, float(line[1]), float(line[2])))
        names.append(begins[1] or "")
    lead = _first_sign(raw, page.end()) - measures[0][1] if measures else 0
    return Extents(float(page[1]), measures, names, lead)


def _first_sign(raw: str, start: int) -> float:
    places: dict[bool, list[float]] = {True: [], False: []}
    for kind, signs in _SIGNS.findall(raw, start):
        places[kind == "meterSig"] += map(float, _PLACE.findall(signs))
    return min(places[True] or places[False] or [0])


def behind_group(raw: str, place: int) -> int:
    """The place behind the end of the group that was opened before this one. Raises ValueError."""
    depth = 1
    for tag in _GROUPS.finditer(raw, place):
        depth += -1 if tag[1] is None else not tag[1]
        if not depth:
            return tag.end()
    raise ValueError("the engraver began a group that never ends")
