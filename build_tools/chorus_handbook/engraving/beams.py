"""Beams: short notes that follow one another inside a beat share one; rests break it."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import groupby

from chorus_handbook.engraving.values import Beam, Item, Piece, Tuplet, pieces_of


def beamed(items: Sequence[Piece | Tuplet], edges: Sequence[Fraction]) -> tuple[Item, ...]:
    """The written content of a bar with its beams; none reaches over one of the `edges`."""
    done: list[Item] = []
    group: list[Piece | Tuplet] = []
    place = 0

    def close() -> None:
        if len(group) > 1:
            done.append(Beam(tuple(group)))
        else:
            done.extend(_inside(item) for item in group)
        group.clear()

    for item in items:
        leaves = list(pieces_of([item]))
        onset, end = leaves[0].onset, leaves[-1].onset + leaves[-1].duration
        if place < len(edges) and onset >= edges[place]:
            close()
        while place < len(edges) and onset >= edges[place]:
            place += 1
        if all(_short(leaf) for leaf in leaves) and place < len(edges) and end <= edges[place]:
            group.append(item)
        else:
            close()
            done.append(_inside(item))
    close()
    return tuple(done)


def _short(piece: Piece) -> bool:
    return not piece.rest and piece.value < 1


def _inside(item: Piece | Tuplet) -> Piece | Tuplet:
    """A tuplet that shares no beam with its neighbours, its own short notes done."""
    if isinstance(item, Piece):
        return item
    grouped: list[Piece | Beam] = []
    for short, run in groupby(pieces_of([item]), _short):
        notes = tuple(run)
        grouped += [Beam(notes)] if short and len(notes) > 1 else notes
    return Tuplet(item.number, item.instead_of, tuple(grouped))
