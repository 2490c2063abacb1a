"""The types of measured facts: what an exercise asks of its singers. `measure` computes them.

Sizes are in semitones, lengths in seconds at the stated tempo, with fermatas at twice their length.
Tied notes count as one. Pitches are those of the first key. One *pass* is the exercise once through
in one key.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass

from chorus_handbook.pitch import Pitch


@dataclass(frozen=True, slots=True)
class VoiceFacts:
    """What one voice does in one pass.

    lowest, highest: None when the voice only speaks. `ambitus_semitones` is the distance.
    notes: how many it sings. `syllables`: how many begin in the first verse.
    spoken_beats: for how many beats it speaks.
    intervals: how often each interval from note to note occurs, by its size in semitones.
    largest_interval, largest_leap: in semitones; the second without intervals that are glided.
    step_share: the part (0 to 1) of all intervals that are 1 or 2 semitones; None without
        intervals.
    longest_phrase_seconds: a phrase ends at a breath or rest.
    voiced_seconds: how long it sings altogether.
    first: the note it begins on.
    line: a number; voices with the same number sing the same notes, in whatever octave.
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
    to 3 (over some weeks). `music/level.py` has the rule."""

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
        """The level of the exercise, 1 to 3: the highest of the five, or 3 when three of them are
        2."""
        levels = list(self.features.values())
        return 3 if levels.count(2) >= 3 else max(levels)


@dataclass(frozen=True, slots=True)
class Facts:
    """The measured facts of one exercise. The leader is in `voices` but counts in no other figure.

    tempo: beats a minute. `meter` and `mode` are names, such as "6/8" and "dorian".
    keys: the tonics in octave 0, in the order of singing.
    seconds_per_pass: once through in one key. `length_seconds`: all keys, passes and lead-ins.
    parts: the greatest number of different lines that sound at once.
    ambitus_semitones, largest_interval, largest_leap, longest_phrase_seconds: the largest value of
        any voice; see `VoiceFacts`.
    step_share: the same over all voices together.
    largest_interval_name: the largest interval as it is spelled, such as "d5"; empty without one.
    phrases: the words of each phrase, in order, without repetitions.
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
