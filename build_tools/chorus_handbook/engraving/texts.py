"""Places the texts of a drawing: words, syllables with their extender lines, and bar numbers.

Musical signs inside a text, such as the note in a metronome mark, need work of their own. verovio
sets them in its music font, which pages do not have, so each becomes a reference to a glyph in the
sprite (the one collection of glyph shapes that a page has). Its position is computed from the
widths of the words before it, which are in verovio's own tables.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from html import escape
from importlib.util import find_spec
from itertools import groupby
from pathlib import Path
from xml.etree import ElementTree as ET

from chorus_handbook.engraving.drawn import Extent
from chorus_handbook.engraving.ink import number, rectangle

#: The lyrics' size in units of the drawing; texts of another size say so.
LYRIC_SIZE = 405

_MUSIC_FONT = "Leipzig"
#: Classes of drawings whose texts the engraver's style sheet sets in bold or italics. Bar numbers
#: are not among them: they stand upright.
_BOLD, _ITALIC = ("ending", "fing", "reh", "tempo"), ("dir", "dynam")
STYLED = frozenset((*_BOLD, *_ITALIC, "label"))
#: White space, which SVG shows as one space.
BLANKS = re.compile("[\t\n\r ]+")
#: The attributes with which a span can change the font.
_SPAN = ("font-size", "font-weight", "font-style", "font-family", "letter-spacing")
#: The width of a letter that is in no table, as a share of its size.
_UNKNOWN_WIDTH = 0.55

#: The gap between an extender line and the next syllable, and the shortest line drawn, in units.
_EXTENDER_GAP, _SHORTEST_EXTENDER = 110, 150
#: The gap between a bar number and the clef or bracket below it, in units. (The engraver lets the
#: number touch the clef, and takes no account of brackets.)
_ABOVE_CLEF = 70
#: How high the tip of a bracket rises above the point where the engraver begins it, in units.
_BRACKET_TIP = 205
#: An extender line is at most this far from its syllable's baseline, in units; hyphens are farther.
_NEAR_BASELINE = 40


@dataclass(frozen=True, slots=True)
class Font:
    """How words are set: the size in units of the drawing, bold, italic, in the music font
    (`music`: each letter is a sign), and the additional space after each letter."""

    size: int = LYRIC_SIZE
    bold: bool = False
    italic: bool = False
    music: bool = False
    spacing: float = 0

    def inside(self, kind: str) -> Font:
        """The font of texts inside a group of this class."""
        if kind not in STYLED:
            return self
        if kind == "label":
            return replace(self, bold=False)
        return replace(self, bold=self.bold or kind in _BOLD, italic=self.italic or kind in _ITALIC)

    def sized(self, size: int) -> Font:
        """This font in another size."""
        return _sized(self, size)

    def attributes(self) -> str:
        """This font as SVG attributes; empty if it is the drawing's default font."""
        return (
            ("" if self.size == LYRIC_SIZE else f' font-size="{self.size}"')
            + (' font-weight="bold"' if self.bold else "")
            + (' font-style="italic"' if self.italic else "")
        )

    def _spanned(self, span: ET.Element) -> Font:
        """The font of a span inside text of this one."""
        return _spanned(self, *map(span.get, _SPAN))


@dataclass(frozen=True, slots=True)
class Sign:
    """A musical sign: its code in the music font, its outline, its position and its scale."""

    code: str
    outline: str
    x: float
    y: str
    scale: float


@dataclass(slots=True)
class TextLine:
    """One line of a text, in runs of words with one font each. `anchor` says which point of the
    line is at `x`: its "start", "middle" or "end"."""

    x: str
    y: str
    anchor: str
    runs: list[tuple[str, Font]]

    @property
    def blank(self) -> bool:
        return not any(words.strip() for words, _ in self.runs)

    def edges(self) -> tuple[float, float]:
        """The estimated left and right end of the line, in units of the drawing."""
        width = sum(_width(words, font) for words, font in self.runs)
        left = float(self.x) - {"middle": width / 2, "end": width}.get(self.anchor, 0)
        return left, left + width

    def pieces(self) -> Iterator[str | Sign]:
        """The parts of the line in order: markup of text elements, and signs between them."""
        if not any(font.music for _, font in self.runs):
            yield self._text(self.x, self.anchor, self.runs)
            return
        left, _ = self.edges()
        for music, group in groupby(self.runs, lambda run: run[1].music):
            runs = list(group)
            if not music:
                first, font = runs[0]
                begins = left + _width(first[: len(first) - len(first.lstrip(" "))], font)
                yield self._text(number(begins), "start", [(first.lstrip(" "), font), *runs[1:]])
                left += sum(_width(words, font) for words, font in runs)
                continue
            for words, font in runs:
                for letter in words:
                    if letter != " ":
                        code = f"{ord(letter):04X}"
                        yield Sign(code, _outline(code), left, self.y, font.size / 1000)
                    left += _width(letter, font)

    def _text(self, x: str, anchor: str, runs: list[tuple[str, Font]]) -> str:
        anchored = "" if anchor == "start" else f' text-anchor="{anchor}"'
        fonts = {font.attributes() for _, font in runs}
        if len(fonts) == 1:
            inside = escape("".join(words for words, _ in runs), quote=False)
            return f'<text x="{x}" y="{self.y}"{fonts.pop()}{anchored}>{inside}</text>'
        spans = "".join(
            f"<tspan{font.attributes()}>{escape(words, quote=False)}</tspan>"
            for words, font in runs
        )
        return f'<text x="{x}" y="{self.y}"{anchored}>{spans}</text>'


