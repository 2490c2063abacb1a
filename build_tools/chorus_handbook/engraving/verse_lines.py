"""Gives every line of words in a MusicXML part its own verse number, so that each is printed on its
own line.

verovio places syllables by verse number alone. Without this, the words of two voices on one staff
would be printed on top of each other. Words that two voices sing at the same time are printed once.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple
from xml.etree import ElementTree as ET


class _VerseLine(NamedTuple):
    """A line of words as the file identifies it. `side` is "above" or "below" the staff. `place` is
    0, or 1, 2 ... for further syllables with the same verse number at one note."""

    staff: str
    side: str
    voice: str
    number: str
    place: int


@dataclass(frozen=True, slots=True)
class _PlacedSyllable:
    """A syllable of a file, its note, and its moment (measure, and time from the measure's start in
    the file's own divisions)."""

    note: ET.Element
    lyric: ET.Element
    line: _VerseLine
    moment: tuple[int, float]

    @property
    def words(self) -> tuple[str, ...]:
        return tuple(text.text or "" for text in self.lyric.iter("text"))


def set_lines(part: ET.Element) -> None:
    """Give every line of words a verse number of its own. The element `part` is changed."""
    lines: dict[_VerseLine, list[_PlacedSyllable]] = defaultdict(list)
    for placed in _syllables(part):
        lines[placed.line].append(placed)
    taken: dict[tuple[str, str], dict[int, list[_PlacedSyllable]]] = defaultdict(dict)
    voices = list(dict.fromkeys(line.voice for line in lines))
    for line in sorted(lines, key=lambda line: (voices.index(line.voice), line.place)):
        others = taken[line.staff, line.side]
        if _already_printed(lines[line], others):
            for placed in lines[line]:
                placed.note.remove(placed.lyric)
            continue
        verse = int(line.number) if line.number.isdigit() else 1
        if verse in others:
            verse = max(others) + 1
        others[verse] = lines[line]
        for placed in lines[line]:
            placed.lyric.set("number", str(verse))


@lru_cache(maxsize=4)
def sides_of_two_singers(xml: str) -> frozenset[str]:
    """Where the words of two singers on one staff of a MusicXML file stand: "below" the staff,
    "above" it, or both. Empty if no two singers on a staff have words of their own."""
    found = set()
    for part in ET.fromstring(xml).iterfind("part"):
        set_lines(part)
        sides: dict[str, dict[str, set[str]]] = defaultdict(lambda: defaultdict(set))
        for placed in _syllables(part):
            line = placed.line
            sides[line.staff][line.side].add(line.voice)
        for words in sides.values():
            if len(set().union(*words.values())) > 1:
                found |= set(words)
    return frozenset(found)


def _already_printed(line: list[_PlacedSyllable], others: dict[int, list[_PlacedSyllable]]) -> bool:
    """Whether the lines set before already hold every syllable of this one, at the same moments."""
    sung = {(placed.moment, placed.words) for other in others.values() for placed in other}
    return all((placed.moment, placed.words) in sung for placed in line)


def _syllables(part: ET.Element) -> Iterator[_PlacedSyllable]:
    """Every syllable of a part, in the order of the file."""
    for n, measure in enumerate(part.iterfind("measure")):
        now = begun = 0.0
        for element in measure:
            length = _number(element.findtext("duration"))
            if element.tag == "backup":
                now -= length
            elif element.tag == "forward":
                now += length
            elif element.tag == "note":
                if element.find("chord") is None:
                    begun = now
                    now += length
                yield from _of_note(element, (n, begun))


def _of_note(note: ET.Element, moment: tuple[int, float]) -> Iterator[_PlacedSyllable]:
    counts: dict[tuple[str, str], int] = defaultdict(int)
    staff, voice = note.findtext("staff", "1").strip(), note.findtext("voice", "1").strip()
    for lyric in note.findall("lyric"):
        side, number = lyric.get("placement", "below"), lyric.get("number", "1")
        line = _VerseLine(staff, side, voice, number, counts[side, number])
        counts[side, number] += 1
        yield _PlacedSyllable(note, lyric, line, moment)


def _number(text: str | None) -> float:
    """The number that a text is; 0 for any other text."""
    try:
        return float(text or 0)
    except ValueError:
        return 0
