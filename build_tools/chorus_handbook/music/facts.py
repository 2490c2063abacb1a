"""The form of the measured facts: what later stages, views, pages and other programs read.

Sizes are semitones, lengths seconds, at the stated tempo; fermatas count twice. Notes are attacks:
a tied note counts once. Pitches are those of the first key.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass

from chorus_handbook.pitch import Pitch


@dataclass(frozen=True, slots=True)
class VoiceFacts:
    """What one voice has to do in one pass.

    `lowest` and `highest` are None when the voice only speaks. `intervals` counts the melodic
    intervals between successive sung notes by size in semitones; `largest_leap` leaves out those
    that are glided. `step_share` is the share of seconds (1 or 2 semitones) among all melodic
    intervals, repeated notes included; None when there are none. A phrase ends at a breath or rest.
    `syllables` are those begun in the first verse. `first` is the note it begins on. Voices with
    the same `line`, a number, sing the same notes at the same times, in whatever octave.
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
    """How soon the notes are learned by ear, feature by feature: 1 at once, 2 after a few tries, 3
    over some weeks. `music/level.py` has the rule.
    """

    parts: int = 1
    key: int = 1
    leaps: int = 1
    rhythm: int = 1
    length: int = 1

    @property
    def features(self) -> dict[str, int]:
        """Every feature by name."""
        return asdict(self)

    @property
    def level(self) -> int:
        """That of the feature that takes longest; three that take a few tries make a 3."""
        levels = list(self.features.values())
        return 3 if levels.count(2) >= 3 else max(levels)


@dataclass(frozen=True, slots=True)
class Facts:
    """What was measured of one exercise.

    `keys` are the tonics for octave 0 in singing order. `seconds_per_pass` is one pass in one key;
    `length_seconds` is everything: keys, passes and the lead-ins between keys. `parts` is the
    greatest number of different lines that sound at once. `largest_interval`, `largest_leap`,
    `ambitus_semitones` and `longest_phrase_seconds` are those of the voice that has most of it;
    `step_share` is taken over all voices together. The leader stands in `voices`, first, but
    counts in none of these. `largest_interval_name` is the largest interval as it is spelled ("d5",
    not six semitones); empty when there is none. `phrases` are the words that are sung, phrase by
    phrase as they come, each once.
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
