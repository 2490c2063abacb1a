"""Collects signs that ABC writes before a note, and gives them to that note: decorations and grace
notes (sections 4.12, 4.14 and 4.20).
"""

from __future__ import annotations

from collections.abc import Sequence

from chorus_handbook.music.abc.marks import ACCENTS, FERMATAS, mark_sign
from chorus_handbook.music.abc.tokens import Token
from chorus_handbook.music.wording import shown
from chorus_handbook.music.written import WrittenNote
from chorus_handbook.pitch import Pitch
from chorus_handbook.problems import Problem


class PendingDecorations:
    """The decorations and grace notes that have been read before the next note of one voice.
    Problems are added to the list that it was given."""

    def __init__(self, problems: list[Problem]) -> None:
        self._problems = problems
        self._marks: list[Token] = []
        self._graces: list[Pitch] = []
        self._grace: Token | None = None  # the first of the grace notes

    def mark(self, token: Token) -> None:
        """Add a decoration, which waits for its note."""
        self._marks.append(token)

    def grace(self, token: Token, pitches: Sequence[Pitch]) -> None:
        """Add grace notes; `pitches` is empty if none of them could be read."""
        if pitches:
            self._grace = self._grace or token
            self._graces += pitches

    def give(self, tone: WrittenNote) -> None:
        """Give everything that has been waiting to the next note."""
        for mark in self._marks:
            sign = mark_sign(mark)
            if sign in FERMATAS:
                tone.fermata = True
            elif sign == "breath":
                tone.breath = mark.place
            elif self._takes_attack(tone, mark) and ACCENTS[sign] not in tone.accents:
                tone.accents += (ACCENTS[sign],)
        if self._grace and self._takes_attack(tone, self._grace):
            tone.graces = tuple(self._graces)
        self._clear()

    def settle(self, last: WrittenNote | None, at_bar: bool = False) -> None:
        """The line of text, or the bar, is over (`at_bar`). A breath that still waits belongs to
        the `last` note; anything else that waits has no note and is reported."""
        before = "a bar line" if at_bar else "no note"
        for mark in self._marks:
            if mark_sign(mark) == "breath" and last:
                last.breath = mark.place
            else:
                self._complain(
                    mark,
                    f"{mark.text} stands before {before}.",
                    "Write a decoration directly before its note.",
                )
        if self._grace:
            self._complain(
                self._grace,
                f"The grace notes {shown(self._grace.text)} stand before {before}.",
                "Write grace notes directly before the note they lead to.",
            )
        self._clear()

    def _takes_attack(self, tone: WrittenNote, token: Token) -> bool:
        """Whether a note begins with an attack, so that it can have an accent or grace notes. If it
        does not, this is reported at `token`."""
        if tone.silent:
            self._complain(
                token,
                f"{shown(token.text)} stands before a rest.",
                "Write it before a note, or delete it.",
            )
        elif tone.tied:
            self._complain(
                token,
                f"{shown(token.text)} stands before a note that is tied to the one before, so it "
                "is not struck.",
                "Write it before the first of the tied notes, or delete the tie.",
            )
        return not tone.silent and not tone.tied

    def _clear(self) -> None:
        self._marks.clear()
        self._graces.clear()
        self._grace = None

    def _complain(self, token: Token, message: str, hint: str) -> None:
        self._problems.append(Problem(token.place, "notation-token", message, hint))
