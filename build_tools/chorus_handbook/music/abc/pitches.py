"""Computes the pitch of a note of ABC from its letter, octave marks and accidentals (sections 4.1,
4.2 and 11.3).
"""

from __future__ import annotations

from collections.abc import Sequence

from chorus_handbook.music.abc.keys import ALTER
from chorus_handbook.music.abc.tokens import Token
from chorus_handbook.music.degrees.token_errors import MOST_OCTAVE_MARKS
from chorus_handbook.music.wording import shown
from chorus_handbook.music.written import Key
from chorus_handbook.pitch import LETTERS, Pitch
from chorus_handbook.problems import Problem

#: How far an accidental holds to the bar line: in every octave, in its own, or not at all.
PROPAGATIONS = ("pitch", "octave", "not")


class Pitches:
    """The accidentals that are valid at the moment in one voice. `shift` octaves are added to the
    letters; problems are added to the list that it was given."""

    def __init__(self, key: Key, shift: int, propagation: str, problems: list[Problem]) -> None:
        self.shift = shift
        self._key = key
        self._propagation = propagation
        self._problems = problems
        self._held: dict[tuple[int, int], int] = {}  # the accidentals of this bar

    def end_bar(self) -> None:
        """Only the key counts again."""
        self._held.clear()

    def read(self, token: Token, tied: Sequence[Pitch] = ()) -> Pitch | None:
        """The pitch of a note, `tied` being what is tied to it; None when it has a problem."""
        step = LETTERS.index(token["step"].upper())
        marks = token["octave"]
        if len(marks) > MOST_OCTAVE_MARKS or len(set(marks)) > 1:
            self._complain(
                token,
                f"{shown(token.text)} "
                + (
                    "goes up and down at once."
                    if len(set(marks)) > 1
                    else "is out of reach for any voice."
                ),
                f"A comma is an octave lower, ' an octave higher; {MOST_OCTAVE_MARKS} at most.",
            )
            return None
        octave = 4 + token["step"].islower() + marks.count("'") - marks.count(",") + self.shift
        held = step, octave if self._propagation == "octave" else 0
        alter = self._held.get(held, self._key.altered.get(step, 0))
        if token["accidental"]:
            alter = ALTER[token["accidental"]]
            if self._propagation != "not":
                self._held[held] = alter
        else:  # an accidental holds over the bar line for a tied note
            before = (p.alter for p in tied if (p.step, p.octave) == (step, octave))
            alter = next(before, alter)
        pitch = Pitch(step, alter, octave)
        if abs(self._key.degree(pitch, 0).alter) > 1:
            self._complain(
                token,
                f"{shown(token.text)} is more than a semitone away from the scale of the key.",
                "Spell it with the letter next to it, so that it can be written in other keys too.",
            )
            return None
        return pitch

    def _complain(self, token: Token, message: str, hint: str) -> None:
        self._problems.append(Problem(token.place, "notation-token", message, hint))
