"""What lies on what in the engraver's drawings, by boxes: signs by the boxes of its music font,
letters by those of its text font, lines and curves in short pieces.

The boxes are read from the engraver's own SVG, which says what each thing is, with the corrections
that `engraving/compact.py` makes: where extender lines end, and where bar numbers stand.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree as ET

import verovio

from chorus_handbook.engraving.compact import compact
from chorus_handbook.engraving.texts import LyricLines, bar_number_line

#: Left, top, right, bottom, in units of the drawing; y grows downward.
Box = tuple[float, float, float, float]

_DATA = Path(verovio.__file__).parent / "data"
_SVG = "{http://www.w3.org/2000/svg}"
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
_PLACE = re.compile(r"translate\((\S+), (\S+)\) scale\((\S+),")
#: Extender lines lie on the baseline of their syllables, hyphens above it.
_BASELINE = 40
#: Curves and slanted lines are measured in so many pieces.
_PIECES = 12

#: What a group of the engraver is, where that is not its class.
_KINDS = {
    "notehead": "note",
    "keyAccid": "key signature",
    "keySig": "key signature",
    "meterSig": "meter",
    "mNum": "bar number",
    "grpSym": "bracket",
    "dynam": "dynamic",
    "dir": "direction",
    "tupletNum": "tuplet number",
    "tupletBracket": "tuplet bracket",
    "barLine": "bar line",
    "syl": "syllable",
    "accid": "accidental",
    "artic": "accent",
    "ledgerLines": "ledger line",
    "gliss": "glide",
    "staff": "staff line",
    "reh": "rehearsal mark",
    "mRest": "rest",
}
#: What must lie on nothing. The rest is built of parts that touch.
MARKS = frozenset(
    """dynamic,hairpin,fermata,breath,direction,syllable,extender,tempo,ending,bar number,
    tuplet number,rehearsal mark""".replace("\n    ", "").split(",")
)
#: What touches by its nature.
_TOGETHER = {
    frozenset({"tuplet number", "tuplet bracket"}),
    frozenset({"ending", "bar line"}),
}


@dataclass(slots=True)
class Thing:
    """One thing that is drawn: what it is, its boxes, the id of its group, and its system, counted
    from 0."""

    kind: str
    boxes: list[Box]
    group: str
    system: int
    text: str = ""

    @property
    def box(self) -> Box:
        """Around all of it."""
        lefts, tops, rights, bottoms = zip(*self.boxes, strict=True)
        return min(lefts), min(tops), max(rights), max(bottoms)


@dataclass(slots=True)
class _Reader:
    things: list[Thing] = field(default_factory=list)
    lyrics: LyricLines = field(default_factory=LyricLines)
    system: int = -1
    bracket: float = math.inf

    def read(self, element: ET.Element, kind: str, group: str) -> None:
        for child in element:
            tag = child.tag.removeprefix(_SVG)
            if tag == "g":
                name = (child.get("class") or "").split(" ")
                if "placeholder" in name or child.get("visibility") == "hidden":
                    continue
                if name[0] == "system":
                    self.system += 1
                    self.bracket = math.inf
                inside = _KINDS.get(name[0], name[0])
                if name[0] in ("layer", "measure", "system", "verse", "", "lineDash"):
                    inside = kind if name[0] in ("verse", "", "lineDash") else name[0]
                self.read(child, inside, child.get("id") or group)
            else:
                self._leaf(tag, child, kind, group)

    def _leaf(self, tag: str, leaf: ET.Element, kind: str, group: str) -> None:
        match tag:
            case "use":
                self._sign(leaf, kind, group)
            case "text":
                for words, box, x, y in self._texts(leaf, kind):
                    self._add(kind, [box], group, words)
                    if kind == "syllable":
                        self.lyrics.syllable(self.system, x, y)
            case "rect":
                x, y, width, height = _numbers(leaf, "x", "y", "width", "height")
                if kind == "syllable":
                    self.lyrics.line(self.system, x, y, width, height)
                else:
                    self._add(kind, [(x, y, x + width, y + height)], group)
            case "ellipse":
                x, y, a, b = _numbers(leaf, "cx", "cy", "rx", "ry")
                self._add("dot" if kind == "dots" else kind, [(x - a, y - b, x + a, y + b)], group)
            case "path":
                self._add(kind, list(_path(leaf)), group)
            case "polygon":
                points = _points(leaf.get("points", ""))
                self._add(kind, list(_area(points)), group)
            case "polyline":
                pen = float(leaf.get("stroke-width", "0")) / 2
                points = _points(leaf.get("points", ""))
                boxes = [b for a, z in pairwise(points) for b in _line(a, z, pen)]
                self._add(kind, boxes, group)

    def _sign(self, use: ET.Element, kind: str, group: str) -> None:
        box = _glyph(use)
        if kind == "note":
            self.lyrics.note(self.system, box[0])
        elif kind == "bracket":
            self.bracket = min(self.bracket, _place(use)[1])
        self._add(kind, [box], group)

    def _texts(self, text: ET.Element, kind: str) -> Iterator[tuple[str, Box, float, float]]:
        for words, (left, top, right, bottom), x, y in _texts(text, start=kind == "bar number"):
            up = y - bar_number_line(y, self.bracket) if kind == "bar number" else 0
            yield words, (left, top - up, right, bottom - up), x, y

    def _add(self, kind: str, boxes: list[Box], group: str, text: str = "") -> None:
        if boxes:
            self.things.append(Thing(kind, boxes, group, self.system, text))


def things(raw: str) -> list[Thing]:
    """All that is drawn in the engraver's SVG."""
    root = ET.fromstring(raw)
    page = next(g for g in root.iter(f"{_SVG}g") if g.get("class") == "page-margin")
    reader = _Reader()
    reader.read(page, "page", "")
    lines = [(system, y, h) for system, _, y, _, h in reader.lyrics._lines]
    drawn = reader.lyrics.extenders(compact(raw).measures)
    for path in drawn:
        x, y, width, height = (float(n) for n in _NUMBER.findall(path)[:4])
        system = next(s for s, top, _ in lines if abs(top - y) < 1)
        baselines = {line for _, line in reader.lyrics._syllables.get(system, ())}
        on = any(abs(line - y - height) < _BASELINE for line in baselines) or not baselines
        kind = "extender" if on or width > 400 else "hyphen"
        reader.things.append(Thing(kind, [(x, y, x + width, y + height)], "", system))
    return reader.things


