"""Makes the engraver's SVG much smaller, and gives it the colour of the page's text.

Groups, ids and classes are dropped, except the ids of notes. Lines of one thickness become one
path, beams and other areas another. Glyphs (the shapes of note heads, clefs and so on) become
references to a sprite that the whole page shares. The drawing looks the same, with two corrections:
bar numbers are upright, above the start of the staff, clear of clef and bracket; extender lines end
before the next syllable, and lines that go on in the next system begin there at its first note.

The SVG is read once from start to end, with regular expressions for the engraver's most common
elements. This takes half the time of an XML parser. An unknown element is an error, so nothing is
lost silently.
"""

from __future__ import annotations

import math
import re
from collections.abc import Container
from dataclasses import dataclass, field
from functools import lru_cache
from html import escape, unescape
from xml.etree import ElementTree as ET

from chorus_handbook.engraving.drawn import BEGINNINGS, NOTED, Drawn, Extent
from chorus_handbook.engraving.ink import (
    NUMBERS,
    Layer,
    ellipse,
    number,
    pen,
    pen_of,
    points_of,
    rectangle,
)
from chorus_handbook.engraving.texts import (
    BLANKS,
    STYLED,
    Font,
    LyricLines,
    Sign,
    TextLine,
    bar_number_line,
    lines,
)

#: Which notes keep their ids in the drawing: all (True), none (False), or those with these ids.
Ids = bool | Container[str]
#: One token of the SVG: a pattern for each common element, and the numbers of its groups.
_TOKEN = re.compile(
    r"(?:</g>)+"  # groups end
    r'|<g(?=[ />])(?: id="([^"]*)")?(?: class="([^"]*)")?([^>]*?)(/?)>'  # a group begins: 1 to 4
    r'|<path d="M(-?\d+) (-?\d+) L(-?\d+) (-?\d+)" stroke-width="([\d.]+)"'
    r'(?: stroke="currentColor")?/>'  # a straight line: 5 to 9
    r'|<use href="#([0-9A-F]{4,6})-[^"]*" transform="translate\(([^" ]+), ([^" ]+)\) '
    r'scale\(([\d.]+), [\d.]+\)"/>'  # a glyph: 10 to 13
    r'|<text x="([^"]*)" y="([^"]*)"(?: text-anchor="(\w+)")? font-size="0px"'
    r'(?: font-family="Times")?>'
    r'<tspan(?: id="[^"]*")? class="text"><tspan font-size="(\d+)px">([^<]*)'
    r"</tspan></tspan></text>"  # a text of one line in one font: 14 to 18
    r"|<([a-z]+)((?: [^>]*?)?)(/?)>"  # any other element: 19 to 21
)
#: The last group of an alternative. A match has this number as its `lastindex` if it was found.
_GROUP, _LINE, _USE, _TEXT = 4, 9, 13, 18
_PAGE = re.compile(r'<svg\b[^>]*?\bviewBox="([^"]*)"[^>]*><g class="page-margin"([^>]*)>')
_DEFINED = re.compile(r'<g id="([0-9A-F]{4,6})-[^"]*"><path [^>]*?\bd="([^"]*)"')
_ATTRIBUTE = re.compile(r' ([\w:-]+)="([^"]*)"')
_TURNED = re.compile(r"rotate\([\d., -]+\)")
#: The least distance of a text from the sides of the drawing, in its units.
_SIDE = 20
#: The least distance of an extender line from the bottom of the drawing, in its units.
_BELOW = 80
#: The scale at which nearly all glyphs are drawn: their sprite entries do not name it.
_USUAL_SCALE = "0.72"


class UnknownDrawingError(ValueError):
    """The SVG contains something that this module does not know."""


