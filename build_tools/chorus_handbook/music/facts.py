"""The types of measured facts: what an exercise asks of its singers. `measure` computes them.

Sizes of intervals are in semitones. Lengths are in seconds at the stated tempo; notes under a
fermata last twice as long as written. Tied notes count as one. Pitches are those of the first key.
One *pass* is the exercise sung once from beginning to end in one key.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass

from chorus_handbook.pitch import Pitch


@dataclass(frozen=True, slots=True)
class VoiceFacts:
    """What one voice does in one pass.

    lowest, highest: its lowest and highest note; None when the voice only speaks.
    ambitus_semitones: the distance between these two.
    notes: how many notes it sings.
    syllables: how many syllables begin in its first verse.
    spoken_beats: for how many beats it speaks.
    intervals: how often each interval from note to note occurs, by its size in semitones.
    largest_interval: the largest of these.
    largest_leap: the largest of these over which the voice does not glide.
    step_share: the share (0 to 1) of all intervals that are 1 or 2 semitones; None when there are
        no intervals.
    longest_phrase_seconds: the length of its longest phrase. A phrase ends at a breath or rest.
    voiced_seconds: for how long it sings in all.
    first: the note it begins on; None when the voice only speaks.
    line: a number that is the same for voices that sing the same notes, in whatever octave.
    """

    voice: str
    lowest: Pitch | None
    highest: Pitch | None
    ambitus_semitones: int
    notes: int
    syllables: int
    spoken_beats: float
    intervals: dict[int, int]
    largest_interval: int
    largest_leap: int
    step_share: float | None
    longest_phrase_seconds: float
    voiced_seconds: float
    first: Pitch | None = None
    line: int = 0

    @property
    def silent(self) -> bool:
        """Whether the voice has nothing but rests."""
        return not self.notes and not self.spoken_beats


@dataclass(frozen=True, slots=True)
class Difficulty:
    """How difficult the notes are to learn by ear in five respects, each from 1 (learned at once)
    to 3 (learned over some weeks). `music/level.py` computes them."""

    parts: int = 1
    key: int = 1
    leaps: int = 1
    rhythm: int = 1
    length: int = 1

    @property
    def features(self) -> dict[str, int]:
        """The five respects by name."""
        return asdict(self)

    @property
    def level(self) -> int:
        """The level of the exercise, 1 to 3: the highest of the five, or 3 when at least three of
        them are 2."""
        levels = list(self.features.values())
        return 3 if levels.count(2) >= 3 else max(levels)


@dataclass(frozen=True, slots=True)
class Facts:
    """The measured facts of one exercise. The leader is in `voices` but counts in no other figure.

    slug: the exercise's name in addresses.
    tempo: the tempo in beats a minute.
    meter, mode: their names, such as "6/8" and "dorian".
    keys: the tonics of the keys, as the field `keys` names them (C4), in the order of singing.
    seconds_per_pass: the length of one pass.
    length_seconds: the length of all passes in all keys, with the beats between keys.
    parts: the greatest number of different lines that sound at once.
    ambitus_semitones, largest_interval, largest_leap, longest_phrase_seconds: the largest value of
        any voice; see `VoiceFacts`.
    step_share: the share of steps in the intervals of all voices together.
    largest_interval_name: the largest interval as it is spelled, such as "d5"; empty when there are
        no intervals.
    phrases: the words of each block (lines that sound together), in order, without repetitions.
    """

    slug: str
    tempo: float
    meter: str
    mode: str
    keys: tuple[Pitch, ...]
    seconds_per_pass: float
    length_seconds: float
    parts: int
    ambitus_semitones: int
    largest_interval: int
    largest_leap: int
    step_share: float | None
    longest_phrase_seconds: float
    voices: tuple[VoiceFacts, ...]
    largest_interval_name: str = ""
    phrases: tuple[str, ...] = ()
    difficulty: Difficulty = Difficulty()
