"""Checks the slurs of one voice as they are written: each must begin and end (section 4.11 of the
standard).

A note may end one slur and begin the next, as in (c d (e) f g a). So ")" ends the slur that began
last on an earlier note. Each ending of a repeat continues the slurs that were open before the first
ending.
"""

from __future__ import annotations

from chorus_handbook.music.written import Barline, WrittenNote
from chorus_handbook.problems import Place, Problem

#: Slurs that may be open at once.
_MOST_OPEN = 8


class WrittenSlurs:
    """Counts, on each note, the slurs that begin and end there. Problems are added to the list
    `problems`."""

    def __init__(self, problems: list[Problem]) -> None:
        self._problems = problems
        self._begun: list[Place] = []  # slurs that begin at the next note
        self._open: list[tuple[Place, WrittenNote]] = []  # each with the note it began on
        self._before_endings: list[tuple[Place, WrittenNote]] = []  # open at the first ending

    def begin(self, place: Place) -> None:
        """Read a "(" at `place`: a slur begins at the next note."""
        if len(self._open) + len(self._begun) >= _MOST_OPEN:
            self._complain(
                place,
                f"More than {_MOST_OPEN} slurs are open here.",
                'End one of them first: write ")" after its last note.',
            )
            return
        self._begun.append(place)

    def take(self, note: WrittenNote) -> None:
        """Begin, at this note, the slurs whose "(" stands before it. To be called for each note in
        turn."""
        self._open += ((place, note) for place in self._begun)
        note.slurs_begin += len(self._begun)
        self._begun.clear()

    def end(self, place: Place, last: WrittenNote | None) -> None:
        """Read a ")" at `place`. It ends a slur on `last`, the note before it (None if there is
        none). A ")" that ends no slur is reported."""
        earlier = [slur for slur in self._open if slur[1] is not last]
        if last and earlier and not self._begun:
            self._open.remove(earlier[-1])
            last.slurs_end += 1
            return
        if self._begun:
            self._begun.pop()
        elif self._open and last:
            self._open.pop()
        else:
            self._complain(
                place,
                'This ")" ends no slur, because no slur is open here.',
                'Delete it, or write "(" before the first note of the slur. A tuplet such as '
                '"(3CDE" has no ")" after it.',
            )
            return
        self._complain(
            place,
            "This slur does not reach from one note to another.",
            'Write "(" before its first note and ")" after its last, as in "(CDE)".',
        )

    def pass_barline(self, barline: Barline) -> None:
        """Pass a bar line. At the first ending of a repeat the open slurs are remembered; every
        further ending begins with them."""
        if 1 in barline.ending:
            self._before_endings = list(self._open)
        elif barline.ending:
            self._never_end([s for s in self._open if s not in self._before_endings])
            self._open = list(self._before_endings)

    def finish(self) -> None:
        """Report slurs that never end."""
        self._never_end(self._open)
        for place in self._begun:
            self._complain(place, 'No note follows this "(".', "Delete it.")

    def _never_end(self, slurs: list[tuple[Place, WrittenNote]]) -> None:
        """Report that these slurs never end."""
        for place, _ in slurs:
            self._complain(place, "This slur never ends.", 'Write ")" after its last note.')

    def _complain(self, place: Place, message: str, hint: str) -> None:
        self._problems.append(Problem(place, "notation-token", message, hint))
