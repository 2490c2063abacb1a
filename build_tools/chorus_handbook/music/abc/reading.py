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
    """A voice of the tune that has notes. `id` is its name after `V:`, empty in a tune without
    `V:`."""

    id: str
    written: WrittenVoice


@dataclass(slots=True)
class Reading:
    """A tune that has been read.

    order: the letters of its parts in the order of singing (`P:`); empty without parts.
    voices: the voices that have notes.
    named: all voices that a field `V:` names, with or without notes.
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
    """The problem of a tune with more notes and signs than an exercise may have, at the line with
    which it becomes too large; None if it is not too large."""
    tokens = 0
    for line in (*tune.head, *tune.body):
        if line.letter in ("", "w"):
            text = "".join(written.text for written in line.texts)
            if line.letter:  # words, of which every syllable counts
                tokens += len(text.replace("-", " ").split())
            else:  # music, of which every letter (notes and rests) and bar line counts
                tokens += sum(character.isalpha() or character == "|" for character in text)
        if tokens > MOST_TOKENS:
            return Problem(
                line.place,
                "notation-size",
                f"From here on there are more than {MOST_TOKENS:,} notes and signs.",
                'Split the exercise, or let the fields "passes" and "keys" in the front matter '
                "repeat it.",
            )
    return None
