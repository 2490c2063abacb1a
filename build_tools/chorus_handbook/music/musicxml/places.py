"""Describes places in a MusicXML file for people: in addition to the line of the file, the bar and
part as they see them in their notation editor."""

from __future__ import annotations

from typing import TYPE_CHECKING

from chorus_handbook.music.wording import shown
from chorus_handbook.problems import Place

if TYPE_CHECKING:
    from lxml.etree import _Element

#: The elements around a place that describe it.
_AROUND = ("measure", "part")
#: The most characters of a bar number that a message shows.
_LONGEST_NUMBER = 8


def line_of(element: _Element) -> int:
    """The number of the line of the file in which an element begins. For an element that we have
    added, it is the line of the first element inside it."""
    line = element.sourceline or next((e.sourceline for e in element.iter() if e.sourceline), 1)
    return int(str(line))


class Places:
    """Finds the places of a score's elements. `root` is the root element, `path` the path of the
    file. The score may be partwise or timewise, and need not be valid."""

    def __init__(self, root: _Element, path: str) -> None:
        self._path = path
        self._names = {
            str(entry.get("id")): " ".join((entry.findtext("part-name") or "").split())
            for entry in root.iterfind("part-list/score-part")
        }
        self._ids = list(dict.fromkeys(str(part.get("id")) for part in root.iter("part")))
        # the bar and part in words, by the inner one of these two elements
        self._bars: dict[_Element, str] = {}

    def of(self, element: _Element) -> Place:
        """The place of an element, with its bar and part if it is inside of them."""
        around = [element, *element.iterancestors()]
        inner = next((e for e in around if e.tag in _AROUND), None)
        if inner is None:
            return Place(self._path, line_of(element))
        if inner not in self._bars:
            measure, part = (next((e for e in around if e.tag == tag), None) for tag in _AROUND)
            words = []
            if measure is not None:
                words.append(f"bar {_number(measure)}")
            if part is not None:
                words.append(self._part(str(part.get("id"))))
            self._bars[inner] = " of ".join(words)
        return Place(self._path, line_of(element), bar=self._bars[inner])

    def _part(self, part_id: str) -> str:
        """The printed name of a part, or else its number from the top."""
        printed = self._names.get(part_id, "")
        if printed:
            return shown(printed).strip('"')
        return f"part {self._ids.index(part_id) + 1}"


def _number(measure: _Element) -> str:
    """The number of a bar that the notation editor shows; if it has none, its position."""
    number = (measure.get("number") or "").strip()
    if number.isalnum() and len(number) <= _LONGEST_NUMBER:
        return number
    return str(sum(1 for _ in measure.itersiblings("measure", preceding=True)) + 1)
