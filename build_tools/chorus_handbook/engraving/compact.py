"""The engraver's SVG made small enough to stand in a page, and made to follow the page's colour.

Groups, ids and classes that nobody asks for go; only the notes keep theirs. Lines of one
thickness become one path, beams and other areas another, glyphs become references to a sprite that
the whole page shares, and every colour is `currentColor`. What is drawn stays the same, but for
two mendings: extender lines end before the next syllable and at the end of their system; and bar
numbers stand upright, as the lyrics' font has no italics, and begin where the staff begins.

The drawing is parsed as XML and read element by element; an element that is not known here is an
error rather than a picture with something missing.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from html import escape
from xml.etree import ElementTree as ET

from chorus_handbook.engraving.ink import Ink, Pen, number, polygon, rectangle

#: Raise this whenever the same engraver's output would be written differently.
VERSION = "2"
#: The lyrics' size in units of the drawing; texts of another size say so.
LYRIC_SIZE = 405
#: Where one measure lies: its system, counted from 0, and its left and right edge in units.
Extent = tuple[int, float, float]

_PREFIX = "{http://www.w3.org/2000/svg}"
_NUMBERS = re.compile(r"-?\d+(?:\.\d+)?")
_PLACED = re.compile(r"translate\((\S+), (\S+)\) scale\((\S+), \S+\)")
_GLYPH = re.compile(r"#?([0-9A-F]{4,6})-")
#: The scale at which nearly all glyphs are drawn: their sprite entries do not name it.
_USUAL_SCALE = "0.72"
#: An extender line ends so far before the next syllable, and is left out when it gets too short.
_EXTENDER_GAP, _SHORTEST_EXTENDER = 110, 150
#: How far an extender line may lie from its syllable's baseline; hyphens lie further.
_BASELINE = 40


class UnknownDrawingError(ValueError):
    """The engraver drew something that this module does not know how to keep."""


@dataclass(slots=True)
class Picture:
    """A compacted drawing.

    `body` is what goes inside the svg element, `box` its viewBox (left, top, width, height),
    `symbols` the sprite's entries that it refers to, by id. `measures` tells where each measure
    lies, `lead` how much stands before the first note of a system, without the meter.
    """

    body: str
    box: tuple[float, float, float, float]
    symbols: dict[str, str]
    measures: list[Extent]
    lead: float


def compact(svg: str, suffix: str = "", ids: bool = True) -> Picture:
    """Compact one drawing. `suffix` is put behind every note's id, for a second drawing of the
    same notes in one page; without `ids` the notes get none. Raises UnknownDrawingError."""
    return _Compactor(suffix, ids).picture(ET.fromstring(svg))


@dataclass(slots=True)
class _Layer:
    """A group that stays one: the whole drawing, or a note."""

    ink: Ink = field(default_factory=Ink)
    marks: list[str] = field(default_factory=list)

    def markup(self) -> str:
        return self.ink.markup() + "".join(self.marks)


class _Compactor:
    """Walks one drawing once. `_layer` is the group that gathers what is met."""

    def __init__(self, suffix: str, ids: bool) -> None:
        self._suffix = suffix
        self._ids = ids
        self._glyphs: dict[str, str] = {}
        self._symbols: dict[str, str] = {}
        self._measures: list[Extent] = []
        self._system = -1
        self._layer = _Layer()
        self._lyrics = _Lyrics()
        self._signs: dict[str, list[float]] = {}
        self._draw: dict[str, Callable[[ET.Element, str], None]] = {
            "g": self._group,
            "path": self._path,
            "use": self._use,
            "rect": self._rect,
            "polygon": self._polygon,
            "polyline": self._polyline,
            "ellipse": self._ellipse,
            "text": self._text,
        }

    def picture(self, root: ET.Element) -> Picture:
        for glyph in root.iterfind(f"{_PREFIX}defs/{_PREFIX}g"):
            code = _glyph_code(glyph.get("id", ""))
            self._glyphs[code] = glyph[0].get("d", "")
        page = root.find(f"{_PREFIX}svg")
        if page is None or len(page) != 1:
            raise UnknownDrawingError("the engraver drew no page")
        left, top = (float(n) for n in _NUMBERS.findall(page[0].get("transform", "0 0")))
        _, _, width, height = (float(n) for n in page.get("viewBox", "0 0 0 0").split())
        self._children(page[0], "")
        for line in self._lyrics.extenders(self._measures):
            self._layer.ink.area(line)
        box = (-left, -top, width, height)
        symbols = dict(sorted(self._symbols.items()))
        return Picture(self._layer.markup(), box, symbols, self._measures, self._lead())

    def _lead(self) -> float:
        """How far the first note, or the meter before it, lies inside the first measure."""
        first = min(self._signs.get("meterSig") or self._signs.get("note") or [0])
        return first - self._measures[0][1] if self._measures else 0

    def _children(self, element: ET.Element, kind: str) -> None:
        for child in element:
            name = child.tag.removeprefix(_PREFIX)
            if name not in self._draw:
                raise UnknownDrawingError(f"the engraver drew a <{name}>")
            self._draw[name](child, kind)

    def _group(self, group: ET.Element, _: str) -> None:
        kind = group.get("class", "").partition(" ")[0]
        if "placeholder" in group.get("class", ""):
            return
        if kind == "system":
            self._system += 1
        elif kind == "measure":
            self._measures.append((self._system, *_measure_edges(group)))
        if kind != "note":
            self._children(group, kind)
            return
        outer, self._layer = self._layer, _Layer()
        self._children(group, kind)
        name = f' id="{escape(group.get("id", ""))}{self._suffix}"' if self._ids else ""
        outer.marks.append(f"<g{name}>{self._layer.markup()}</g>")
        self._layer = outer

    def _path(self, path: ET.Element, _: str) -> None:
        drawn = path.get("d", "")
        points = _points(drawn)
        width = path.get("stroke-width", "1")
        straight = len(points) == 2 and "C" not in drawn
        if straight and (points[0][0] == points[1][0] or points[0][1] == points[1][1]):
            self._layer.ink.line(points[0], points[1], float(width))
            return
        cap, join = path.get("stroke-linecap", ""), path.get("stroke-linejoin", "")
        pen = Pen(width, cap, join, filled=path.get("fill") != "none" and not straight)
        self._layer.ink.stroke(pen, drawn.replace(",", " ").replace(" L", "L").replace(" C", "C"))

    def _use(self, use: ET.Element, kind: str) -> None:
        code = _glyph_code(use.get("href", ""))
        placed = _PLACED.fullmatch(use.get("transform", ""))
        if code not in self._glyphs or not placed:
            raise UnknownDrawingError(f"the engraver drew the sign {code} in an unknown way")
        x, y, scale = placed.groups()
        symbol = f"glyph-{code}" + ("" if scale == _USUAL_SCALE else f"-{scale.replace('.', '-')}")
        short = scale.removeprefix("0")
        self._symbols.setdefault(
            symbol,
            f'<path id="{symbol}" transform="scale({short},-{short})" d="{self._glyphs[code]}"/>',
        )
        self._layer.marks.append(f'<use href="#{symbol}" x="{x}" y="{y}"/>')
        self._signs.setdefault(kind.replace("notehead", "note"), []).append(float(x))

    def _rect(self, rect: ET.Element, kind: str) -> None:
        x, y, width, height = (float(rect.get(n, "0")) for n in ("x", "y", "width", "height"))
        if kind == "syl":
            self._lyrics.line(self._system, x, y, width, height)
        else:
            self._layer.ink.area(rectangle(x, y, width, height))

    def _polygon(self, shape: ET.Element, _: str) -> None:
        self._layer.ink.area(polygon(_points(shape.get("points", ""))))

    def _polyline(self, line: ET.Element, _: str) -> None:
        points = _points(line.get("points", ""))
        cap, join = line.get("stroke-linecap", ""), line.get("stroke-linejoin", "")
        pen = Pen(line.get("stroke-width", "1"), cap.replace("butt", ""), join.replace("miter", ""))
        self._layer.ink.stroke(pen, "M" + "L".join(f"{number(x)} {number(y)}" for x, y in points))

    def _ellipse(self, dot: ET.Element, _: str) -> None:
        x, y, radius = (dot.get(n, "0") for n in ("cx", "cy", "rx"))
        if dot.get("ry") != radius:
            raise UnknownDrawingError("the engraver drew an ellipse")
        self._layer.marks.append(f'<circle cx="{x}" cy="{y}" r="{radius}"/>')

    def _text(self, text: ET.Element, kind: str) -> None:
        anchor = "start" if kind == "mNum" else text.get("text-anchor", "start")
        x, y, words, size = text.get("x", "0"), text.get("y", "0"), "", LYRIC_SIZE
        for span in text.iter():
            if span is not text and span.get("x"):  # a new line of the same text
                self._words(kind, (x, y, words), size, anchor)
                x, y, words = span.get("x", x), span.get("y", y), ""
            if span.get("font-size", "0px") != "0px":
                size = int(float(span.get("font-size", "").removesuffix("px")))
            words += span.text or ""
        self._words(kind, (x, y, words), size, anchor)

    def _words(self, kind: str, placed: tuple[str, str, str], size: int, anchor: str) -> None:
        x, y, words = placed
        if not words.strip():
            return
        if kind == "syl":
            self._lyrics.syllable(self._system, float(x), float(y))
        larger = "" if size == LYRIC_SIZE else f' font-size="{size}"'
        aside = "" if anchor == "start" else f' text-anchor="{anchor}"'
        shown = escape(words, quote=False)
        self._layer.marks.append(f'<text x="{x}" y="{y}"{larger}{aside}>{shown}</text>')


class _Lyrics:
    """The syllables and the lines between them, which only together tell where a line may end."""

    def __init__(self) -> None:
        self._syllables: dict[int, list[tuple[float, float]]] = {}
        self._lines: list[tuple[int, float, float, float, float]] = []

    def syllable(self, system: int, x: float, y: float) -> None:
        self._syllables.setdefault(system, []).append((x, y))

    def line(self, system: int, x: float, y: float, width: float, height: float) -> None:
        self._lines.append((system, x, y, width, height))

    def extenders(self, measures: list[Extent]) -> Iterator[str]:
        """All hyphens and extender lines as paths."""
        ends = {system: right for system, _, right in measures}
        for system, x, y, width, height in self._lines:
            right = min(x + width, ends.get(system, x + width))
            for start, baseline in self._syllables.get(system, ()):
                if start > x and abs(baseline - y - height) < _BASELINE:
                    right = min(right, start - _EXTENDER_GAP)
            if right == x + width or right - x >= _SHORTEST_EXTENDER:
                yield rectangle(x, y, right - x, height)


def _glyph_code(reference: str) -> str:
    found = _GLYPH.match(reference)
    return found[1] if found else reference


def _points(text: str) -> list[tuple[float, float]]:
    """The coordinates in a path or a list of points, in pairs."""
    numbers = [float(n) for n in _NUMBERS.findall(text)]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


def _measure_edges(measure: ET.Element) -> tuple[float, float]:
    """Left and right end of a measure's staff lines."""
    line = measure.find(f"{_PREFIX}g[@class='staff']/{_PREFIX}path")
    if line is None:
        raise UnknownDrawingError("the engraver drew a measure without a staff")
    (left, _), (right, _) = _points(line.get("d", ""))
    return left, right