def collisions(drawn: Sequence[Thing], within: float = 0) -> Iterator[tuple[Thing, Thing]]:
    """Every two things that lie on each other and should not, or are less than `within` apart."""
    half = within / 2
    boxes = sorted(
        (
            ((left - half, top - half, right + half, bottom + half), thing)
            for thing in drawn
            for left, top, right, bottom in thing.boxes
        ),
        key=lambda pair: pair[0][0],
    )
    seen: set[tuple[int, int]] = set()
    open_: list[tuple[Box, Thing]] = []
    for box, thing in boxes:
        open_ = [(b, t) for b, t in open_ if b[2] > box[0]]
        for other_box, other in open_:
            if other_box[1] < box[3] and box[1] < other_box[3] and _apart(thing, other):
                pair = (id(other), id(thing))
                if pair not in seen and pair[::-1] not in seen:
                    seen.add(pair)
                    yield other, thing
        open_.append((box, thing))


def _apart(one: Thing, other: Thing) -> bool:
    kinds = {one.kind, other.kind}
    if one is other or not kinds & MARKS or (one.group == other.group and one.group):
        return False
    return frozenset(kinds) not in _TOGETHER


def counted(pairs: Iterable[tuple[Thing, Thing]]) -> Counter[tuple[str, str]]:
    """How often two kinds lie on each other, by their names in order."""
    return Counter((a, b) for one, other in pairs for a, b in [sorted((one.kind, other.kind))])


def _numbers(element: ET.Element, *names: str) -> tuple[float, ...]:
    return tuple(float(element.get(name, "0")) for name in names)


def _points(text: str) -> list[tuple[float, float]]:
    numbers = [float(n) for n in _NUMBER.findall(text)]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


def _line(a: tuple[float, float], z: tuple[float, float], pen: float) -> Iterator[Box]:
    """A line in pieces; one piece where it is level or upright."""
    pieces = 1 if a[0] == z[0] or a[1] == z[1] else _PIECES
    for n in range(pieces):
        (x, y), (u, v) = (
            (a[0] + (z[0] - a[0]) * t / pieces, a[1] + (z[1] - a[1]) * t / pieces)
            for t in (n, n + 1)
        )
        across, along = (0 if y == v else pen), (0 if x == u else pen)  # flat ends
        yield min(x, u) - across, min(y, v) - along, max(x, u) + across, max(y, v) + along


