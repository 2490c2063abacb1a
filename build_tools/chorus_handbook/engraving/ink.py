"""Collects the lines and areas of a drawing, and writes them in as few SVG paths as possible, which
makes the drawing much smaller. All filled areas are written clockwise, because where areas of
opposite directions overlap in one path, there would be a hole."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

#: The coordinates x and y.
Point = tuple[float, float]
#: A part of a horizontal or vertical line: where it starts and ends, the smaller number first.
Stretch = tuple[float, float]

NUMBERS = re.compile(r"-?\d+(?:\.\d+)?")
#: The SVG attributes of a stroke that are kept.
_PEN = ("stroke-width", "stroke-linecap", "stroke-linejoin", "stroke-dasharray")


def number(value: float) -> str:
    """A coordinate, to a tenth of a unit (a two-hundredth of a CSS pixel)."""
    if value.__class__ is int:
        return str(value)
    whole = int(value)
    if whole == value:
        return str(whole)
    return f"{round(value, 1):g}" if abs(value) < 1e5 else f"{value:.0f}"


def rectangle(left: float, top: float, width: float, height: float) -> str:
    """A filled rectangle as part of a path, drawn clockwise."""
    w, h = number(width), number(height)
    return f"M{number(left)} {number(top)}h{w}v{h}h-{w}z"


def ellipse(x: float, y: float, radius_x: float, radius_y: float) -> str:
    """An ellipse around a point, by its radii, as part of a path, drawn clockwise."""
    arc, wide = f"a{number(radius_x)} {number(radius_y)} 0 1 1", number(2 * radius_x)
    return f"M{number(x - radius_x)} {number(y)}{arc} {wide} 0{arc} -{wide} 0z"


def polygon(points: Sequence[Point]) -> str:
    """A filled polygon as part of a path, drawn clockwise, in whichever order the points are."""
    ahead = [*points[1:], points[0]]
    area = sum(x * v - u * y for (x, y), (u, v) in zip(points, ahead, strict=True))
    turned = points if area > 0 else points[::-1]
    return "M" + "L".join(f"{number(x)} {number(y)}" for x, y in turned) + "z"


@dataclass(frozen=True, slots=True, order=True)
class Pen:
    """How the line of a path is drawn: the values of SVG attributes. `filled` says whether the
    inside of the path is filled, too."""

    width: str
    cap: str = ""
    join: str = ""
    filled: bool = False
    dash: str = ""

    def attributes(self) -> str:
        """This pen as SVG attributes."""
        fill = "" if self.filled else ' fill="none"'
        cap = f' stroke-linecap="{self.cap}"' if self.cap else ""
        join = f' stroke-linejoin="{self.join}"' if self.join else ""
        dash = f' stroke-dasharray="{self.dash}"' if self.dash else ""
        return f'{fill} stroke="currentColor" stroke-width="{self.width}"{cap}{join}{dash}'


@lru_cache(maxsize=256)
def _line_pen(width: str) -> Pen:
    # a straight line has no inside; calling it filled saves the attribute fill="none"
    return Pen(number(float(width)), filled=True)


@dataclass(slots=True)
class Ink:
    """The lines and areas of one drawing, or of one note."""

    #: The stretches of each straight line. A line is known by three things: whether it is vertical,
    #: its x if it is vertical and else its y, and its width.
    _lines: dict[tuple[bool, float, str], list[Stretch]] = field(default_factory=dict)
    _areas: list[str] = field(default_factory=list)
    _strokes: dict[Pen, list[str]] = field(default_factory=dict)  # the paths of all other lines

    def line(self, start: Point, end: Point, width: str) -> None:
        """Add a horizontal or vertical line with flat ends."""
        upright = start[0] == end[0]
        (x, y), (end_x, end_y) = start, end
        place, low, high = (x, y, end_y) if upright else (y, x, end_x)
        stretch = (low, high) if low <= high else (high, low)
        self._lines.setdefault((upright, place, width), []).append(stretch)

    def area(self, path: str) -> None:
        """Add a filled shape whose path goes clockwise."""
        self._areas.append(path)

    def stroke(self, pen: Pen, path: str) -> None:
        """Add any other line."""
        self._strokes.setdefault(pen, []).append(path)

    def shape(self, attributes: Mapping[str, str], path: str) -> None:
        """Add a closed shape: filled, or only its outline if its fill is transparent."""
        if attributes.get("fill-opacity") == "0":
            self.stroke(pen_of(attributes), path)
        else:
            self.area(path)

    def polygon(self, attributes: Mapping[str, str]) -> None:
        """Add a <polygon> with these attributes, filled."""
        self.area(polygon(points_of(attributes.get("points", ""))))

    def polyline(self, attributes: Mapping[str, str]) -> None:
        """Add a <polyline> with these attributes: a line from point to point."""
        points = points_of(attributes.get("points", ""))
        path = "M" + "L".join(f"{number(x)} {number(y)}" for x, y in points)
        self.stroke(pen_of(attributes), path)

    def markup(self) -> str:
        """SVG paths: one for all areas, and one for each pen."""
        strokes: dict[Pen, list[str]] = {}
        for (upright, place, width), stretches in self._lines.items():
            paths = strokes.setdefault(_line_pen(width), [])
            for low, high in _merged(stretches) if len(stretches) > 1 else stretches:
                x, y = (place, low) if upright else (low, place)
                direction = "v" if upright else "h"
                paths.append(f"M{number(x)} {number(y)}{direction}{number(high - low)}")
        for pen, others in self._strokes.items():
            strokes.setdefault(pen, []).extend(others)
        areas = "".join(self._areas)
        drawn = [f'<path d="{areas}"/>'] if areas else []
        for pen in sorted(strokes) if len(strokes) > 1 else strokes:
            drawn.append(f'<path{pen.attributes()} d="{"".join(strokes[pen])}"/>')
        return "".join(drawn)


@dataclass(slots=True)
class Layer:
    """What is drawn in a group that the compacted drawing keeps: the whole drawing, or one note.
    `ink` has its lines and areas, `marks` its other elements, such as glyphs, as SVG."""

    ink: Ink = field(default_factory=Ink)
    marks: list[str] = field(default_factory=list)

    def markup(self) -> str:
        return self.ink.markup() + "".join(self.marks)


def _merged(stretches: Sequence[Stretch]) -> list[Stretch]:
    """The stretches of one line, with those joined that touch or overlap."""
    joined: list[Stretch] = []
    for low, high in sorted(stretches):
        if joined and low <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(high, joined[-1][1]))
        else:
            joined.append((low, high))
    return joined


def pen_of(attributes: Mapping[str, str], filled: bool = False) -> Pen:
    """The pen that an element is drawn with."""
    return pen(filled, *map(attributes.get, _PEN))


@lru_cache(maxsize=256)
def pen(
    filled: bool,
    width: str | None,
    cap: str | None = None,
    join: str | None = None,
    dash: str | None = None,
) -> Pen:
    """The pen for these values of SVG attributes; values that are SVG's defaults are dropped."""
    return Pen(
        width or "1",
        (cap or "").replace("butt", ""),
        (join or "").replace("miter", ""),
        filled,
        dash or "",
    )


def points_of(text: str) -> list[tuple[float, float]]:
    """The coordinates in a path or a list of points, in pairs."""
    numbers = [float(n) for n in NUMBERS.findall(text)]
    return list(zip(numbers[::2], numbers[1::2], strict=True))
