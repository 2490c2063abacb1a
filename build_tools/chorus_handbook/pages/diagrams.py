"""Small pictures of formations: how a chorus stands, seen from above.

A disc is a singer, whose nose shows where the singer looks; a square is the leader. Each formation
is a function that returns the position and direction of every singer.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable

from markupsafe import Markup

from chorus_handbook.catalogue import N_, _
from chorus_handbook.chorus.model import Diagram

#: x and y in SVG units, and the direction of the eyes in degrees: 0 is to the right, 90 down.
Singer = tuple[float, float, float]

_WORDS: dict[Diagram, str] = {
    "circle": N_("Singers in one circle, all facing the middle."),
    "facing-pairs": N_("Singers in pairs, each facing the other."),
    "square": N_("Four small groups on the sides of a square, all facing the middle."),
    "arc": N_("Singers in two curved rows, facing the leader."),
    "rows": N_("Singers in straight rows, facing the leader."),
    "scattered": N_("Singers anywhere in the room, each facing a different way."),
    "seated": N_("Singers on chairs in a row, facing the leader."),
}


def _circle() -> Iterable[Singer]:
    for turn in range(0, 360, 30):
        angle = math.radians(turn)
        yield 60 + 42 * math.cos(angle), 50 + 42 * math.sin(angle), turn + 180


def _facing_pairs() -> Iterable[Singer]:
    for row in range(2):
        for column in range(3):
            x, y = 24 + 36 * column, 30 + 40 * row
            yield x - 9, y, 0
            yield x + 9, y, 180


def _square() -> Iterable[Singer]:
    for offset in (-14, 0, 14):
        yield 60 + offset, 12, 90
        yield 60 + offset, 88, 270
        yield 20, 50 + offset, 0
        yield 100, 50 + offset, 180


def _arc() -> Iterable[Singer]:
    for radius, count in ((46, 6), (66, 8)):
        for place in range(count):
            turn = 200 + 140 * place / (count - 1)
            angle = math.radians(turn)
            yield 60 + radius * math.cos(angle) * 0.85, 88 + radius * math.sin(angle), turn + 180


def _rows() -> Iterable[Singer]:
    for row in range(3):
        for column in range(6):
            yield 15 + 18 * column, 18 + 20 * row, 90


def _scattered() -> Iterable[Singer]:
    places = ((20, 25, 40), (52, 16, 160), (88, 26, 300), (30, 55, 250), (66, 48, 90))
    yield from (*places, (100, 58, 200), (18, 82, 330), (54, 80, 20), (86, 84, 230))


def _seated() -> Iterable[Singer]:
    for column in range(5):
        yield 20 + 20 * column, 35, 90


_PLACES: dict[Diagram, Callable[[], Iterable[Singer]]] = {
    "circle": _circle,
    "facing-pairs": _facing_pairs,
    "square": _square,
    "arc": _arc,
    "rows": _rows,
    "scattered": _scattered,
    "seated": _seated,
}
#: The formations in which everyone faces the leader, who is drawn too.
_LED = {"arc", "rows", "seated"}


def diagram(kind: Diagram) -> Markup:
    """The picture of a formation as inline SVG, in the colour of the page's text, with a
    description for screen readers."""
    singers = Markup().join(_singer(*place, seated=kind == "seated") for place in _PLACES[kind]())
    leader = Markup('<rect x="55" y="88" width="10" height="10"/>' if kind in _LED else "")
    return Markup(
        '<svg class="hb-diagram" role="img" aria-label="{}" viewBox="0 0 120 100">'
        '<g fill="none" stroke="currentColor" stroke-width="1.5">{}</g>'
        '<g fill="currentColor">{}</g></svg>'
    ).format(_(_WORDS[kind]), singers, leader)


def _singer(x: float, y: float, turn: float, *, seated: bool) -> Markup:
    """A disc with a nose; `seated` adds a line behind it, the back of a chair."""
    angle = math.radians(turn)
    nose_x, nose_y = x + 8 * math.cos(angle), y + 8 * math.sin(angle)
    start_x, start_y = x + 5 * math.cos(angle), y + 5 * math.sin(angle)
    chair = Markup('<path d="M{:.1f} {:.1f}h14"/>' if seated else "").format(x - 7, y - 8)
    return Markup(
        '<circle cx="{:.1f}" cy="{:.1f}" r="5"/><path d="M{:.1f} {:.1f}L{:.1f} {:.1f}"/>{}'
    ).format(x, y, start_x, start_y, nose_x, nose_y, chair)
