"""On which line below a staff each syllable of a file stands.

The engraver sets syllables by the number of their verse alone, so that the words of two voices on
one staff, or verses that differ in name only, would lie on top of each other. Here each gets a line
of its own; words that two voices sing alike, at the same time, are set once.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from xml.etree import ElementTree as ET

#: A line as the file tells of it: staff, above or below, voice, number, and which of several
#: syllables with this number at one note.
_Line = tuple[str, str, str, str, int]


@dataclass(frozen=True, slots=True)
class _Placed:
    """A syllable of a file, its note, and its moment (measure, and time from the measure's start in
    the file's own divisions)."""

    note: ET.Element
    lyric: ET.Element
    line: _Line
    moment: tuple[int, float]

    @property
    def words(self) -> tuple[str, ...]:
        return tuple(text.text or "" for text in self.lyric.iter("text"))


def set_lines(part: ET.Element) -> None:
    """Number the syllables of a part so that no two lines are one."""
    lines: dict[_Line, list[_Placed]] = defaultdict(list)
    for placed in _syllables(part):
        lines[placed.line].append(placed)
    taken: dict[tuple[str, str], dict[int, list[_Placed]]] = defaultdict(dict)
    voices = list(dict.fromkeys(line[2] for line in lines))
    for line in sorted(lines, key=lambda line: (voices.index(line[2]), line[4])):
        staff, side, _, number, _ = line
        others = taken[staff, side]
        if _said_already(lines[line], others):
            for placed in lines[line]:
                placed.note.remove(placed.lyric)
            continue
        wanted = int(number) if number.isdigit() else 1
        if wanted in others:
            wanted = max(others) + 1
        others[wanted] = lines[line]
        for placed in lines[line]:
            placed.lyric.set("number", str(wanted))


def _said_already(line: list[_Placed], others: dict[int, list[_Placed]]) -> bool:
    said = {(placed.moment, placed.words) for other in others.values() for placed in other}
    return all((placed.moment, placed.words) in said for placed in line)


def _syllables(part: ET.Element) -> Iterator[_Placed]:
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


def _of_note(note: ET.Element, moment: tuple[int, float]) -> Iterator[_Placed]:
    met: dict[tuple[str, str], int] = defaultdict(int)
    staff, voice = note.findtext("staff", "1").strip(), note.findtext("voice", "1").strip()
    for lyric in note.findall("lyric"):
        side, number = lyric.get("placement", "below"), lyric.get("number", "1")
        line = staff, side, voice, number, met[side, number]
        met[side, number] += 1
        yield _Placed(note, lyric, line, moment)


def _number(text: str | None) -> float:
    try:
        return float(text or 0)
    except ValueError:
        return 0
