"""Describes places in a score file for people: bar and part as well as the line of the XML."""

from __future__ import annotations

from typing import TYPE_CHECKING

from chorus_handbook.music.wording import shown
from chorus_handbook.problems import Place

if TYPE_CHECKING:
    from lxml.etree import _Element

_AROUND = ("measure", "part")
_LONGEST_NUMBER = 8


def line_of(element: _Element) -> int:
    """The line of the file in which an element begins, or the first inside one that was added."""
    line = element.sourceline or next((e.sourceline for e in element.iter() if e.sourceline), 1)
    return int(str(line))


class Places:
    """The places of one score's elements; `path` is that of the file. Both forms of a score will
    do, and one that is not valid, too."""

    def __init__(self, root: _Element, path: str) -> None:
        self._path = path
        self._names = {
            str(entry.get("id")): " ".join((entry.findtext("part-name") or "").split())
            for entry in root.iterfind("part-list/score-part")
        }
        self._ids = list(dict.fromkeys(str(part.get("id")) for part in root.iter("part")))
        self._bars: dict[_Element, str] = {}  # by the inner one of measure and part

    def of(self, element: _Element) -> Place:
        """The place of an element, with its bar and part where it is inside them."""
        around = [element, *element.iterancestors()]
        inner = next((e for e in around if e.tag in _AROUND), None)
        if inner is None:
            return Place(self._path, line_of(element))
        if inner not in self._bars:
            measure, part = (next((e for e in around if e.tag == tag), None) for tag in _AROUND)
            self._bars[inner] = " of ".join(
                ([] if measure is None else [f"bar {_number(measure)}"])
                + ([] if part is None else [self._part(str(part.get("id")))])
            )
        return Place(self._path, line_of(element), bar=self._bars[inner])

    def _part(self, name: str) -> str:
        """What a part is called, or which it is, from the top."""
        printed = self._names.get(name, "")
        if printed:
            return shown(printed).strip('"')
        return f"part {self._ids.index(name) + 1}"


def _number(measure: _Element) -> str:
    """The number of a bar as the notation editor counts; that of its place where it has none."""
    number = (measure.get("number") or "").strip()
    if number.isalnum() and len(number) <= _LONGEST_NUMBER:
        return number
    return str(sum(1 for _ in measure.itersiblings("measure", preceding=True)) + 1)
