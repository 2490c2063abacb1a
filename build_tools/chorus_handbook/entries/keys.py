"""The field `keys`: the keys in which an exercise is sung, one after another.

Examples: "C4 up to G4", "G4 down to C4 and back", "C4 up to G#4 by whole tones". The notes are
tonics. How each key is spelled (C sharp or D flat) depends on the music: see `music/keys.py`.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Annotated

from chorus_handbook.chorus.model import checked_by
from chorus_handbook.pitch import Pitch

#: The most keys of one exercise (our choice).
MOST_KEYS = 60

#: A note with its octave, such as F#4.
_NOTE = r"([A-Ga-g](?:##|#|bb|b)?-?\d)"
#: A note, "up to" or "down to" another, "and back", "by whole tones" or "by semitones".
_KEYS = re.compile(
    rf"\s*{_NOTE}(?:\s+(up|down)\s+to\s+{_NOTE})?(\s+and\s+back)?(\s+by\s+(?:whole\s+tones|semitones))?\s*"
)


@dataclass(frozen=True, slots=True)
class KeyPath:
    """A row of keys: the tonics from `start` to `turn` in steps of `stride` semitones (1 or 2). If
    `back` is true, the keys then go the same way back to `start`. A single key has the same `start`
    and `turn`."""

    start: Pitch
    turn: Pitch
    stride: int = 1
    back: bool = False

    @classmethod
    def parse(cls, text: str) -> KeyPath:
        """Read the text of the field. Raises ValueError when it is wrong, with a message for
        authors."""
        found = _KEYS.fullmatch(text)
        if not found:
            raise ValueError(
                f'"{text}" cannot be read as a key or a row of keys; write a note such '
                'as "C4", or a row such as "C4 up to G4", "G4 down to C4 and back", '
                '"C4 up to E4 by whole tones"'
            )
        start = Pitch.parse(found[1])
        turn = Pitch.parse(found[3]) if found[3] else start
        stride = 2 if found[5] and "whole" in found[5] else 1
        path = cls(start, turn, stride, bool(found[4]))
        path._check(found[2])
        return path

    def _check(self, direction: str | None) -> None:
        """Raise ValueError, with a message for authors, if the keys make no sense. `direction` is
        "up" or "down", None for a single key."""
        distance = self.turn.midi - self.start.midi
        if direction is None and (self.back or self.stride == 2):
            raise ValueError(
                'a single key cannot move; write up to which key it goes, such as "C4 up to G4"'
            )
        if (direction == "up" and distance <= 0) or (direction == "down" and distance >= 0):
            raise ValueError(
                f"the keys are to go {direction} from {self.start} to {self.turn}, but {self.turn} "
                f"is not {'above' if direction == 'up' else 'below'} {self.start}; "
                f"{self._instead()}"
            )
        if distance % self.stride:
            raise ValueError(
                f"in whole tones from {self.start} you never come to {self.turn}; write a last key "
                "that is a semitone higher or lower"
            )
        if len(self.semitones()) > MOST_KEYS:
            raise ValueError(
                f"these are {len(self.semitones())} keys, more than the {MOST_KEYS} that are "
                "allowed; write a last key that is nearer to the first"
            )

    def _instead(self) -> str:
        """A suggestion when the direction is wrong, such as 'write "C4 up to G4"'."""
        try:
            return f'write "{KeyPath.parse(str(self))}", or another note'
        except ValueError:
            return "write another note"

    def semitones(self) -> tuple[int, ...]:
        """For each key, in the order of singing, how many semitones its tonic is above the first
        one (negative if below)."""
        distance = self.turn.midi - self.start.midi
        step = self.stride if distance >= 0 else -self.stride
        there = list(range(0, distance + (1 if step > 0 else -1), step))
        return tuple(there + there[-2::-1] if self.back else there)

    def __str__(self) -> str:
        distance = self.turn.midi - self.start.midi
        if not distance:
            return str(self.start)
        text = f"{self.start} {'up' if distance > 0 else 'down'} to {self.turn}"
        return (
            text
            + (" and back" if self.back else "")
            + (" by whole tones" if self.stride == 2 else "")
        )


#: The field as it is written.
KeysText = Annotated[str, checked_by(KeyPath.parse)]
