"""Names of note values: "dotted quarter", "triplet eighth", "half tied to eighth".

The names are American, as in the notation that the handbook's authors write: a whole note is four
quarters.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from chorus_handbook.catalogue import N_, _

_PLAIN = {
    Fraction(4): N_("whole"),
    Fraction(2): N_("half"),
    Fraction(1): N_("quarter"),
    Fraction(1, 2): N_("eighth"),
    Fraction(1, 4): N_("sixteenth"),
    Fraction(1, 8): N_("thirty-second"),
    Fraction(1, 16): N_("sixty-fourth"),
    Fraction(1, 32): N_("hundred twenty-eighth"),
}
#: How much longer a note is with one dot and with two.
_DOTS = {Fraction(3, 2): N_("dotted {value}"), Fraction(7, 4): N_("double dotted {value}")}
#: Tuplets by the number of their notes, with the number of notes that they take the time of (common
#: practice: the next lower power of two).
_TUPLETS = {
    3: (2, N_("triplet {value}")),
    5: (4, N_("quintuplet {value}")),
    6: (4, N_("sextuplet {value}")),
    7: (4, N_("septuplet {value}")),
}


def value_name(length: Fraction) -> str:
    """The name of a note of this length, in quarters, such as "half". A length that no single note
    has is named as tied notes: those for its whole quarters, then the rest, as in "half tied to
    eighth"."""
    name, *tied = _pieces(length)
    for further in tied:
        name = _("{value} tied to {next}", value=name, next=further)
    return name


def single_value(length: Fraction) -> str:
    """The name of the single note that has this length (in quarters); empty if no single note
    has it."""
    if length in _PLAIN:
        return _(_PLAIN[length])
    for factor, message in _DOTS.items():
        if length / factor in _PLAIN:
            return _(message, value=_(_PLAIN[length / factor]))
    for number, (instead_of, message) in _TUPLETS.items():
        written = length * number / instead_of
        if written in _PLAIN and length < 4:
            return _(message, value=_(_PLAIN[written]))
    return ""


def _pieces(length: Fraction) -> Iterator[str]:
    """The names of the notes that, tied together, have this length (in quarters)."""
    while length > 4:
        yield _(_PLAIN[Fraction(4)])
        length -= 4
    if name := single_value(length):
        yield name
        return
    whole = Fraction(int(length))
    if whole and whole != length:
        yield from _pieces(whole)
        yield from _pieces(length - whole)
        return
    longest = next((value for value in _PLAIN if value < length), None)
    if longest is None or length.denominator & (length.denominator - 1):
        yield _("{part} of a quarter", part=str(length))
        return
    yield _(_PLAIN[longest])
    yield from _pieces(length - longest)