def _area(points: Sequence[tuple[float, float]]) -> Iterator[Box]:
    """A four-cornered area, such as a beam, in upright strips."""
    xs, ys = zip(*points, strict=True)
    if len(points) != 4 or len(set(xs)) != 2:
        yield min(xs), min(ys), max(xs), max(ys)
        return
    left = sorted(y for x, y in points if x == min(xs))
    right = sorted(y for x, y in points if x == max(xs))
    width = (max(xs) - min(xs)) / _PIECES
    for n in range(_PIECES):
        tops = [left[0] + (right[0] - left[0]) * t / _PIECES for t in (n, n + 1)]
        bottoms = [left[-1] + (right[-1] - left[-1]) * t / _PIECES for t in (n, n + 1)]
        yield min(xs) + n * width, min(tops), min(xs) + (n + 1) * width, max(bottoms)


def _path(path: ET.Element) -> Iterator[Box]:
    drawn = path.get("d", "")
    pen = float(path.get("stroke-width", "0")) / 2
    points = _points(drawn)
    if "C" not in drawn:
        for a, z in pairwise(points):
            yield from _line(a, z, pen)
        return
    first = [_bezier(points[:4], n / _PIECES) for n in range(_PIECES + 1)]
    second = (
        [_bezier(points[6:2:-1], n / _PIECES) for n in range(_PIECES + 1)]
        if len(points) == 7
        else first
    )
    for (a, z), (b, y) in zip(pairwise(first), pairwise(second), strict=True):
        xs, ys = zip(a, z, b, y, strict=True)
        yield min(xs) - pen, min(ys) - pen, max(xs) + pen, max(ys) + pen


def _bezier(points: Sequence[tuple[float, float]], t: float) -> tuple[float, float]:
    weights = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3)
    return (
        sum(w * x for w, (x, _) in zip(weights, points, strict=True)),
        sum(w * y for w, (_, y) in zip(weights, points, strict=True)),
    )


def _place(use: ET.Element) -> tuple[float, ...]:
    """Where a sign stands, and its scale."""
    found = _PLACE.search(use.get("transform", ""))
    assert found is not None
    return tuple(float(n) for n in found.groups())


def _glyph(use: ET.Element) -> Box:
    x, y, scale = _place(use)
    code = use.get("href", "").removeprefix("#").split("-")[0]
    left, low, width, height = _boxes("Leipzig.xml")[int(code, 16)][:4]
    left, low, width, height = (n * scale * 1000 for n in (left, low, width, height))
    return x + left, y - low - height, x + left + width, y - low


def _texts(text: ET.Element, start: bool) -> Iterator[tuple[str, Box, float, float]]:
    """The words of a text, what their letters cover, and where they begin."""
    spans = [span for span in text.iter(f"{_SVG}tspan") if span.text and span.text.strip()]
    x, y = float(text.get("x", "0")), float(text.get("y", "0"))
    anchor = "start" if start else text.get("text-anchor", "start")
    letters: list[tuple[float, float, float, float]] = []
    at = 0.0
    for span in spans:
        size = float((span.get("font-size") or "405px").removesuffix("px"))
        table = "Leipzig.xml" if span.get("font-family") == "Leipzig" else "text/Times.xml"
        for letter in (span.text or "").replace("\n", ""):
            left, low, width, height, advance = _boxes(table).get(
                ord(letter), (0.0, 0.0, 0.5, 0.5, 0.5)
            )
            if width and height:
                right, high = left + width, low + height
                letters.append((at + left * size, low * size, at + right * size, high * size))
            at += advance * size
        if span.get("x"):
            x, y = float(span.get("x", x)), float(span.get("y", y))
    if not letters:
        return
    begins = x - {"middle": at / 2, "end": at}.get(anchor, 0.0)
    lefts, lows, rights, highs = zip(*letters, strict=True)
    box = begins + min(lefts), y - max(highs), begins + max(rights), y - min(lows)
    yield "".join(span.text or "" for span in spans), box, x, y


@lru_cache(maxsize=4)
def _boxes(table: str) -> dict[int, tuple[float, float, float, float, float]]:
    """By letter: left, low, width, height and how far the next one is, as shares of the size."""
    root = ET.parse(_DATA / table).getroot()
    whole = float(root.get("units-per-em", "1000"))
    return {
        int(glyph.get("c", "0"), 16): tuple(  # type: ignore[misc]
            float(glyph.get(n, glyph.get("w", "0"))) / whole for n in ("x", "y", "w", "h", "h-a-x")
        )
        for glyph in root
    }