@dataclass(slots=True)
class Svg:
    """A compacted drawing.

    body: the markup inside the svg element.
    box: its viewBox (left, top, width, height), in units of the drawing.
    symbols: the glyphs that it refers to, keyed by id.
    measures: where each measure lies; `measure_ids` are their ids in the engraver's SVG.
    lead: the width of what stands before the first note of a system, without the meter.
    """

    body: str
    box: tuple[float, float, float, float]
    symbols: dict[str, str]
    measures: list[Extent]
    lead: float
    measure_ids: list[str] = field(default_factory=list)


def compact(raw: str, suffix: str = "", ids: Ids = True) -> Svg:
    """Compact one drawing.

    suffix: is added to the id of every note, for a second drawing of the same notes in one page.
    ids: which notes keep their ids.

    Raises UnknownDrawingError if the SVG contains something that this module does not know.
    """
    return read_drawing(raw, suffix, ids)[0]


def read_drawing(raw: str, suffix: str = "", ids: Ids = True) -> tuple[Svg, Drawn]:
    """Like `compact`; also returns which notes, measures and syllables were drawn."""
    compactor = _Compactor(suffix, ids)
    return compactor.read(raw), compactor.drawn


class _Compactor:
    """Reads one drawing, once. `_layer` collects the shapes of the current group; `_kind` is the
    class of the innermost group."""

    def __init__(self, suffix: str, ids: Ids) -> None:
        self.drawn = Drawn()
        self._suffix = suffix
        self._ids = ids
        self._font = Font()
        self._glyphs: dict[str, str] = {}
        self._symbols: dict[str, str] = {}
        self._names: dict[tuple[str, str], str] = {}
        self._edges: list[float] = []
        self._system = -1
        self._bracket = math.inf  # where the tip of this system's bracket begins
        self._layer = Layer()
        self._kind = ""
        #: The <g> elements that are open, outermost first. An entry says what to restore when its
        #: element ends: the class of the element around it, or, for an element that changes the
        #: font or is kept in the drawing, the arguments of `_close`.
        self._outer: list[str | tuple[str, Font, Layer | None, str]] = []
        self._lyrics = LyricLines()

    def read(self, raw: str) -> Svg:
        page = _PAGE.search(raw)
        if page is None:
            raise UnknownDrawingError("the engraver drew no page")
        self._glyphs = dict(_DEFINED.findall(raw, 0, page.start()))
        _, _, width, height = map(float, page[1].split())
        left, top = map(float, NUMBERS.findall(page[2]) or (0, 0))
        end = self._read(raw, page.end())
        if not raw.startswith("</svg>", end):
            raise UnknownDrawingError("the engraver drew more than one page")
        drawn = self.drawn
        if len(drawn.measures) < len(drawn.measure_ids):
            raise UnknownDrawingError("the engraver drew a measure without a staff")
        for line in self._lyrics.extenders(drawn.measures):
            self._layer.ink.area(line)
        # the engraver leaves too little room at the sides for some texts and braces
        start = min([-left, *(edge - _SIDE for edge in self._edges)])
        stop = max([width - left, *(edge + _SIDE for edge in self._edges)])
        # and none at the bottom for extender lines in a system without syllables
        bottom = max(height - top, self._lyrics.lowest + _BELOW)
        box = (start, -top, stop - start, bottom + top)
        body, symbols = self._layer.markup(), dict(sorted(self._symbols.items()))
        return Svg(body, box, symbols, drawn.measures, drawn.lead, drawn.measure_ids)

    def _read(self, raw: str, place: int) -> int:  # noqa: PLR0912  (calls would take half the time)
        """Read the page from the index `place` on; returns the index after its end."""
        match, outer = _TOKEN.match, self._outer
        while token := match(raw, place):
            place, which = token.end(), token.lastindex
            if which is None:  # groups end, many at a time; each </g> has 4 characters
                for end in range(token.start() + 4, place + 1, 4):
                    if not outer:
                        return end
                    before = outer.pop()
                    if before.__class__ is str:
                        self._kind = before
                    else:
                        self._close(*before)
            elif which == _GROUP:
                if token[4]:
                    continue
                kind = _plain(token[2])
                if kind is None or token[3]:
                    place = self._open(token, raw, place)
                else:
                    outer.append(self._kind)
                    self._kind = kind
            elif which == _LINE:
                self._line(*token.group(5, 6, 7, 8, 9))
            elif which == _USE:
                code, x, y, scale = token.group(10, 11, 12, 13)
                if code not in self._glyphs:
                    raise UnknownDrawingError(f"the engraver drew the unknown sign {code}")
                if self._kind in BEGINNINGS:
                    self.drawn.begins(self._kind, float(x))
                if self._kind == "notehead":
                    self._lyrics.note(self._system, float(x))
                elif self._kind == "grpSym":
                    self._bracket = min(self._bracket, float(y))
                self._sign(code, self._glyphs[code], (x, y), scale)
            elif which == _TEXT:
                self._words(*token.group(14, 15, 16, 17, 18))
            else:
                place = self._other(token, raw, place)
        raise UnknownDrawingError(f"the engraver drew {raw[place : place + 40]!r}")

    def _open(self, token: re.Match[str], raw: str, place: int) -> int:
        """Begin a group that is not plain (`_plain`); returns the index where reading goes on."""
        name, classes, more = token.group(1, 2, 3)
        turned = ""
        if more:
            values = dict(_ATTRIBUTE.findall(more))
            name, classes = values.get("id", name), values.get("class", classes)
            turned = values.get("transform", "")
        kind, _, rest = (classes or "").partition(" ")
        if "placeholder" in rest or 'visibility="hidden"' in more:
            return self.drawn.skip(raw, token.start(), place)
        self.drawn.group(kind, name or "")
        if kind == "system":
            self._system += 1
            self._bracket = math.inf
        font, outer, opening = self._font.inside(kind), None, ""
        if kind == "note" or turned:
            opening = self._opening(name or "", turned)
            outer, self._layer = self._layer, Layer()
        self._outer.append((self._kind, self._font, outer, opening))
        self._kind, self._font = kind, font
        return place

    def _close(self, kind: str, font: Font, outer: Layer | None, opening: str) -> None:
        self._kind, self._font = kind, font
        if outer is not None:
            outer.marks.append(f"<g{opening}>{self._layer.markup()}</g>")
            self._layer = outer

    def _opening(self, name: str, turned: str) -> str:
        """The attributes of a group that is kept in the drawing."""
        if turned:
            if not _TURNED.fullmatch(turned):
                raise UnknownDrawingError(f"the engraver moved something by {turned}")
            return f' transform="{turned}"'
        name, known = unescape(name), self._ids
        shown = known if isinstance(known, bool) else name in known
        return f' id="{escape(name)}{self._suffix}"' if shown else ""

    def _other(self, token: re.Match[str], raw: str, place: int) -> int:
        """Read an element without a pattern of its own; returns the index after it."""
        kind, attributes, closed = token.group(19, 20, 21)
        if kind == "title":  # shows when something points at it
            return place if closed else raw.index("</title>", place) + len("</title>")
        if kind == "text":
            if not closed:
                place = raw.index("</text>", place) + len("</text>")
            text = ET.fromstring(raw[token.start() : place])
            for line in lines(text, self._font, text.get("text-anchor", "start")):
                self._set(line)
            return place
        values = dict(_ATTRIBUTE.findall(attributes))
        match kind:
            case "path":
                self._path(values)
            case "rect":
                self._rect(values)
            case "polygon":
                self._layer.ink.polygon(values)
            case "polyline":
                self._layer.ink.polyline(values)
            case "ellipse":
                self._ellipse(values)
            case _:
                raise UnknownDrawingError(f"the engraver drew {token[0]} in an unknown way")
        return place

    def _line(self, left: str, top: str, right: str, bottom: str, width: str) -> None:
        """A straight line with flat ends."""
        x, y, u, v = int(left), int(top), int(right), int(bottom)
        if self._kind == "staff":
            self.drawn.staff_line(self._system, x, u)
        elif self._kind == "grpSym":
            self._edges += (x, u)
        if x == u or y == v:
            self._layer.ink.line((x, y), (u, v), width)
        else:
            self._layer.ink.stroke(pen(False, width), f"M{left} {top}L{right} {bottom}")

    def _path(self, path: dict[str, str]) -> None:
        drawn = path.get("d", "")
        points = points_of(drawn)
        if self._kind == "grpSym":
            self._edges += [x for x, _ in points]
        straight = len(points) == 2 and "C" not in drawn
        nib = pen_of(path, filled=path.get("fill") != "none" and not straight)
        level = straight and (points[0][0] == points[1][0] or points[0][1] == points[1][1])
        if level and not (nib.cap or nib.dash):
            self._layer.ink.line(points[0], points[1], nib.width)
            return
        self._layer.ink.stroke(nib, drawn.replace(",", " ").replace(" L", "L").replace(" C", "C"))

    def _sign(self, code: str, outline: str, place: tuple[str, str], scale: str) -> None:
        symbol = self._names.get((code, scale))
        if symbol is None:
            size = "" if scale == _USUAL_SCALE else f"-{scale.replace('.', '-')}"
            symbol = self._names[code, scale] = f"glyph-{code}{size}"
            short = scale.removeprefix("0")
            self._symbols[symbol] = (
                f'<path id="{symbol}" transform="scale({short},-{short})" d="{outline}"/>'
            )
        self._layer.marks.append(f'<use href="#{symbol}" x="{place[0]}" y="{place[1]}"/>')

    def _rect(self, rect: dict[str, str]) -> None:
        x, y, width, height = (float(rect.get(n, "0")) for n in ("x", "y", "width", "height"))
        if self._kind == "syl":
            self._lyrics.line(self._system, x, y, width, height)
        else:
            self._layer.ink.shape(rect, rectangle(x, y, width, height))

    def _ellipse(self, dot: dict[str, str]) -> None:
        x, y, radius = (dot.get(n, "0") for n in ("cx", "cy", "rx"))
        if dot.get("ry") == radius and dot.get("fill-opacity") is None:
            self._layer.marks.append(f'<circle cx="{x}" cy="{y}" r="{radius}"/>')
            return
        cx, cy, rx, ry = (float(dot.get(n, "0")) for n in ("cx", "cy", "rx", "ry"))
        self._layer.ink.shape(dot, ellipse(cx, cy, rx, ry))

    def _words(self, x: str, y: str, anchor: str | None, size: str, words: str) -> None:
        """Place a text of one line in one font of the given `size`."""
        words = BLANKS.sub(" ", unescape(words))
        if words.strip():
            self._set(TextLine(x, y, anchor or "start", [(words, self._font.sized(int(size)))]))

    def _set(self, line: TextLine) -> None:
        if self._kind == "mNum":
            line.anchor = "start"
            line.y = number(bar_number_line(float(line.y), self._bracket))
        self._edges += line.edges()
        if self._kind == "syl":
            self.drawn.syllables[-1] += "".join(words for words, _ in line.runs)
            self._lyrics.syllable(self._system, float(line.x), float(line.y))
        for piece in line.pieces():
            if isinstance(piece, Sign):
                place = number(piece.x), piece.y
                self._sign(piece.code, piece.outline, place, f"{piece.scale:g}")
            else:
                self._layer.marks.append(piece)


@lru_cache(maxsize=256)
def _plain(classes: str | None) -> str | None:
    """The first class of a plain group (one that needs no treatment of its own), or else None."""
    kind, _, more = (classes or "").partition(" ")
    special = kind == "system" or kind in NOTED or kind in STYLED or "placeholder" in more
    return None if special else kind
