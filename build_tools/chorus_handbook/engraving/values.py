"""Written notes and rests, and how beams and tuplets hold them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class Stretch:
    """A sound or a silence inside one bar, in quarters. `cuts` are moments at which it must be
    split even if one written note could hold it. `source` is the caller's own."""

    onset: Fraction
    end: Fraction
    source: int
    rest: bool = False
    cuts: tuple[Fraction, ...] = ()


@dataclass(frozen=True, slots=True)
class Piece:
    """One written note or rest. `value` is its undotted value in quarters (4 is a whole note);
    inside a tuplet it sounds shorter or longer than it is written. `onset` and `duration` are the
    time it really takes."""

    source: int
    onset: Fraction
    duration: Fraction
    value: Fraction
    dots: int
    rest: bool


@dataclass(frozen=True, slots=True)
class Beam:
    """Notes under one beam."""

    items: tuple[Piece | Tuplet, ...]


@dataclass(frozen=True, slots=True)
class Tuplet:
    """`number` notes in the time of `instead_of`."""

    number: int
    instead_of: int
    items: tuple[Piece | Beam, ...]


Item = Piece | Beam | Tuplet


def pieces_of(items: Sequence[Item]) -> Iterator[Piece]:
    """The written notes and rests, in order, out of their beams and tuplets."""
    for item in items:
        if isinstance(item, Piece):
            yield item
        else:
            yield from pieces_of(item.items)
