"""Collects the decorations and grace notes that ABC writes before a note, until that note is read
and gets them (sections 4.12, 4.14 and 4.20 of the standard).

A decoration is a sign such as a fermata, an accent or a breath mark.
"""

from __future__ import annotations

from collections.abc import Sequence

from chorus_handbook.music.abc.decoration_names import ACCENTS, FERMATAS, decoration_name
from chorus_handbook.music.abc.tokens import Token
from chorus_handbook.music.wording import shown
from chorus_handbook.music.written import WrittenNote
from chorus_handbook.pitch import Pitch
from chorus_handbook.problems import Problem


class PendingDecorations:
    """The decorations and grace notes that have been read before the next note of one voice.
    Problems are added to the list `problems`."""

    def __init__(self, problems: list[Problem]) -> None:
        self._problems = problems
        self._decorations: list[Token] = []
        self._graces: list[Pitch] = []
        self._grace: Token | None = None  # the first of the grace notes

    def decorate(self, token: Token) -> None:
        """Add a decoration, which waits for its note."""
        self._decorations.append(token)

    def grace(self, token: Token, pitches: Sequence[Pitch]) -> None:
        """Add grace notes, which wait for their note. `pitches` are those that could be read."""
        if pitches:
            self._grace = self._grace or token
            self._graces += pitches

    def give(self, note: WrittenNote) -> None:
        """Give everything that has been waiting to the next note."""
        for token in self._decorations:
            name = decoration_name(token)
            if name in FERMATAS:
                note.fermata = True
            elif name == "breath":
                note.breath = token.place
            elif self._takes_attack(note, token) and ACCENTS[name] not in note.accents:
                note.accents += (ACCENTS[name],)
        if self._grace and self._takes_attack(note, self._grace):
            note.graces = tuple(self._graces)
        self._clear()

    def settle(self, last: WrittenNote | None, at_bar: bool = False) -> None:
        """End a line of text, or a bar if `at_bar` is set. A breath that still waits belongs to the
        `last` note; anything else that waits has no note and is reported."""
        where = "before a bar line" if at_bar else "at the end of a line"
        for token in self._decorations:
            if decoration_name(token) == "breath" and last:
                last.breath = token.place
            else:
                self._complain(
                    token,
                    f"{shown(token.text)} stands {where}, not before a note.",
                    "Write a decoration directly before its note.",
                )
        if self._grace:
            self._complain(
                self._grace,
                f"The grace notes {shown(self._grace.text)} stand {where}, not before a note.",
                "Write grace notes directly before the note they lead to.",
            )
        self._clear()

    def _takes_attack(self, note: WrittenNote, token: Token) -> bool:
        """Whether a note can have an accent or grace notes, because it begins anew: it is neither a
        rest nor tied to the note before. If it cannot, this is reported at `token`."""
        if note.silent:
            self._complain(
                token,
                f"{shown(token.text)} stands before a rest.",
                "Write it before a note, or delete it.",
            )
        elif note.tied:
            self._complain(
                token,
                f"{shown(token.text)} stands before a note that is tied to the note before, so "
                "that it does not begin anew.",
                "Write it before the first of the tied notes, or delete the tie.",
            )
        return not note.silent and not note.tied

    def _clear(self) -> None:
        self._decorations.clear()
        self._graces.clear()
        self._grace = None

    def _complain(self, token: Token, message: str, hint: str) -> None:
        self._problems.append(Problem(token.place, "notation-token", message, hint))
