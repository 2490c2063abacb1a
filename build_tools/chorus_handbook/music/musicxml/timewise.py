"""Converts a score in the timewise form of MusicXML to the partwise form, which the rest of the
package reads.

A timewise score has measures, and in each measure its parts; a partwise score has parts, and in
each part its measures.
"""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from lxml.etree import _Element


def partwise(root: _Element) -> _Element:
    """The score with this root element in partwise form. A timewise score is changed in place."""
    if root.tag != "score-timewise":
        return root
    from lxml import etree  # late: only handbooks with score files need it

    root.tag = "score-partwise"
    parts: dict[tuple[str, int], _Element] = {}
    for measure in root.findall("measure"):
        seen: Counter[str] = Counter()
        for part in measure.findall("part"):
            name = str(part.get("id"))
            seen[name] += 1  # two parts with one id stay two, so that `bounds` can report them
            if (name, seen[name]) not in parts:
                parts[name, seen[name]] = etree.SubElement(root, "part", id=name)
            part.tag = "measure"  # the same element, so that it keeps its line in the file
            part.attrib.clear()
            part.attrib.update(measure.attrib)
            parts[name, seen[name]].append(part)
        root.remove(measure)
    return root
