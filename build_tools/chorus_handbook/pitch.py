"""Written pitches ("Bb3"), MIDI numbers and named intervals ("m6"), computed with whole numbers.

A written pitch has three numbers: the letter as steps above C (0 to 6), the alteration in semitones
(-1 for a flat), and the octave (C4 is middle C, MIDI number 60). A named interval has two: the
steps between the letters, and the semitones ("m6" is 5 steps and 8 semitones). Transposing by steps
and semitones, not by semitones alone, keeps every key correctly spelled.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, NamedTuple

from chorus_handbook.shared_facts import FACTS

LETTERS: str = FACTS["pitch"]["letters"]
#: Semitones of the white keys above C.
NATURALS: tuple[int, ...] = tuple(FACTS["pitch"]["naturals"])
_FLAT_NAMES: list[str] = FACTS["pitch"]["flat_names"]
_SHARP_NAMES = "C C# D D# E F F# G G# A A# B".split()
#: Position of each letter, from C on, in the circle of fifths F C G D A E B, with C = 0.
_FIFTHS = (0, 2, 4, -1, 1, 3, 5)
#: The steps of unisons, fourths and fifths: these are perfect, other intervals major or minor.
_PERFECT = frozenset({0, 3, 4})
_QUALITY_WORDS = {"P": "perfect", "M": "major", "m": "minor", "A": "augmented", "d": "diminished"}
_NUMBER_WORDS = (
    "unison second third fourth fifth sixth seventh octave ninth tenth eleventh twelfth thirteenth "
    "fourteenth fifteenth"
).split()
#: The endings of ordinal numbers above fifteen by their last digit: 22nd; for other digits "th".
_ORDINAL_ENDINGS = {1: "st", 2: "nd", 3: "rd"}
#: The usual names of 0 to 11 semitones, for intervals whose spelling is not known.
_CUSTOMARY = ("P1", "m2", "M2", "m3", "M3", "P4", "A4", "P5", "m6", "M6", "m7", "M7")

ClefName = Literal["treble", "treble-8", "alto", "tenor", "bass"]


class Clef(NamedTuple):
    """A clef: its sign, its line of the staff counted from below, and by how many octaves its notes
    sound higher than written (-1: an octave lower)."""

    sign: Literal["G", "C", "F"]
    line: int
    octave: int = 0


CLEFS: Mapping[ClefName, Clef] = {
    "treble": Clef("G", 2),
    "treble-8": Clef("G", 2, -1),
    "alto": Clef("C", 3),
    "tenor": Clef("C", 4),
    "bass": Clef("F", 4),
}

#: The highest number of an interval that can be written: 36 is five octaves.
_LARGEST_INTERVAL = 36
#: The three parts of a pitch: letter, up to two sharps or flats, octave.
_PITCH = re.compile(r"([A-Ga-g])(#{1,2}|b{1,2}|)(-?\d)")
#: The end of an error message: what to write where an interval is expected.
_INTERVAL_FORM = (
    'write a letter and a number, such as "P5" for a perfect fifth or "m3" for a minor third'
)
#: The two parts of an interval: quality, number.
_INTERVAL = re.compile(r"([PMmAd])(\d{1,2})")


@dataclass(frozen=True, slots=True)
class Pitch:
    """A written pitch: `step` 0..6 for C..B, `alter` in semitones, `octave` (C4 is middle C)."""

    step: int
    alter: int
    octave: int

    @classmethod
    def parse(cls, text: str) -> Pitch:
        """Read "Bb3", "F#4", "C4". Raises ValueError for anything else."""
        found = _PITCH.fullmatch(text.strip())
        if not found:
            raise ValueError(
                f'"{text}" cannot be read as a note; write a letter and an octave, such as "C4"'
            )
        letter, sign, octave = found.groups()
        alter = len(sign) if sign.startswith("#") else -len(sign)
        return cls(LETTERS.index(letter.upper()), alter, int(octave))

    @property
    def midi(self) -> int:
        """The MIDI number; C4 is 60, A4 is 69."""
        return 12 * (self.octave + 1) + NATURALS[self.step] + self.alter

    @property
    def letter(self) -> str:
        """The name without its octave: "Bb"."""
        return LETTERS[self.step] + ("#" * self.alter if self.alter > 0 else "b" * -self.alter)

    @property
    def fifths(self) -> int:
        """Sharps (positive) or flats (negative) of the major key on this pitch."""
        return _FIFTHS[self.step] + 7 * self.alter

    def moved(self, steps: int, semitones: int) -> Pitch:
        """This pitch moved by a named interval given as steps and semitones."""
        octave, step = divmod(self.step + steps, 7)
        octave += self.octave
        return Pitch(step, self.midi + semitones - 12 * (octave + 1) - NATURALS[step], octave)

    def __str__(self) -> str:
        return f"{self.letter}{self.octave}"


def named(midi: int, *, sharp: bool = False) -> str:
    """The note name of a MIDI number, with black keys as flats, or as sharps with `sharp`."""
    names = _SHARP_NAMES if sharp else _FLAT_NAMES
    return f"{names[midi % 12]}{midi // 12 - 1}"


def hertz(midi: float) -> float:
    """The frequency in Hz of a MIDI number (which may have a fraction) in equal temperament. A4,
    69, is 440 Hz (ISO 16:1975)."""
    facts = FACTS["pitch"]
    return float(facts["a4_hertz"] * 2 ** ((midi - facts["a4_midi"]) / 12))


def interval_between(low: Pitch, high: Pitch) -> tuple[int, int]:
    """Steps and semitones from `low` up to `high`; negative when `high` is lower."""
    steps = (high.octave - low.octave) * 7 + high.step - low.step
    return steps, high.midi - low.midi


def parse_interval(text: str) -> tuple[int, int]:
    """Read "P5", "m10", "A4" as steps and semitones. Raises ValueError for anything else."""
    found = _INTERVAL.fullmatch(text.strip())
    if not found or not 1 <= int(found[2]) <= _LARGEST_INTERVAL:
        raise ValueError(f'"{text}" cannot be read as an interval; {_INTERVAL_FORM}')
    quality, steps = found[1], int(found[2]) - 1
    octaves, step = divmod(steps, 7)
    perfect = step in _PERFECT
    # Semitones beyond the perfect or major interval, by quality.
    offsets = {"P": 0, "A": 1, "d": -1} if perfect else {"M": 0, "m": -1, "A": 1, "d": -2}
    if quality not in offsets:
        raise ValueError(f'"{text}" cannot be read as an interval; {_INTERVAL_FORM}')
    return steps, 12 * octaves + NATURALS[step] + offsets[quality]


def interval_name(steps: int, semitones: int) -> str:
    """The name of an interval, up or down: (4, 7) is "P5", (-5, -8) is "m6"."""
    if steps < 0 or (steps == 0 and semitones < 0):
        steps, semitones = -steps, -semitones
    octaves, step = divmod(steps, 7)
    offset = semitones - 12 * octaves - NATURALS[step]
    names = {0: "P", 1: "A", -1: "d"} if step in _PERFECT else {0: "M", -1: "m", 1: "A", -2: "d"}
    quality = names.get(offset)
    if quality is None:  # for example doubly augmented: the letter is repeated
        quality = "A" * offset if offset > 0 else "d" * (-offset - (step not in _PERFECT))
    return f"{quality}{steps + 1}"


def customary_interval(semitones: int) -> str:
    """The usual name of an interval with this many semitones: 7 is "P5", 16 is "M10"."""
    octaves, rest = divmod(abs(semitones), 12)
    name = _CUSTOMARY[rest]
    return f"{name[0]}{int(name[1:]) + 7 * octaves}"


def interval_words(name: str) -> str:
    """An interval's name in words: "P5" is "fifth", "m6" "minor sixth", "d5" "diminished fifth"."""
    quality, number = name[0], int(name.lstrip("PMmAd"))
    if number <= len(_NUMBER_WORDS):
        noun = _NUMBER_WORDS[number - 1]
    else:
        noun = f"{number}{_ORDINAL_ENDINGS.get(number % 10, 'th')}"
    return noun if quality == "P" else f"{_QUALITY_WORDS[quality]} {noun}"
