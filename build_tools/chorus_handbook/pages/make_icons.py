"""Draws the icons of an installed handbook: three notes that rise on a staff.

`python -m chorus_handbook.pages.make_icons` writes them again into `icons/`. All that matters lies
in the middle, since systems cut icons round or with round corners ("maskable" icons: W3C, Web
Application Manifest, whose safe zone is a circle of 40% of the width).
"""

from __future__ import annotations

import math
import struct
import zlib
from pathlib import Path

FOLDER = Path(__file__).parent / "icons"
SIZES = (192, 512)
_PAPER, _LINE, _NOTE = (0x24, 0x48, 0x5C), (0x8F, 0xB4, 0xC6), (0xFB, 0xF8, 0xF2)
# All sizes below are in parts of the icon's width.
#: The heights of the staff lines, and half their thickness.
_LINES, _THIN = tuple(0.5 + 0.09 * n for n in (-2, -1, 0, 1, 2)), 0.008
#: Where the staff lines begin and end.
_FROM, _TO = 0.17, 0.83
#: The centres of the note heads and half their axes; they lean to the right as printed ones do.
_HEADS = ((0.3, 0.635), (0.5, 0.5), (0.7, 0.365))
_WIDE, _HIGH, _LEAN = 0.085, 0.062, math.radians(-20)


def icon(size: int) -> bytes:
    """An icon with sides of `size` pixels, as a PNG file."""
    rows = (b"\0" + bytes(c for x in range(size) for c in _colour(x, y, size)) for y in range(size))
    return _png(size, b"".join(rows))


def _colour(x: int, y: int, size: int) -> tuple[int, ...]:
    """The colour of a pixel. If an edge crosses the pixel, the colours of both sides are mixed."""
    u, v = (x + 0.5) / size, (y + 0.5) / size
    line = min(abs(v - height) for height in _LINES) - _THIN
    colour: tuple[float, ...] = _PAPER
    colour = _mixed(colour, _LINE, max(line, _FROM - u, u - _TO) * size)
    for a, b in _HEADS:
        along = (u - a) * math.cos(_LEAN) + (v - b) * math.sin(_LEAN)
        across = (v - b) * math.cos(_LEAN) - (u - a) * math.sin(_LEAN)
        beyond = (math.hypot(along / _WIDE, across / _HIGH) - 1) * _HIGH
        colour = _mixed(colour, _NOTE, beyond * size)
    return tuple(round(part) for part in colour)


def _mixed(below: tuple[float, ...], above: tuple[int, ...], outside: float) -> tuple[float, ...]:
    """The colour of a pixel at the edge of a shape: `above` is the colour of the shape, `below`
    that of what lies under it. `outside` is the distance in pixels from the middle of the pixel to
    the edge, negative inside the shape."""
    share = min(max(0.5 - outside, 0), 1)
    return tuple(a * share + b * (1 - share) for a, b in zip(above, below, strict=True))


def _png(size: int, rows: bytes) -> bytes:
    """A PNG file of 8-bit red, green and blue (W3C, PNG specification, section 11)."""

    def chunk(kind: bytes, content: bytes) -> bytes:
        checked = zlib.crc32(kind + content)
        return struct.pack(">I", len(content)) + kind + content + struct.pack(">I", checked)

    head = struct.pack(">IIBBBBB", size, size, 8, 2, 0, 0, 0)
    packed = zlib.compress(rows, 9)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", packed) + chunk(b"IEND", b"")
    )


if __name__ == "__main__":
    for side in SIZES:
        (FOLDER / f"icon-{side}.png").write_bytes(icon(side))
