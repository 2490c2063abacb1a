"""What in a drawing is neither glyph nor text, gathered into as few paths as possible."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field

Point = tuple[float, float]


def number(value: float) -> str:
    """A coordinate, to a tenth of a unit (a two-hundredth of a CSS pixel)."""
    whole = int(value)
    if whole == value:
        return str(whole)
    return f"{round(value, 1):g}" if abs(value) < 1e5 else f"{value:.0f}"


def rectangle(left: float, top: float, width: float, height: float) -> str:
    """A filled rectangle as part of a path, drawn clockwise."""
    w, h = number(width), number(height)
    return f"M{number(left)} {number(top)}h{w}v{h}h-{w}z"


def ellipse(x: float, y: float, across: float, down: float) -> str:
    """An ellipse around a point, by its radii, as part of a path, drawn clockwise."""
    arc, wide = f"a{number(across)} {number(down)} 0 1 1", number(2 * across)
    return f"M{number(x - across)} {number(y)}{arc} {wide} 0{arc} -{wide} 0z"


def polygon(points: Sequence[Point]) -> str:
    """A filled polygon as part of a path, turned clockwise like all others: where shapes of
    opposite turns overlap in one path there would be a hole."""
    ahead = [*points[1:], points[0]]
    area = sum(x * v - u * y for (x, y), (u, v) in zip(points, ahead, strict=True))
    turned = points if area > 0 else points[::-1]
    return "M" + "L".join(f"{number(x)} {number(y)}" for x, y in turned) + "z"


@dataclass(frozen=True, slots=True, order=True)
class Pen:
    """How a stroked path is drawn; `filled` paths are outlined besides."""

    width: str
    cap: str = ""
    join: str = ""
    filled: bool = False
    dash: str = ""

    def attributes(self) -> str:
        """As SVG attributes."""
        fill = "" if self.filled else ' fill="none"'
        cap = f' stroke-linecap="{self.cap}"' if self.cap else ""
        join = f' stroke-linejoin="{self.join}"' if self.join else ""
        dash = f' stroke-dasharray="{self.dash}"' if self.dash else ""
        return f'{fill} stroke="currentColor" stroke-width="{self.width}"{cap}{join}{dash}'


@dataclass(slots=True)
class Ink:
    """The lines and areas of one drawing, or of one note."""

    _lines: dict[tuple[bool, float, float], list[Point]] = field(
        default_factory=lambda: defaultdict(list)
    )
    _areas: list[str] = field(default_factory=list)
    _strokes: dict[Pen, list[str]] = field(default_factory=lambda: defaultdict(list))

    def line(self, start: Point, end: Point, width: float) -> None:
        """A level or upright stroke with flat ends."""
        upright = start[0] == end[0]
        across, along = (0, 1) if upright else (1, 0)
        low, high = sorted((start[along], end[along]))
        self._lines[upright, start[across], width].append((low, high))

    def area(self, path: str) -> None:
        """A filled shape, clockwise."""
        self._areas.append(path)

    def stroke(self, pen: Pen, path: str) -> None:
        """Any other stroke."""
        self._strokes[pen].append(path)

    def markup(self) -> str:
        """All of it as SVG paths: one that is filled, and one for each pen."""
        strokes: dict[Pen, list[str]] = defaultdict(list)
        for (upright, across, width), stretches in self._lines.items():
            for low, high in _joined(stretches):
                start = (across, low) if upright else (low, across)
                direction = "v" if upright else "h"
                line = f"M{number(start[0])} {number(start[1])}{direction}{number(high - low)}"
                strokes[Pen(number(width), filled=True)].append(line)  # a line has no inside
        for pen, paths in self._strokes.items():
            strokes[pen] += paths
        areas = "".join(self._areas)
        drawn = [f'<path d="{areas}"/>'] if areas else []
        for pen in sorted(strokes):
            drawn.append(f'<path{pen.attributes()} d="{"".join(strokes[pen])}"/>')
        return "".join(drawn)


def _joined(stretches: Sequence[Point]) -> list[Point]:
    """Stretches of one line with those that touch made one."""
    joined: list[Point] = []
    for low, high in sorted(stretches):
        if joined and low <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(high, joined[-1][1]))
        else:
            joined.append((low, high))
    return joined