@lru_cache(maxsize=64)
def _sized(font: Font, size: int) -> Font:
    return Font(size, font.bold, font.italic)


@lru_cache(maxsize=256)
def _spanned(
    outer: Font,
    size: str | None,
    weight: str | None,
    style: str | None,
    family: str | None,
    spacing: str | None,
) -> Font:
    return Font(
        int(_pixels(size or "")) or outer.size,
        weight == "bold" if weight else outer.bold,
        style in ("italic", "oblique") if style else outer.italic,
        family == _MUSIC_FONT,
        _pixels(spacing or ""),
    )


def lines(text: ET.Element, font: Font, anchor: str) -> list[TextLine]:
    """The lines of a text element that are not blank."""
    found = [TextLine(text.get("x", "0"), text.get("y", "0"), anchor, [])]
    _read_runs(
        text, replace(font, size=int(_pixels(text.get("font-size", ""))) or font.size), found
    )
    return [line for line in found if not line.blank]


def _read_runs(element: ET.Element, font: Font, found: list[TextLine]) -> None:
    """Append the words of an element, set in `font`, to the last of the lines that were `found`."""
    words = BLANKS.sub(" ", element.text or "")
    if words:
        runs = found[-1].runs
        if runs and runs[-1][1] == font:
            runs[-1] = (runs[-1][0] + words, font)
        else:
            runs.append((words, font))
    for span in element:
        if span.get("x"):  # a new line of the same text
            last = found[-1]
            found.append(TextLine(span.get("x", last.x), span.get("y", last.y), last.anchor, []))
        _read_runs(span, font._spanned(span), found)


def _pixels(size: str) -> float:
    """A length such as "405px" as a number; 0 if it is empty."""
    return float(size.removesuffix("px") or 0)


def _width(words: str, font: Font) -> float:
    """The width of these words, in units of the drawing."""
    if font.music:
        table = _widths(f"{_MUSIC_FONT}.xml")
    else:
        style = ("-bold" if font.bold else "") + ("-italic" if font.italic else "")
        table = _widths(f"text/Times{style}.xml")
    return sum(table.get(ord(w), _UNKNOWN_WIDTH) * font.size + font.spacing for w in words)


def _tables() -> Path:
    """The engraver's folder of tables, found without importing it."""
    spec = find_spec("verovio")
    assert spec is not None and spec.origin is not None
    return Path(spec.origin).parent / "data"


@lru_cache(maxsize=8)
def _widths(table: str) -> dict[int, float]:
    """The width of each letter of a font by its code point, as a share of the size."""
    boxes = ET.parse(_tables() / table).getroot()
    whole = float(boxes.get("units-per-em", "1000"))
    widths = {}
    for glyph in boxes:
        left, ink = float(glyph.get("x", "0")), float(glyph.get("w", "0"))
        # if the table has no width, assume that the space after a letter equals that before it
        width = float(glyph.get("h-a-x", ink + 2 * max(left, 0)))
        widths[int(glyph.get("c", "0"), 16)] = width / whole
    # A no-break space is as wide as a space.
    widths.setdefault(0xA0, widths.get(0x20, 0.25))
    return widths


@lru_cache(maxsize=64)
def _outline(code: str) -> str:
    """The path of a sign in the music font, with y upward. Raises ValueError if the font has no
    such sign."""
    try:
        return ET.parse(_tables() / _MUSIC_FONT / f"{code}.xml").getroot()[0].get("d", "")
    except OSError:
        raise ValueError(f"the engraver set the letter {code} in its music font") from None


def bar_number_line(line: float, bracket: float) -> float:
    """The y coordinate, in units of the drawing, of the baseline on which to put a bar number:
    higher than where the engraver put it, and clear of the bracket.

    line: the y coordinate of the engraver's own baseline for it.
    bracket: the y coordinate at which the tip of the bracket beside its system begins; infinite if
        there is no bracket.
    """
    return min(line, bracket - _BRACKET_TIP) - _ABOVE_CLEF


class LyricLines:
    """Collects syllables, hyphens and extender lines by system (numbered from 0), in units of the
    drawing. The lines are drawn last, because an extender line ends before the next syllable."""

    def __init__(self) -> None:
        self._syllables: dict[int, list[tuple[float, float]]] = {}
        self._lines: list[tuple[int, float, float, float, float]] = []
        self._first_notes: dict[int, float] = {}
        self.lowest = -math.inf

    def note(self, system: int, x: float) -> None:
        """Record the position of a note in a system: an extender line that continues from the
        system before begins at the first note."""
        self._first_notes[system] = min(x, self._first_notes.get(system, x))

    def syllable(self, system: int, x: float, y: float) -> None:
        self._syllables.setdefault(system, []).append((x, y))

    def line(self, system: int, x: float, y: float, width: float, height: float) -> None:
        self._lines.append((system, x, y, width, height))
        self.lowest = max(self.lowest, y + height)

    def extenders(self, measures: list[Extent]) -> Iterator[str]:
        """All hyphens and extender lines as SVG paths. `measures` says where each system ends."""
        ends = {system: right for system, _, right in measures}
        for system, left, y, width, height in self._lines:
            first = self._first_notes.get(system, left) if width >= _SHORTEST_EXTENDER else left
            x, right = max(left, first), min(left + width, ends.get(system, left + width))
            for start, baseline in self._syllables.get(system, ()):
                if start > x and abs(baseline - y - height) < _NEAR_BASELINE:
                    right = min(right, start - _EXTENDER_GAP)
            if right - x >= (_SHORTEST_EXTENDER if right < left + width else 0):
                yield rectangle(x, y, right - x, height)
