"""Computes the pitch of a note of ABC from its letter, octave marks and accidentals (sections 4.1,
4.2 and 11.3 of the standard).
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

#: For which notes an accidental counts, up to the next bar line: for its letter in every octave,
#: for its letter in its own octave, or only for the note that it stands before (the values of ABC's
#: instruction `propagate-accidentals`).
PROPAGATIONS = ("pitch", "octave", "not")


class Pitches:
    """Reads pitches, and remembers the accidentals of the current bar of one voice.

    shift: how many octaves are added to the octave of every letter.
    propagation: how far accidentals are valid; one of `PROPAGATIONS`.
    problems: the list to which problems are added.
    """

    def __init__(self, key: Key, shift: int, propagation: str, problems: list[Problem]) -> None:
        self.shift = shift
        self._key = key
        self._propagation = propagation
        self._problems = problems
        self._accidentals: dict[tuple[int, int], int] = {}  # those of this bar

    def end_bar(self) -> None:
        """Forget the accidentals of the bar; only those of the key remain."""
        self._accidentals.clear()

    def read(self, token: Token, tied: Sequence[Pitch] = ()) -> Pitch | None:
        """The pitch of a note; None when it has a problem, which is reported. `tied` has the
        pitches of the note or chord before it, if that is tied to this note: their accidentals are
        valid for this note too, even beyond a bar line."""
        step = LETTERS.index(token["step"].upper())
        marks = token["octave"]
        if len(marks) > MOST_OCTAVE_MARKS or len(set(marks)) > 1:
            self._complain(
                token,
                f"{shown(token.text)} "
                + (
                    "has marks for a higher and for a lower octave."
                    if len(set(marks)) > 1
                    else "is out of reach for any voice."
                ),
                'Write "," for an octave lower or "\'" for an octave higher, at most '
                f"{MOST_OCTAVE_MARKS} times.",
            )
            return None
        octave = 4 + token["step"].islower() + marks.count("'") - marks.count(",") + self.shift
        # For which notes of the bar an accidental counts: in every octave, unless `octave` is set.
        scope = step, octave if self._propagation == "octave" else 0
        alter = self._accidentals.get(scope, self._key.altered.get(step, 0))
        if token["accidental"]:
            alter = ALTER[token["accidental"]]
            if self._propagation != "not":
                self._accidentals[scope] = alter
        else:  # for a tied note, an accidental is valid beyond the bar line
            before = (p.alter for p in tied if (p.step, p.octave) == (step, octave))
            alter = next(before, alter)
        pitch = Pitch(step, alter, octave)
        if abs(self._key.degree(pitch, 0).alter) > 1:
            self._complain(
                token,
                f"{shown(token.text)} is more than a semitone away from the scale of the key.",
                "Write the same sound with the next letter up or down, such as B for C flat, so "
                "that it can be written in other keys too.",
            )
            return None
        return pitch

    def _complain(self, token: Token, message: str, hint: str) -> None:
        self._problems.append(Problem(token.place, "notation-token", message, hint))
