"""Computes the length of a note of ABC from the number after it, broken rhythm (A>B) and tuplets
(sections 4.3, 4.4 and 4.13 of the standard).

A tuplet or broken rhythm changes the lengths of notes that are not read yet, so `Rhythm` keeps it
until they are.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from chorus_handbook.music.abc.tokens import Token
from chorus_handbook.music.score import Meter
from chorus_handbook.music.wording import shown
from chorus_handbook.music.written import WrittenNote
from chorus_handbook.problems import Place, Problem

#: The shortest note outside a tuplet is a quarter divided by this: a 256th note.
_FINEST = 64
#: The longest note, in quarters.
_LONGEST = 64
#: The allowed values of q and r in a tuplet. It is written `(p:q:r` and means: p notes in the time
#: of q, for the next r notes.
_INSTEAD_OF, _TUPLET_NOTES = range(1, 17), range(1, 33)


@dataclass(slots=True)
class _Tuplet:
    """A tuplet at `place`, written as `text`, of which `left` notes are still to come. The length
    of each note is its written length times `factor`."""

    place: Place
    factor: Fraction
    left: int
    text: str


def read_length(text: str) -> Fraction | None:
    """Read the length after a letter, in units of `L:`: 2 for "2", 3/2 for "3/2", 1/4 for "//".
    None when it is not a length."""
    above, _, below = text.partition("/")
    if below and not below.strip("/"):  # each stroke halves the length; nine are too many anyway
        below = str(2 ** min(len(below) + 1, 9))
    elif not below:
        below = "2" if "/" in text else "1"
    if len(above) > 3 or len(below) > 3 or int(below) == 0:
        return None
    return Fraction(int(above or 1), int(below))


class Rhythm:
    """Computes the lengths of the notes of one voice, one note after another. `unit` is the length
    of a letter without a number, in quarters. Problems are added to the list `problems`."""

    def __init__(self, meter: Meter, unit: Fraction, problems: list[Problem]) -> None:
        self.unit = unit
        self._meter = meter
        self._problems = problems
        self._tuplet: _Tuplet | None = None
        # If the next note is the second of a broken rhythm: the factor by which its length is
        # multiplied, and the place of the rhythm's sign.
        self._factor: tuple[Fraction, Place] | None = None

    @property
    def broken(self) -> bool:
        """Whether the next note is the second of a broken rhythm."""
        return self._factor is not None

    def duration(self, token: Token, length: Fraction | None) -> Fraction | None:
        """The length of the next note or rest, in quarters; None when it has a problem, which is
        reported. `length` is what `read_length` gave for it, in units of `L:`."""
        factor = self._factor[0] if self._factor else Fraction(1)
        self._factor = None
        duration = self.unit * factor * (length or 0)
        if not 0 < duration <= _LONGEST or _FINEST % duration.denominator:
            self._no_length(token)
            return None
        if self._tuplet:
            duration *= self._tuplet.factor
            self._tuplet.left -= 1
            self._tuplet = self._tuplet if self._tuplet.left else None
        return duration

    def _no_length(self, token: Token) -> None:
        """Report a length that no note can have."""
        self._complain(
            token.place,
            f"{shown(token.text)} has a length that no note can have.",
            'Write a length such as "C2", "C/2" or "C3/2": a whole number, or halves, quarters and '
            'so on of what "L:" says. Write three notes in the time of two as "(3CDE".',
        )

    def break_rhythm(self, token: Token, last: WrittenNote) -> None:
        """Lengthen one of two notes and shorten the other: with > the first is the longer. `last`
        is the first of them; the second is the next note that is read."""
        short = Fraction(1, 2 ** len(token.text))
        first, second = (2 - short, short) if token.text[0] == ">" else (short, 2 - short)
        duration = last.duration * first
        # the largest power of two by which a quarter is divided; tuplets divide it by other numbers
        if duration.denominator & -duration.denominator > _FINEST:
            self._no_length(token)
            return
        last.duration = duration
        self._factor = second, token.place

    def begin_tuplet(self, token: Token) -> None:
        """Begin a tuplet with the next note. `(p:q:r` is p notes in the time of q, for the next r
        notes."""
        self._end_tuplet()
        number = int(token["p"])
        # Where q is left out, it follows from p; for 5, 7 and 9 also from the meter (4.13).
        usual = {2: 3, 3: 2, 4: 3, 6: 2, 8: 3}.get(number, 3 if self._meter.compound else 2)
        instead_of = int(token["q"][:3] or usual)
        notes = int(token["r"][:3] or number)
        if number < 2 or instead_of not in _INSTEAD_OF or notes not in _TUPLET_NOTES:
            self._complain(
                token.place,
                f"{shown(token.text)} does not begin a tuplet.",
                'Write "(3CDE" for three notes in the time of two, or "(5:4CDEFG" for five in the '
                'time of four; the first number is 2 to 9. For a slur, write "(" without a number.',
            )
            return
        self._tuplet = _Tuplet(token.place, Fraction(instead_of, number), notes, token.text)

    def end(self) -> None:
        """End a bar or the voice. A tuplet or broken rhythm that is still incomplete is
        reported."""
        self._end_tuplet()
        self._end_broken()

    def _end_tuplet(self) -> None:
        if self._tuplet:
            left = self._tuplet.left
            self._complain(
                self._tuplet.place,
                f'The tuplet "{self._tuplet.text}" needs {left} more note{"s" * (left > 1)} in '
                "this bar.",
                'Add the missing notes, or write how many there are, such as "(3:2:2" for two '
                "notes.",
            )
            self._tuplet = None

    def _end_broken(self) -> None:
        if self._factor:
            self._complain(
                self._factor[1],
                "This broken rhythm has no second note in its bar.",
                'Write ">" or "<" between two notes.',
            )
            self._factor = None

    def _complain(self, place: Place, message: str, hint: str) -> None:
        self._problems.append(Problem(place, "notation-token", message, hint))
