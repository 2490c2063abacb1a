"""The result of reading an ABC tune (`Reading`), and the limits on the size of a tune."""

from __future__ import annotations

from dataclasses import dataclass, field

from chorus_handbook.music.abc.lines import Tune
from chorus_handbook.music.abc.voices import Named
from chorus_handbook.music.limits import MOST_TOKENS
from chorus_handbook.music.score import FREE, Meter
from chorus_handbook.music.written import Key, WrittenVoice
from chorus_handbook.problems import Place, Problem


@dataclass(frozen=True, slots=True)
class Voice:
    """A voice of the tune that has notes."""

    id: str
    written: WrittenVoice


@dataclass(slots=True)
class Reading:
    """A tune that has been read.

    order: the letters of its parts in the order of singing (`P:`); empty without parts.
    voices: the voices that have notes. `named`: all voices that a field `V:` names.
    other_meter: the place at which the meter changes; None when it does not.
    """

    key: Key = field(default_factory=Key)
    meter: Meter = FREE
    order: str = ""
    voices: list[Voice] = field(default_factory=list)
    named: list[Named] = field(default_factory=list)
    other_meter: Place | None = None
    problems: list[Problem] = field(default_factory=list)


def too_large(tune: Tune) -> Problem | None:
    """The problem of a tune with more than an exercise needs, at the line with which it becomes too
    much; None if there is none."""
    tokens = 0
    for line in (*tune.head, *tune.body):
        if line.letter in ("", "w"):
            text = "".join(written.text for written in line.texts)
            # In music every letter, rest and bar line counts; in lyrics every syllable.
            signs = sum(c.isalpha() or c == "|" for c in text)
            tokens += len(text.replace("-", " ").split()) if line.letter else signs
        if tokens > MOST_TOKENS:
            return Problem(
                line.place,
                "notation-size",
                f"From here on there are more than {MOST_TOKENS:,} notes and signs.",
                "An exercise is short; split it, or let passes and keys repeat it.",
            )
    return None
