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

import math
import re
from collections.abc import Callable, Container, Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from html import escape
from xml.etree import ElementTree as ET

from chorus_handbook.engraving.extents import Extent, Extents, extents
from chorus_handbook.engraving.ink import Ink, Pen, ellipse, number, polygon, rectangle
from chorus_handbook.engraving.texts import Font, Sign, lines

_NAMESPACE = ' xmlns="http://www.w3.org/2000/svg"'
_NUMBERS = re.compile(r"-?\d+(?:\.\d+)?")
_PLACED = re.compile(r"translate\((\S+), (\S+)\) scale\((\S+), \S+\)")
_GLYPH = re.compile(r"#?([0-9A-F]{4,6})-")
_TURNED = re.compile(r"rotate\([\d., -]+\)")
_PEN = ("stroke-width", "stroke-linecap", "stroke-linejoin", "stroke-dasharray")
#: Texts keep so far from the sides of the drawing.
_SIDE = 20
#: Lines below words keep so far from the bottom of the drawing.
_BELOW = 80
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
    lies, `measure_ids` what the document calls it, `lead` how much stands before the first note of
    a system, without the meter. A drawing that was only measured has an empty body.
    """

    body: str
    box: tuple[float, float, float, float]
    symbols: dict[str, str]
    measures: list[Extent]
    lead: float
    measure_ids: list[str] = field(default_factory=list)


def compact(
    svg: str,
    suffix: str = "",
    ids: bool | Container[str] = True,
    widest: float = math.inf,
) -> Picture:
    """Compact one drawing. `suffix` is put behind every note's id, for a second drawing of the
    same notes in one page; without `ids` the notes get none, and when those are listed that count,
    the others get none. A drawing wider than `widest` is only measured. Raises
    UnknownDrawingError."""
    try:
        known = extents(svg)
    except ValueError as error:
        raise UnknownDrawingError(str(error)) from None
    if known.width > widest:
        box = (0.0, 0.0, known.width, 0.0)
        return Picture("", box, {}, known.measures, known.lead, known.measure_ids)
    # names without their namespace are quicker to read and to compare
    return _Compactor(suffix, ids, known).picture(ET.fromstring(svg.replace(_NAMESPACE, "", 1)))


@dataclass(slots=True)
class _Layer:
    """A group that stays one: the whole drawing, or a note."""

    ink: Ink = field(default_factory=Ink)
    marks: list[str] = field(default_factory=list)

    def markup(self) -> str:
        return self.ink.markup() + "".join(self.marks)


class _Compactor:
    """Walks one drawing once. `_layer` is the group that gathers what is met."""

    def __init__(self, suffix: str, ids: bool | Container[str], known: Extents) -> None:
        self._known = known
        self._suffix = suffix
        self._ids = ids
        self._font = Font()
        self._glyphs: dict[str, str] = {}
        self._symbols: dict[str, str] = {}
        self._edges: list[float] = []
        self._system = -1
        self._layer = _Layer()
        self._lyrics = _Lyrics()
        self._draw: dict[str, Callable[[ET.Element, str], None]] = {
            "g": self._group,
            "path": self._path,
            "use": self._use,
            "rect": self._rect,
            "polygon": self._polygon,
            "polyline": self._polyline,
            "ellipse": self._ellipse,
            "text": self._text,
            "title": self._nothing,
        }

    def picture(self, root: ET.Element) -> Picture:
        for glyph in root.iterfind("defs/g"):
            code = _glyph_code(glyph.get("id", ""))
            self._glyphs[code] = glyph[0].get("d", "")
        page = root.find("svg")
        if page is None or len(page) != 1:
            raise UnknownDrawingError("the engraver drew no page")
        left, top = (float(n) for n in _NUMBERS.findall(page[0].get("transform", "0 0")))
        _, _, width, height = (float(n) for n in page.get("viewBox", "0 0 0 0").split())
        self._children(page[0], "")
        known = self._known
        for line in self._lyrics.extenders(known.measures):
            self._layer.ink.area(line)
        # the engraver does not reckon with all texts and braces at the sides
        low = min([-left, *(edge - _SIDE for edge in self._edges)])
        high = max([width - left, *(edge + _SIDE for edge in self._edges)])
        # nor with lines below the last words of a system that has none
        bottom = max(height - top, self._lyrics.lowest + _BELOW)
        box = (low, -top, high - low, bottom + top)
        symbols = dict(sorted(self._symbols.items()))
        body = self._layer.markup()
        return Picture(body, box, symbols, known.measures, known.lead, known.measure_ids)

    def _children(self, element: ET.Element, kind: str) -> None:
        for child in element:
            draw = self._draw.get(child.tag)
            if draw is None:
                raise UnknownDrawingError(f"the engraver drew a <{child.tag}>")
            draw(child, kind)

    def _group(self, group: ET.Element, _: str) -> None:
        kind, _, more = group.get("class", "").partition(" ")
        if "placeholder" in more or group.get("visibility") == "hidden":
            return
        if kind == "system":
            self._system += 1
        opening = self._opening(group, kind)
        outer_font, self._font = self._font, self._font.inside(kind)
        if opening is None:
            self._children(group, kind)
        else:
            outer, self._layer = self._layer, _Layer()
            self._children(group, kind)
            outer.marks.append(f"<g{opening}>{self._layer.markup()}</g>")
            self._layer = outer
        self._font = outer_font

    def _opening(self, group: ET.Element, kind: str) -> str | None:
        """The attributes of a group that stays one; None for one that does not."""
        turned = group.get("transform")
        if turned is not None:
            if not _TURNED.fullmatch(turned):
                raise UnknownDrawingError(f"the engraver moved something by {turned}")
            return f' transform="{turned}"'
        if kind != "note":
            return None
        name, known = group.get("id", ""), self._ids
        shown = known if isinstance(known, bool) else name in known
        return f' id="{escape(name)}{self._suffix}"' if shown else ""

    def _nothing(self, _: ET.Element, __: str) -> None:
        """What has no ink: a title that shows when something points at it."""

    def _path(self, path: ET.Element, kind: str) -> None:
        drawn = path.get("d", "")
        points = _points(drawn)
        if kind == "grpSym":
            self._edges += [x for x, _ in points]
        straight = len(points) == 2 and "C" not in drawn
        pen = _pen(path, filled=path.get("fill") != "none" and not straight)
        level = straight and (points[0][0] == points[1][0] or points[0][1] == points[1][1])
        if level and not (pen.cap or pen.dash):
            self._layer.ink.line(points[0], points[1], float(pen.width))
            return
        self._layer.ink.stroke(pen, drawn.replace(",", " ").replace(" L", "L").replace(" C", "C"))

    def _use(self, use: ET.Element, _: str) -> None:
        code = _glyph_code(use.get("href", ""))
        placed = _PLACED.fullmatch(use.get("transform", ""))
        if code not in self._glyphs or not placed:
            raise UnknownDrawingError(f"the engraver drew the sign {code} in an unknown way")
        x, y, scale = placed.groups()
        self._sign(code, self._glyphs[code], (x, y), scale)

    def _sign(self, code: str, outline: str, place: tuple[str, str], scale: str) -> None:
        symbol = f"glyph-{code}" + ("" if scale == _USUAL_SCALE else f"-{scale.replace('.', '-')}")
        short = scale.removeprefix("0")
        self._symbols.setdefault(
            symbol, f'<path id="{symbol}" transform="scale({short},-{short})" d="{outline}"/>'
        )
        self._layer.marks.append(f'<use href="#{symbol}" x="{place[0]}" y="{place[1]}"/>')

    def _rect(self, rect: ET.Element, kind: str) -> None:
        x, y, width, height = (float(rect.get(n, "0")) for n in ("x", "y", "width", "height"))
        if kind == "syl":
            self._lyrics.line(self._system, x, y, width, height)
        else:
            self._shape(rect, rectangle(x, y, width, height))

    def _polygon(self, shape: ET.Element, _: str) -> None:
        self._layer.ink.area(polygon(_points(shape.get("points", ""))))

    def _polyline(self, line: ET.Element, _: str) -> None:
        points = _points(line.get("points", ""))
        path = "M" + "L".join(f"{number(x)} {number(y)}" for x, y in points)
        self._layer.ink.stroke(_pen(line), path)

    def _ellipse(self, dot: ET.Element, _: str) -> None:
        x, y, radius = (dot.get(n, "0") for n in ("cx", "cy", "rx"))
        if dot.get("ry") == radius and dot.get("fill-opacity") is None:
            self._layer.marks.append(f'<circle cx="{x}" cy="{y}" r="{radius}"/>')
            return
        cx, cy, rx, ry = (float(dot.get(n, "0")) for n in ("cx", "cy", "rx", "ry"))
        self._shape(dot, ellipse(cx, cy, rx, ry))

    def _shape(self, shape: ET.Element, path: str) -> None:
        """A closed shape, filled or as its outline."""
        if shape.get("fill-opacity") == "0":
            self._layer.ink.stroke(_pen(shape), path)
        else:
            self._layer.ink.area(path)

    def _text(self, text: ET.Element, kind: str) -> None:
        anchor = "start" if kind == "mNum" else text.get("text-anchor", "start")
        for line in lines(text, self._font, anchor):
            self._edges += line.edges()
            if kind == "syl":
                self._lyrics.syllable(self._system, float(line.x), float(line.y))
            for piece in line.pieces():
                if isinstance(piece, Sign):
                    place = number(piece.x), piece.y
                    self._sign(piece.code, piece.outline, place, f"{piece.scale:g}")
                else:
                    self._layer.marks.append(piece)


class _Lyrics:
    """The syllables and the lines between them, which only together tell where a line may end."""

    def __init__(self) -> None:
        self._syllables: dict[int, list[tuple[float, float]]] = {}
        self._lines: list[tuple[int, float, float, float, float]] = []
        self.lowest = -math.inf

    def syllable(self, system: int, x: float, y: float) -> None:
        self._syllables.setdefault(system, []).append((x, y))

    def line(self, system: int, x: float, y: float, width: float, height: float) -> None:
        self._lines.append((system, x, y, width, height))
        self.lowest = max(self.lowest, y + height)

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


def _pen(element: ET.Element, filled: bool = False) -> Pen:
    """The pen that an element is drawn with."""
    return _known_pen(filled, *map(element.get, _PEN))


@lru_cache(maxsize=256)
def _known_pen(
    filled: bool, width: str | None, cap: str | None, join: str | None, dash: str | None
) -> Pen:
    """The same by attributes; what SVG takes for granted is not named."""
    return Pen(
        width or "1",
        (cap or "").replace("butt", ""),
        (join or "").replace("miter", ""),
        filled,
        dash or "",
    )


def _glyph_code(reference: str) -> str:
    found = _GLYPH.match(reference)
    return found[1] if found else reference


def _points(text: str) -> list[tuple[float, float]]:
    """The coordinates in a path or a list of points, in pairs."""
    numbers = [float(n) for n in _NUMBERS.findall(text)]
    return list(zip(numbers[::2], numbers[1::2], strict=True))
